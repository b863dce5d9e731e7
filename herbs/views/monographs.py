"""Monographs, a herb as told by each tradition, and the cross-walk of terms."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herbs.as_told_by import cross_walk_tables, told_by_traditions
from herbs.catalogue import EmptyMateriaMedicaError
from herbs.engine import AXES
from herbs.loaded import needs_materia_medica
from herbs.models import Herb, Part
from herbs.monograph import monograph

from .common import medica_for


@require_safe
def herb_detail(request: HttpRequest, slug: str) -> HttpResponse:
    """A monograph: one section for each part."""
    herb = get_object_or_404(Herb.objects.for_monograph(), slug=slug)
    medica = medica_for(request)
    return render(
        request,
        "herbs/herb_detail.html",
        {"herb": herb, "sections": monograph(herb, medica), "teaching_set": medica.teaching_set_name},
    )


@require_safe
def part_detail(request: HttpRequest, slug: str) -> HttpResponse:
    """A part, or a form of a part, is read in its herb's monograph."""
    part = Part.objects.select_related("herb").filter(slug=slug).first()
    if part is None:
        try:
            row = medica_for(request).rows.get(slug)
        except EmptyMateriaMedicaError:
            row = None
        if row is None:
            raise Http404("No such part.")
        part = Part.objects.select_related("herb").get(slug=row.part_slug)
    query = {"set": request.GET["set"]} if request.GET.get("set") else None
    return redirect(reverse("herbs:herb-detail", args=[part.herb.slug], query=query, fragment=part.slug))


@require_safe
def herb_as_told_by(request: HttpRequest, slug: str) -> HttpResponse:
    """One herb under each tradition."""
    herb = get_object_or_404(Herb.objects.for_monograph(), slug=slug)
    medica = medica_for(request)
    return render(
        request,
        "herbs/herb_as_told_by.html",
        {"herb": herb, "sections": told_by_traditions(herb, medica), "axes": AXES},
    )


@require_safe
@needs_materia_medica
def cross_walk(request: HttpRequest) -> HttpResponse:
    """Older and other words for states, qualities and actions, with what they mean here."""
    medica = medica_for(request)
    return render(request, "herbs/cross_walk.html", {"traditions": cross_walk_tables(medica)})
