"""Pages of the materia medica."""

from typing import Any

import numpy as np
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from .catalogue import EmptyMateriaMedicaError, MateriaMedica, materia_medica
from .engine import AXES
from .models import Herb, Part, TeachingSet, Term
from .monograph import kind, monograph, plane_of, signed

SORTS = ("herb", *AXES, "strength")


def _medica(request: HttpRequest) -> MateriaMedica:
    """The materia medica under the teaching set that the address names (?set=), else the default one."""
    slug = request.GET.get("set", "")
    return materia_medica(slug if slug and TeachingSet.objects.filter(slug=slug).exists() else None)


def _empty(request: HttpRequest) -> HttpResponse:
    return render(request, "herbs/empty.html", status=503)


@require_safe
def herb_index(request: HttpRequest) -> HttpResponse:
    """Every herb by Latin name, with its parts."""
    herbs = Herb.objects.for_index()
    if not herbs:
        return _empty(request)
    return render(request, "herbs/herb_index.html", {"herbs": herbs})


@require_safe
def herb_detail(request: HttpRequest, slug: str) -> HttpResponse:
    """A monograph: one section for each part."""
    herb = get_object_or_404(Herb.objects.for_monograph(), slug=slug)
    medica = _medica(request)
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
            row = _medica(request).rows.get(slug)
        except EmptyMateriaMedicaError:
            row = None
        if row is None:
            raise Http404("No such part.")
        part = Part.objects.select_related("herb").get(slug=row.part_slug)
    query = {"set": request.GET["set"]} if request.GET.get("set") else None
    return redirect(reverse("herbs:herb-detail", args=[part.herb.slug], query=query, fragment=part.slug))


@require_safe
def class_index(request: HttpRequest) -> HttpResponse:
    """The action classes that drills ask about."""
    try:
        medica = _medica(request)
    except EmptyMateriaMedicaError:
        return _empty(request)
    catalogue = medica.catalogue
    classes = [
        {
            "term": term,
            "definition": medica.terms[Term.Kind.ACTION][term.slug]["definition"],
            "count": int(catalogue.claims_action[:, catalogue.action_index[term.slug]].sum()),
        }
        for term in medica.class_actions
    ]
    return render(request, "herbs/class_index.html", {"classes": classes})


@require_safe
def class_detail(request: HttpRequest, slug: str) -> HttpResponse:
    """One action class: its herbs on the plane and in a table, sortable by any column."""
    try:
        medica = _medica(request)
    except EmptyMateriaMedicaError:
        return _empty(request)
    catalogue = medica.catalogue
    if slug not in catalogue.actions:
        raise Http404("No such action class.")
    action = catalogue.action_index[slug]
    strength = catalogue.strength[:, action, :].max(axis=1)
    members = [int(n) for n in np.flatnonzero(catalogue.claims_action[:, action] & (strength >= 0.5))]
    sort = request.GET.get("sort", "herb")
    if sort not in SORTS:
        sort = "herb"
    members.sort(key=lambda n: catalogue.rows[n].label)
    if sort in AXES:
        members.sort(key=lambda n: -catalogue.value[n, AXES.index(sort)])
    elif sort == "strength":
        members.sort(key=lambda n: -strength[n])
    rows: list[dict[str, Any]] = [
        {
            "row": catalogue.rows[n],
            "kind": kind(catalogue.value[n]),
            "values": [signed(v) for v in catalogue.value[n]],
            "strength": round(float(strength[n]) * 3),
        }
        for n in members
    ]
    context = {
        "term": catalogue.actions[slug],
        "definition": medica.terms[Term.Kind.ACTION][slug]["definition"],
        "opposed": [catalogue.actions[other] for other in sorted(catalogue.actions[slug].opposed)],
        "rows": rows,
        "plane": plane_of(catalogue, members),
        "sort": sort,
        "teaching_set": medica.teaching_set_name,
        "axes": AXES,
    }
    return render(request, "herbs/class_detail.html", context)
