"""Pages of drills: HTTP only."""

import uuid
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from config.htmx import render_page, wants_fragment
from herbs.catalogue import materia_medica
from herbs.loaded import needs_materia_medica
from lessons.access import course_for, course_of, enrolment_in
from lessons.engine import NoValidItemError
from lessons.requests import PersonRequest

from . import practice, services
from .access import attempt_for_student, form_for_student, forms_offered, question_for_reader, question_for_student
from .engine import UngradableAnswerError
from .engine.learner import CONFUSIONS
from .forms import DrillForm
from .models import Answer, Attempt, Question
from .presenting import panel_context, results_context
from .widgets import UnreadableAnswerError, read_answer, read_confidence, read_signs

LATEST = 12  # finished drills on the drill list
TEMPLATE, FRAGMENT = "quizzes/question.html", "question-panel"


def _classes() -> list[tuple[str, str]]:
    return [(term.slug, term.plural.capitalize()) for term in materia_medica().class_actions]


@require_safe
@never_cache
@needs_materia_medica
def drill_list(request: PersonRequest) -> HttpResponse:
    """Choose a drill, or go on with one."""
    chosen = request.GET.get("class")
    form = DrillForm(classes=_classes(), initial={"action": chosen} if chosen else None)
    return _drill_list(request, form)


def _drill_list(request: PersonRequest, form: DrillForm) -> HttpResponse:
    attempts = Attempt.objects.for_drill_list(request.user)
    context = {
        "form": form,
        "open_attempts": attempts.filter(state=Attempt.State.OPEN),
        "finished": attempts.filter(state=Attempt.State.FINISHED)[:LATEST],
        "offered": forms_offered(request.user),
        "new_code": uuid.uuid4(),
    }
    return render(request, "quizzes/drill_list.html", context)


@require_POST
@needs_materia_medica
def attempt_start(request: PersonRequest) -> HttpResponse:
    """Start a drill; a double click starts one."""
    form = DrillForm(request.POST, classes=_classes())
    if not form.is_valid():
        return _drill_list(request, form)
    data = form.cleaned_data
    try:
        attempt = services.start_attempt(
            student=request.user,
            code=data["code"],
            action=data["action"],
            length=data["length"],
            family=data["family"],
            course=course_of(request.user),
        )
    except (NoValidItemError, services.TooManyDrillsError) as error:
        form.add_error("action", str(error))
        return _drill_list(request, form)
    except services.CodeTakenError:
        form.renew()
        return _drill_list(request, form)
    return redirect("quizzes:question-detail", code=attempt.code, position=1)


@require_POST
def form_start(request: PersonRequest, code: UUID) -> HttpResponse:
    """Start a form that one's course offers; a double click starts one."""
    form = form_for_student(request.user, code)
    try:
        attempt = services.start_form(
            student=request.user, code=UUID(request.POST.get("code", "")), form=form, course=form.course
        )
    except ValueError:
        messages.error(request, "That page was out of date. Press the button once more.")
        return redirect("quizzes:drill-list")
    except (services.TooManyDrillsError, services.CodeTakenError) as error:
        messages.error(request, str(error) or "That page was out of date. Press the button once more.")
        return redirect("quizzes:drill-list")
    return redirect("quizzes:question-detail", code=attempt.code, position=1)


@require_safe
@never_cache
def attempt_detail(request: PersonRequest, code: UUID) -> HttpResponse:
    """Go on where the drill was left: the first question without a mark, or the results."""
    attempt = attempt_for_student(request.user, code)
    marked = Answer.objects.filter(question__attempt=attempt, score__isnull=False).values("question_id")
    question = attempt.questions.exclude(pk__in=marked).first()
    if question is None and attempt.kind == Attempt.Kind.PRACTICE and attempt.state == Attempt.State.OPEN:
        question = attempt.questions.last()  # from there the session goes on
    if question is None:
        return redirect("quizzes:attempt-results", code=code)
    return redirect(question_address(attempt, question.position, practice.focus_of(attempt)))


@require_safe
@never_cache
def attempt_results(request: PersonRequest, code: UUID) -> HttpResponse:
    """Marks, and what to look at again."""
    attempt = attempt_for_student(request.user, code)
    context = results_context(attempt) | {"is_own": attempt.student_id == request.user.pk}
    return render(request, "quizzes/attempt_results.html", context)


@require_safe
@never_cache
def member_drills(request: PersonRequest, slug: str, username: str) -> HttpResponse:
    """The drills that a member worked in a course, for its staff."""
    course = course_for(request.user, slug, "lessons.view_members")
    member = enrolment_in(course, username)
    attempts = Attempt.objects.for_drill_list(member.user).filter(course=course, kind=Attempt.Kind.DRILL)
    context = {"course": course, "member": member, "attempts": attempts}
    return render(request, "quizzes/member_drills.html", context)


@require_safe
@never_cache
def question_detail(request: PersonRequest, code: UUID, position: int) -> HttpResponse:
    """One question, at whatever stage it is."""
    question = question_for_reader(request.user, code, position)
    if question.attempt.student_id == request.user.pk:
        services.mark_shown(question=question)
    return question_panel(request, question)


@require_POST
@never_cache
def question_reading(request: PersonRequest, code: UUID, position: int) -> HttpResponse:
    """Lock a reading of the pattern."""
    question = question_for_student(request.user, code, position)
    try:
        services.record_reading(question=question, signs=read_signs(request.POST))
    except (UnreadableAnswerError, UngradableAnswerError) as error:
        return _after(request, question, str(error))
    return _after(request, question)


@require_POST
@never_cache
def question_choice(request: PersonRequest, code: UUID, position: int) -> HttpResponse:
    """Lock a choice."""
    question = question_for_student(request.user, code, position)
    try:
        services.record_choice(
            question=question,
            choice=read_answer(question.item.opened, request.POST),
            confidence=read_confidence(request.POST),
        )
    except (UnreadableAnswerError, UngradableAnswerError) as error:
        return _after(request, question, str(error))
    return _after(request, question)


@require_POST
@never_cache
def question_reason(request: PersonRequest, code: UUID, position: int) -> HttpResponse:
    """Give the reason; the mark follows."""
    question = question_for_student(request.user, code, position)
    reason = _number(request, "reason")
    if reason is None:
        return _after(request, question, "Choose the reason that decides before you send it.")
    try:
        services.record_reason(question=question, reason=reason)
    except UngradableAnswerError as error:
        return _after(request, question, str(error))
    practice.choose_ahead(attempt=question.attempt, focus=_focus(request))
    return _after(request, question)


def question_address(attempt: Attempt, position: int, focus: str = "") -> str:
    """The address of a question, with the confusion that a session practises."""
    query = {"confusion": focus} if focus else None
    return reverse("quizzes:question-detail", args=[attempt.code, position], query=query)


def _focus(request: PersonRequest) -> str:
    """The confusion that a practice session is about, as its page and its forms carry it along."""
    slug = (request.POST or request.GET).get("confusion", "")
    return slug if slug in CONFUSIONS else ""


def _number(request: PersonRequest, name: str) -> int | None:
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else None


def _after(request: PersonRequest, question: Question, sentence: str = "") -> HttpResponse:
    """After a post: the panel for htmx, the question's page for everybody else."""
    if wants_fragment(request):
        return question_panel(request, question, sentence)
    if sentence:
        messages.error(request, sentence)
    return redirect(question_address(question.attempt, question.position, _focus(request)))


def question_panel(request: PersonRequest, question: Question, sentence: str = "", focus: str = "") -> HttpResponse:
    """The panel of a question at its stage, as a page or a fragment; ``focus`` is the confusion that a session practises."""
    is_own = question.attempt.student_id == request.user.pk
    context: dict[str, Any] = panel_context(question) | {
        "sentence": sentence,
        "is_own": is_own,
        "focus": focus or _focus(request),
    }
    return render_page(request, TEMPLATE, context, fragment=FRAGMENT)
