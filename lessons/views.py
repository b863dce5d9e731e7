"""Pages for instructors."""

import secrets

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herbs.catalogue import EmptyMateriaMedicaError

from .bank import question_maker
from .engine import Constraints, NoValidItemError, audit, recheck
from .requests import PersonRequest

SAMPLES = 3


@require_safe
def item_samples(request: PersonRequest) -> HttpResponse:
    """Fresh sample questions of a class with key, faults, reasons, audit and proof. None of them is in use."""
    if not request.user.has_perm("lessons.view_samples"):
        raise PermissionDenied
    try:
        maker = question_maker()
    except EmptyMateriaMedicaError:
        return render(request, "herbs/empty.html", status=503)
    classes = maker.materia_medica.class_actions
    known = {term.slug for term in classes}
    chosen = request.GET.get("class", "")
    action = chosen if chosen in known else None
    samples = []
    sentence = ""
    try:
        for _ in range(SAMPLES):
            item = maker.make("best-fit", secrets.randbits(62), Constraints(action))
            samples.append({"item": item, "audit": audit(item), "proof": recheck(item)})
    except NoValidItemError as error:
        sentence = str(error)
    context = {"classes": classes, "chosen": action, "samples": samples, "sentence": sentence}
    return render(request, "lessons/item_samples.html", context)
