"""Action classes."""

from typing import Any

import numpy as np
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herbs.catalogue import MateriaMedica
from herbs.engine import AXES
from herbs.loaded import needs_materia_medica
from herbs.models import Term
from herbs.monograph import kind, plane_of, signed

from .common import medica_for

SEVERAL = 3  # parts that have an action plainly, for it to be shown beside the classes
SORTS = ("herb", *AXES, "strength")


def _places(row: int, action: int, medica: MateriaMedica) -> str:
    """Where a row has an action at least plainly, or most strongly where it has it nowhere so: systems before organs."""
    catalogue = medica.catalogue
    here = catalogue.strength[row, action]
    least = min(2 / 3, float(here.max())) - 1e-9
    strong = [site for site, number in catalogue.site_index.items() if here[number] >= least]
    # An organ need not be named beside the system it belongs to.
    told = [site for site in strong if not catalogue.graph[site].parents & set(strong)]
    return ", ".join(catalogue.graph[site].name for site in told or strong)


@require_safe
@needs_materia_medica
def class_index(request: HttpRequest) -> HttpResponse:
    """The action classes that drills ask about."""
    medica = medica_for(request)
    catalogue = medica.catalogue
    classes = [
        {
            "term": term,
            "definition": medica.terms[Term.Kind.ACTION][term.slug]["definition"],
            "count": int(catalogue.claims_action[:, catalogue.action_index[term.slug]].sum()),
        }
        for term in medica.class_actions
    ]
    return render(request, "herbs/class_index.html", {"classes": classes, "others": _others(medica)})


def _others(medica: MateriaMedica) -> list[dict[str, Any]]:
    """Actions that are told of several parts and not asked about in drills; humoral ones are history and stand elsewhere."""
    catalogue, terms = medica.catalogue, medica.terms[Term.Kind.ACTION]
    counted = [
        (term, int((catalogue.strength[:, catalogue.action_index[slug]] > 0.5).any(axis=1).sum()))
        for slug, term in catalogue.actions.items()
        if not term.is_class and not terms[slug].get("history")
    ]
    return [{"term": term, "definition": terms[term.slug]["definition"]} for term, count in counted if count >= SEVERAL]


@require_safe
@needs_materia_medica
def class_detail(request: HttpRequest, slug: str) -> HttpResponse:
    """One action class: its herbs on the plane and in a table, sortable by any column."""
    medica = medica_for(request)
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
            "sites": _places(n, action, medica),
            "cautions": int(catalogue.cautioned[n].sum()),
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
