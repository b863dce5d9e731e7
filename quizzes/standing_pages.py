"""A student's own pages: where I stand, and the history. Both show the rows of whoever asks, and of nobody else."""

import uuid

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from herbs.catalogue import materia_medica
from herbs.loaded import needs_materia_medica
from lessons.access import course_of
from lessons.requests import PersonRequest

from .history import HistoryForm, rows_of
from .models import Question
from .standing import Student, where_i_stand

PAGE = 25


@require_safe
@never_cache
@needs_materia_medica
def where_i_stand_page(request: PersonRequest) -> HttpResponse:
    """The student's own picture."""
    course = course_of(request.user)
    medica = materia_medica(course.teaching_set.slug if course else None)
    told = where_i_stand(Student(request.user, course, medica, timezone.now()))
    return render(request, "quizzes/where_i_stand.html", told | {"new_code": uuid.uuid4()})


@require_safe
@never_cache
@needs_materia_medica
def history(request: PersonRequest) -> HttpResponse:
    """Every question met, the latest first, filtered and paged."""
    medica = materia_medica()
    classes = [(term.slug, term.plural.capitalize()) for term in medica.class_actions]
    form = HistoryForm(request.GET or None, classes=classes)
    met = Question.objects.met_by(request.user).filter(form.condition(medica))
    page = Paginator(met.values_list("pk", flat=True), PAGE).get_page(request.GET.get("page"))
    rows = rows_of(Question.objects.for_history(list(page)), medica)
    return render(request, "quizzes/history.html", {"form": form, "page": page, "rows": rows})
