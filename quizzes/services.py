"""Writes to drills and answers: one function for each thing a student does. Every one may be repeated harmlessly."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from herbs.models import Term
from lessons.bank import question_maker
from lessons.engine import FAMILIES
from lessons.models import Course, Form, Item, User

from . import learning
from .drawing import FAMILY, draw, drill_families
from .engine import CURRENT, LEVELS, UngradableAnswerError, may_ask, reading_number, reasons_for
from .grading_schemes import asks_reading, graded_by, points_of, scheme_of
from .models import Answer, Attempt, Question, Reading, answer_of

MIXED = "Mixed classes"
GONE = "This account was erased; nothing more is recorded."
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
    """Start an offered form: its items in its order, but for those no longer approved; the same code twice is one drill.

    While one drill of the form is open, it is that one again: the answers of the first would tell those of a second.
    """
    existing = Attempt.objects.filter(code=code, student=student).first()
    existing = existing or Attempt.objects.filter(form=form, student=student, state=Attempt.State.OPEN).first()
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
    attempt.scheme = scheme_of(attempt.course)
    try:
        with transaction.atomic():
            attempt.save(force_insert=True)
            add_questions(attempt=attempt, items=items_of())
    except IntegrityError:
        winner = Attempt.objects.filter(code=attempt.code, student=attempt.student).first()
        if winner is None:
            raise CodeTakenError from None
        return winner
    return attempt


def add_questions(*, attempt: Attempt, items: Sequence[Item], first: int = 1, **columns: Any) -> list[Question]:
    """Put items at the end of an attempt, as its scheme asks them, and count that they were shown."""
    scheme, cases, made = attempt.scheme, 0, []
    for number, item in enumerate(items, first):
        may = may_ask(item.opened)
        cases += may
        made.append(
            Question(
                attempt=attempt,
                position=number,
                item=item,
                asks_reading=may and asks_reading(attempt, number if attempt.kind == Attempt.Kind.PRACTICE else cases),
                asks_confidence=bool(scheme and scheme.confidence),
                **columns,
            ).as_new()
        )
    Question.objects.bulk_create(made)
    Item.objects.filter(pk__in=[item.pk for item in items]).update(exposure=F("exposure") + 1)
    return made


def _check_load(student: User) -> None:
    drills = Attempt.objects.filter(student=student, kind=Attempt.Kind.DRILL)
    if drills.filter(state=Attempt.State.OPEN).count() >= OPEN_AT_MOST:
        raise TooManyDrillsError(f"You have {OPEN_AT_MOST} drills open. Finish one of them before you start another.")
    hour = timezone.now() - timedelta(hours=1)
    if drills.filter(started_at__gt=hour).count() >= STARTED_AT_MOST:
        raise TooManyDrillsError("You have started many drills within the hour. Take a rest, and start again later.")


def _hold(question: Question) -> None:
    """Keep the student's own row while an answer is stored, so that an erasure waits for it, or it for the erasure."""
    try:
        learning.hold_person(question.attempt.student_id)
    except learning.PersonGoneError:
        raise UngradableAnswerError(GONE) from None


def mark_shown(*, question: Question, at: datetime | None = None) -> None:
    """Note when a student first asked for a question's page; the first time counts. ``at`` is now unless told."""
    if question.shown_at is None:
        question.shown_at = at or timezone.now()
        Question.objects.filter(pk=question.pk, shown_at=None).update(shown_at=question.shown_at)


def record_reading(*, question: Question, signs: Sequence[int]) -> Reading:
    """Lock a reading of the pattern. The first one counts: a repeat, or another tab, gets what is already locked.

    Raises UngradableAnswerError where no pattern is asked, or when the choice was locked already.
    """
    if not question.asks_reading:
        raise UngradableAnswerError("This question does not ask for the pattern. Choose an answer.")
    try:
        with transaction.atomic():
            _hold(question)
            reading = Reading.objects.create(question=question, signs=reading_number(signs))
    except IntegrityError:
        reading = Reading.objects.get(question=question)
    question.reading = reading
    return reading


def record_choice(
    *, question: Question, choice: int, confidence: int | None = None, at: datetime | None = None
) -> Answer:
    """Lock a choice, with a confidence where one is asked. The first one counts: a repeat gets what is already locked.

    Raises UngradableAnswerError for an option that does not exist, for a confidence that is not one of those offered, and before
    the pattern was read, where it is asked.
    """
    reasons_for(question.item.opened, choice)
    if question.asks_reading and not Reading.objects.filter(question=question).exists():
        raise UngradableAnswerError("Read the pattern first; the answers to choose from come after it.")
    if question.asks_confidence and confidence not in LEVELS:
        raise UngradableAnswerError("Say how sure you are before you lock the answer.")
    try:
        with transaction.atomic():
            _hold(question)
            answer = Answer.objects.create(
                question=question,
                choice=choice,
                chosen_at=at or timezone.now(),
                confidence=confidence if question.asks_confidence else None,
            )
    except IntegrityError:
        answer = Answer.objects.get(question=question)
    question.answer = answer
    return answer


def record_reason(*, question: Question, reason: int, at: datetime | None = None) -> Answer:
    """Record the reason for a locked choice, grade the answer, and learn from it. The first one counts; a repeat changes nothing.

    Raises UngradableAnswerError when nothing is locked yet, or for a reason that does not exist.
    """
    answer = answer_of(question) or Answer.objects.filter(question=question).first()
    if answer is None:
        raise UngradableAnswerError("Lock a choice first; the reasons come after it.")
    if answer.reason is None:
        mark = graded_by(question.attempt, question.item.opened, answer, reason)
        now = at or timezone.now()
        columns = {
            "reason": reason,
            "reasoned_at": now,
            "outcome": mark.outcome,
            "reason_status": mark.reason_status,
            "fault": mark.fault,
            **points_of(mark, question.attempt.scheme),
        }
        with transaction.atomic():
            # A student's answers take turns on what is known of the student: two tabs that send the last two reasons at once
            # must not both think that one is still missing.
            try:
                learner = learning.locked_learner(question.attempt.student_id)
            except learning.PersonGoneError:
                raise UngradableAnswerError(GONE) from None
            first = Answer.objects.filter(pk=answer.pk, reason__isnull=True).update(**columns)
            if first:
                before = learning.learn(
                    learner, question=question, choice=answer.choice, reason=reason, outcome=mark.outcome, at=now
                )
                if question.is_random:
                    Answer.objects.filter(pk=answer.pk).update(ability_before=before)
                if question.attempt.kind == Attempt.Kind.DRILL:
                    _finish_when_complete(question.attempt, now)
        if first:
            for name, value in columns.items():
                setattr(answer, name, value)
        else:
            answer.refresh_from_db()
    question.answer = answer
    return answer


def _finish_when_complete(attempt: Attempt, now: datetime) -> None:
    answered = Answer.objects.filter(question__attempt=attempt, score__isnull=False).count()
    if answered == attempt.length:
        Attempt.objects.filter(pk=attempt.pk, state=Attempt.State.OPEN).update(
            state=Attempt.State.FINISHED, finished_at=now
        )
