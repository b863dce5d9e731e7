"""Writes to drills and answers: one function for each thing a student does. Every one may be repeated harmlessly."""

from collections.abc import Callable
from datetime import timedelta
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from herbs.models import Term
from lessons.bank import question_maker
from lessons.engine import FAMILIES
from lessons.models import Course, Form, Item, User

from .drawing import FAMILY, draw, drill_families
from .engine import CURRENT, UngradableAnswerError, grade, reasons_for
from .models import Answer, Attempt, Question

MIXED = "Mixed classes"
OPEN_AT_MOST = 12  # drills of one student left open
STARTED_AT_MOST = 30  # drills of one student started within an hour


class CodeTakenError(Exception):
    """The code of a new drill already belongs to somebody else's."""


class TooManyDrillsError(Exception):
    """A student has too many drills open, or started too many within the hour. The text says what to do."""


def start_attempt(
    *, student: User, code: UUID, action: str, length: int, family: str = FAMILY, course: Course | None = None
) -> Attempt:
    """Start a drill of fresh questions, under the course's teaching set; the same code started twice is one drill.

    ``family`` is empty for all kinds mixed, ``action`` for all classes. Raises NoValidItemError when no question can be proved
    for the class, before anything is written, and CodeTakenError for a code that is somebody else's, TooManyDrillsError when
    the student has too many.
    """
    existing = Attempt.objects.filter(code=code, student=student).first()
    if existing is not None:
        return existing
    _check_load(student)
    maker = question_maker(course.teaching_set.slug if course else None)
    terms = maker.materia_medica.terms[Term.Kind.ACTION]
    title = terms[action]["plural"].capitalize() if action else MIXED
    if family != FAMILY:
        title = f"{FAMILIES[family].TITLE if family else 'All kinds of question'}: {title[:1].lower()}{title[1:]}"
    drawn = draw(maker, families=drill_families(course, family), action=action, length=length)
    return _begin(
        Attempt(code=code, student=student, course=course, action=action, family=family, title=title, length=length),
        drawn.frozen,
    )


def start_form(*, student: User, code: UUID, form: Form, course: Course | None) -> Attempt:
    """Start an offered form: its items in its order, but for those no longer approved; the same code twice is one drill."""
    existing = Attempt.objects.filter(code=code, student=student).first()
    if existing is not None:
        return existing
    _check_load(student)
    approved = form.places.filter(item__review=Item.Review.APPROVED)
    items = [place.item for place in approved.select_related("item")]
    attempt = Attempt(code=code, student=student, course=course, form=form, title=form.title, length=len(items))
    return _begin(attempt, lambda: items)


def _begin(attempt: Attempt, items_of: Callable[[], list[Item]]) -> Attempt:
    """Save a new attempt with its questions, and count that its items were shown; CodeTakenError for somebody else's code."""
    attempt.grading_version = CURRENT
    try:
        with transaction.atomic():
            attempt.save(force_insert=True)
            items = items_of()
            Question.objects.bulk_create(
                Question(attempt=attempt, position=number, item=item) for number, item in enumerate(items, 1)
            )
            Item.objects.filter(pk__in=[item.pk for item in items]).update(exposure=F("exposure") + 1)
    except IntegrityError:
        winner = Attempt.objects.filter(code=attempt.code, student=attempt.student).first()
        if winner is None:
            raise CodeTakenError from None
        return winner
    return attempt


def _check_load(student: User) -> None:
    if Attempt.objects.filter(student=student, state=Attempt.State.OPEN).count() >= OPEN_AT_MOST:
        raise TooManyDrillsError(f"You have {OPEN_AT_MOST} drills open. Finish one of them before you start another.")
    hour = timezone.now() - timedelta(hours=1)
    if Attempt.objects.filter(student=student, started_at__gt=hour).count() >= STARTED_AT_MOST:
        raise TooManyDrillsError("You have started many drills within the hour. Take a rest, and start again later.")


def record_choice(*, question: Question, choice: int) -> Answer:
    """Lock a choice. The first one counts: a repeat, or another tab, gets what is already locked.

    Raises UngradableAnswerError for an option that does not exist.
    """
    reasons_for(question.item.opened, choice)
    try:
        with transaction.atomic():
            answer = Answer.objects.create(question=question, choice=choice)
    except IntegrityError:
        answer = Answer.objects.get(question=question)
    question.answer = answer
    return answer


def record_reason(*, question: Question, reason: int) -> Answer:
    """Record the reason for a locked choice and grade both. The first one counts; a repeat changes nothing.

    Raises UngradableAnswerError when nothing is locked yet, or for a reason that does not exist.
    """
    answer = Answer.objects.filter(question=question).first()
    if answer is None:
        raise UngradableAnswerError("Lock a choice first; the reasons come after it.")
    if answer.reason is None:
        mark = grade(question.item.opened, answer.choice, reason, question.attempt.grading_version)
        with transaction.atomic():
            # Two tabs that send the last two reasons at once must not both think that one is still missing.
            Attempt.objects.select_for_update().only("pk").get(pk=question.attempt.pk)
            Answer.objects.filter(pk=answer.pk, reason__isnull=True).update(
                reason=reason,
                reasoned_at=timezone.now(),
                score=mark.score,
                choice_points=mark.choice_points,
                reason_points=mark.reason_points,
                outcome=mark.outcome,
                reason_status=mark.reason_status,
                fault=mark.fault,
                grading_version=mark.version,
            )
            answered = Answer.objects.filter(question__attempt=question.attempt, score__isnull=False).count()
            if answered == question.attempt.length:
                Attempt.objects.filter(pk=question.attempt.pk, state=Attempt.State.OPEN).update(
                    state=Attempt.State.FINISHED, finished_at=timezone.now()
                )
        answer.refresh_from_db()
    question.answer = answer
    return answer
