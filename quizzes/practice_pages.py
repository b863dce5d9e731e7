"""Pages of practice: next work, and a session that can stop anywhere. HTTP only."""

import uuid
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from config.htmx import wants_fragment
from herbs.loaded import needs_materia_medica
from lessons.access import course_of
from lessons.bank import question_maker
from lessons.engine import NoValidItemError
from lessons.requests import PersonRequest

from . import choosing, practice, services
from .access import session_for_student
from .engine import learner as model
from .learning import names_of
from .models import Learner
from .views import question_address, question_panel

WEAKEST = 3  # skills named on the page
NAMED = 4  # pairs and herbs named on the page
ENOUGH = 10  # answers from which on a skill is worth naming
OUT_OF_DATE = "That page was out of date. Press the button once more."


@require_safe
@never_cache
@needs_materia_medica
def next_work(request: PersonRequest) -> HttpResponse:
    """What to practise next, and why."""
    course = course_of(request.user)
    maker = question_maker(course.teaching_set.slug if course else None)
    state = choosing.state_of(request.user, course, timezone.now(), maker.materia_medica.rows)
    learner = Learner.objects.filter(student=request.user).first()
    record = model.evidence_from_json(learner.confusions) if learner else {}
    names = names_of(maker)
    answers = learner.answers if learner else 0
    context = {
        "session": practice.open_session(request.user),
        "new_code": uuid.uuid4(),
        "answers": answers,
        "confusions": [
            {"confusion": model.CONFUSIONS[slug], "evidence": record[slug]} for slug in state.shown if slug in record
        ],
        "pairs": [(names[one], names[other], f"{one},{other}") for one, other in state.due_pairs[:NAMED]
                  if one in names and other in names],
        "more_pairs": max(0, len(state.due_pairs) - NAMED),
        "herbs": [(names[slug], slug) for slug in state.due_herbs[:NAMED] if slug in names],
        "more_herbs": max(0, len(state.due_herbs) - NAMED),
        "weakest": _weakest(state.ability, names) if answers >= ENOUGH else [],
    }  # fmt: skip
    return render(request, "quizzes/next_work.html", context)


def _weakest(ability: model.Ability, names: Any) -> list[str]:
    told = sorted((skill for skill in model.reported_skills(ability) if skill.answers), key=lambda skill: skill.value)
    return [
        names.get(skill.facet.partition(":")[2], skill.facet.partition(":")[2].replace("-", " "))
        for skill in told[:WEAKEST]
        if not skill.is_mastered
    ]


def _focus(request: PersonRequest) -> str:
    slug = request.POST.get("confusion", "")
    return slug if slug in model.CONFUSIONS else ""


@require_POST
@needs_materia_medica
def practice_start(request: PersonRequest) -> HttpResponse:
    """Begin to practise, or go on; a double click begins one session."""
    focus = _focus(request)
    try:
        attempt = practice.start_practice(
            student=request.user,
            code=UUID(request.POST.get("code", "")),
            course=course_of(request.user),
            focus=focus,
        )
    except (ValueError, services.CodeTakenError):
        messages.error(request, OUT_OF_DATE)
        return redirect("quizzes:next-work")
    except NoValidItemError as error:
        messages.error(request, str(error))
        return redirect("quizzes:next-work")
    return redirect(question_address(attempt, max(1, attempt.length), focus))


@require_POST
@never_cache
@needs_materia_medica
def practice_next(request: PersonRequest, code: UUID) -> HttpResponse:
    """The question after those answered; asked twice, it is one question."""
    attempt = session_for_student(request.user, code)
    text, focus = request.POST.get("position", ""), _focus(request)
    position = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else attempt.length + 1
    try:
        question = practice.next_question(
            attempt=attempt,
            position=position,
            focus=focus,
            shown_at=timezone.now() if wants_fragment(request) else None,
        )
    except NoValidItemError as error:
        messages.error(request, str(error))
        return redirect("quizzes:next-work")
    if wants_fragment(request):
        services.mark_shown(question=question)
        response = question_panel(request, question, focus=focus)
        response["HX-Push-Url"] = question_address(attempt, question.position, focus)
        return response
    return redirect(question_address(attempt, question.position, focus))


@require_POST
def practice_stop(request: PersonRequest, code: UUID) -> HttpResponse:
    """End a session; what was answered is kept."""
    attempt = session_for_student(request.user, code)
    practice.stop_practice(attempt=attempt)
    return redirect("quizzes:attempt-results", code=attempt.code)
