"""The pages everybody may see: front page, cautions, health."""

from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herbs.models import Release, Term


@require_safe
@login_not_required
def home(request: HttpRequest) -> HttpResponse:
    """The front page."""
    release = Release.objects.order_by("-id").first()
    return render(request, "home.html", {"release": release})


@require_safe
@login_not_required
def cautions(request: HttpRequest) -> HttpResponse:
    """The full statement of cautions, with the red flags that mean refer."""
    flags = [term.details for term in Term.objects.filter(kind=Term.Kind.RED_FLAG)]
    return render(request, "cautions.html", {"red_flags": flags})


@require_safe
@login_not_required
def health(request: HttpRequest) -> JsonResponse:
    """Whether the site can answer: the database is reached and the materia medica is loaded. 503 when it cannot."""
    try:
        loaded = Release.objects.exists()
    except DatabaseError:
        return JsonResponse({"status": "the database does not answer"}, status=503)
    if not loaded:
        return JsonResponse({"status": "the materia medica is empty"}, status=503)
    return JsonResponse({"status": "ok"})
