"""Pages for instructors."""

import secrets
from typing import Any

from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herbs.engine import moved
from herbs.loaded import needs_materia_medica

from .bank import question_maker
from .engine import FAMILIES, Constraints, Item, NoValidItemError, audit, contrast, recheck
from .engine.families import best_fit
from .requests import PersonRequest
from .set_pages import sets_for

SAMPLES = 3


@require_safe
@permission_required("lessons.view_samples", raise_exception=True)
@needs_materia_medica
def item_samples(request: PersonRequest) -> HttpResponse:
    """Fresh sample questions of a class with key, faults, reasons, audit and proof. None of them is in use."""
    maker = question_maker()
    classes = maker.materia_medica.class_actions
    known = {term.slug for term in classes}
    chosen = request.GET.get("class", "")
    action = chosen if chosen in known else None
    family = FAMILIES.get(request.GET.get("family", ""), best_fit)
    samples = []
    sentence = ""
    try:
        for _ in range(SAMPLES):
            item = maker.make(family.NAME, secrets.randbits(62), Constraints(action))
            samples.append(_sample(item))
    except NoValidItemError as error:
        sentence = str(error)
    context = {
        "classes": classes,
        "chosen": action,
        "families": list(FAMILIES.values()),
        "family": family,
        "samples": samples,
        "sentence": sentence,
    }
    return render(request, "lessons/item_samples.html", context)


def _sample(item: Item) -> dict[str, Any]:
    lists, key = item["because"], item["key"]
    return {
        "item": item,
        "judged": "verdict" in item["options"][0],
        "reasons": lists[key if len(lists) > 1 else 0],
        "audit": audit(item),
        "proof": recheck(item),
    }


@require_safe
@permission_required("lessons.view_samples", raise_exception=True)
@needs_materia_medica
def teaching_set_compare(request: PersonRequest) -> HttpResponse:
    """Two teaching sets side by side: which profiles move, which verdicts flip, what becomes contested."""
    sets = list(sets_for(request.user).prefetch_related("roles__tradition", "overrides"))
    known = {teaching_set.slug: teaching_set for teaching_set in sets}
    default = question_maker()
    first = known.get(request.GET.get("first", ""), sets[0])
    second = known.get(request.GET.get("second", ""), sets[-1])
    classes = default.materia_medica.class_actions
    action = next((term for term in classes if term.slug == request.GET.get("class")), classes[0])
    before, after = question_maker(first.slug), question_maker(second.slug)
    context = {
        "sets": sets,
        "first": first,
        "second": second,
        "classes": classes,
        "action": action,
        "moved": moved(before.materia_medica.catalogue, after.materia_medica.catalogue),
        "contrast": contrast(before.prover, after.prover, before.scenery, [action.slug]),
    }
    return render(request, "lessons/teaching_set_compare.html", context)
