"""Writes to drills and answers: one function for each thing a student does. Every one may be repeated harmlessly."""

import secrets
from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from herbs.models import Term
from lessons.bank import QuestionMaker, question_maker
from lessons.engine import Constraints
from lessons.engine.families import best_fit
from lessons.models import Course, User
from lessons.services import freeze_items

from .engine import CURRENT, UngradableAnswerError, grade, reasons_for
from .models import Answer, Attempt, Question

FAMILY = best_fit.NAME
MIXED = "Mixed classes"
LOOKS = 3  # candidates looked at for each place before an uneven form is accepted
SEED_BITS = 62
OPEN_AT_MOST = 12  # drills of one student left open
STARTED_AT_MOST = 30  # drills of one student started within an hour


class CodeTakenError(Exception):
    """The code of a new drill already belongs to somebody else's."""


class TooManyDrillsError(Exception):
    """A student has too many drills open, or started too many within the hour. The text says what to do."""


def start_attempt(*, student: User, code: UUID, action: str, length: int, course: Course | None = None) -> Attempt:
    """Start a drill of fresh questions, under the course's teaching set; the same code started twice is one drill.

    Raises NoValidItemError when no question can be proved for the class, before anything is written, and CodeTakenError
    for a code that is somebody else's, TooManyDrillsError when the student has too many.
    """
    existing = Attempt.objects.filter(code=code, student=student).first()
    if existing is not None:
        return existing
    _check_load(student)
    maker = question_maker(course.teaching_set.slug if course else None)
    terms = maker.materia_medica.terms[Term.Kind.ACTION]
    plural = terms[action]["plural"].capitalize() if action else MIXED
    contents = list(_draw(maker, action, length))
    try:
        with transaction.atomic():
            attempt = Attempt.objects.create(
                code=code,
                student=student,
                course=course,
                action=action,
                title=plural,
                length=length,
                grading_version=CURRENT,
            )
            items = freeze_items(contents=contents)
            Question.objects.bulk_create(
                Question(attempt=attempt, position=number, item=item) for number, item in enumerate(items, 1)
            )
    except IntegrityError:
        winner = Attempt.objects.filter(code=code, student=student).first()
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


def _draw(maker: QuestionMaker, action: str, length: int) -> Iterator[dict[str, Any]]:
    """Items from secret seeds; keys at even positions and, while the class allows it, of different herbs and patterns."""
    places: Counter[int] = Counter()
    keys: Counter[str] = Counter()
    patterns: Counter[str] = Counter()
    for _ in range(length):
        best: tuple[int, dict[str, Any]] | None = None
        for _ in range(LOOKS):
            item = maker.make(FAMILY, secrets.randbits(SEED_BITS), Constraints(action or None))
            name = item["presentation"]["pattern_name"]
            cost = places[item["key"]] + 3 * keys[item["options"][item["key"]]["latin"]] + patterns[name]
            if best is None or cost < best[0]:
                best = (cost, item)
            if cost <= min(places[place] for place in range(4)):
                break
        assert best is not None  # noqa: S101  (LOOKS is at least 1)
        chosen = best[1]
        places[chosen["key"]] += 1
        keys[chosen["options"][chosen["key"]]["latin"]] += 1
        patterns[chosen["presentation"]["pattern_name"]] += 1
        yield chosen


def record_choice(*, question: Question, choice: int) -> Answer:
    """Lock a choice. The first one counts: a repeat, or another tab, gets what is already locked.

    Raises UngradableAnswerError for an option that does not exist.
    """
    reasons_for(question.item.content, choice)
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
        mark = grade(question.item.content, answer.choice, reason, question.attempt.grading_version)
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
