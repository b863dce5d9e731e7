"""A sheet to print: the herbs of an action class with plate, names, kind and cautions."""

from collections import defaultdict
from typing import Any

import numpy as np
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herbs.catalogue import MateriaMedica
from herbs.engine import Catalogue, Row
from herbs.loaded import needs_materia_medica
from herbs.models import Claim, Part, Picture
from herbs.monograph import kind
from herbs.monograph.handling import cautions

from .common import medica_for


@require_safe
@needs_materia_medica
def contact_sheet(request: HttpRequest) -> HttpResponse:
    """The parts of a class, one card each; without a class, the classes to choose from."""
    medica = medica_for(request)
    slug = request.GET.get("class", "")
    context: dict[str, Any] = {"classes": medica.class_actions, "teaching_set": medica.teaching_set_name}
    if slug:
        if slug not in medica.catalogue.actions:
            raise Http404("No such action class.")
        context |= {"term": medica.catalogue.actions[slug], "cards": cards(parts_of(medica.catalogue, slug), medica)}
    return render(request, "herbs/contact_sheet.html", context)


def parts_of(catalogue: Catalogue, action: str) -> list[Row]:
    """The parts of a class by label: each once, in its usual form where that has the action."""
    number = catalogue.action_index[action]
    strength = catalogue.strength[:, number, :].max(axis=1)
    members = [catalogue.rows[int(n)] for n in np.flatnonzero(catalogue.claims_action[:, number] & (strength >= 0.5))]
    once: dict[str, Row] = {}
    for row in sorted(members, key=lambda row: not row.is_usual):
        once.setdefault(row.part_slug, row)
    return sorted(once.values(), key=lambda row: row.label)


def cards(rows: list[Row], medica: MateriaMedica) -> list[dict[str, Any]]:
    """What stands on the sheet for each row: its part, plate or drawing, kind and cautions. Four queries."""
    slugs = {row.part_slug for row in rows}
    parts = {part.slug: part for part in Part.objects.filter(slug__in=slugs).select_related("herb")}
    plates: dict[str, Picture] = {}
    herb_plates: dict[int, Picture] = {}
    for picture in Picture.objects.filter(part__herb__parts__slug__in=slugs).select_related("part").distinct():
        plates.setdefault(picture.part.slug, picture)
        herb_plates.setdefault(picture.part.herb_id, picture)
    said: dict[str, list[Claim]] = defaultdict(list)
    # Whoever warns: also sources that are not computed with.
    warned = Claim.objects.filter(part__slug__in=slugs, predicate=Claim.Predicate.CAUTION)
    for claim in warned.select_related("part", "source"):
        said[claim.part.slug].append(claim)
    made = []
    for row in rows:
        part = parts[row.part_slug]
        made.append(
            {
                "row": row,
                "part": part,
                "herb": part.herb,
                "picture": plates.get(part.slug) or herb_plates.get(part.herb_id),
                "kind": kind(medica.catalogue.value[medica.catalogue.row_number(row.slug)]),
                "cautions": _by_level(cautions(said[row.part_slug], medica)),
            }
        )
    return made


def _by_level(told: list[dict[str, Any]]) -> list[tuple[str, list[str]]]:
    """Cautions shortened for a card: each level once, the gravest first, with whom it concerns."""
    levels: dict[str, list[str]] = {}
    for caution in told:
        who = f"{caution['who']} (as {caution['form']})" if caution["form"] else caution["who"]
        levels.setdefault(caution["level"], []).append(who)
    return [(level, list(dict.fromkeys(who))) for level, who in levels.items()]
