"""The index of the materia medica."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herbs.models import Herb

from .common import empty


@require_safe
def herb_index(request: HttpRequest) -> HttpResponse:
    """Every herb by Latin name, with its parts."""
    herbs = Herb.objects.for_index()
    if not herbs:
        return empty(request)
    return render(request, "herbs/herb_index.html", {"herbs": herbs})
