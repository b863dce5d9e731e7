"""How a course grades: its scheme, version by version, and the mark of an answer under one. Past marks: see ``regrading``."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from lessons.models import Course, User

from .engine import PARTS, Grade, Scheme, grade, reading_signs
from .models import Answer, Attempt, GradingScheme, Reading

Asks = GradingScheme.Asks
EVERY = 3  # where the pattern is asked in some questions, it is in every third


class SchemeChangedError(Exception):
    """Somebody else changed the scheme in between; the text says what to do."""


def scheme_of(course: Course | None) -> GradingScheme | None:
    """The scheme a course grades by today; None for the shipped weights."""
    return course.grading_schemes.first() if course else None


def asks_reading(attempt: Attempt, number: int) -> bool:
    """Whether the ``number``th case of an attempt (from 1) asks for its pattern first. Practice does even without a scheme."""
    default = Asks.SOME if attempt.kind == Attempt.Kind.PRACTICE else Asks.NEVER
    asks = attempt.scheme.asks_reading if attempt.scheme else default
    return asks == Asks.ALWAYS or (asks == Asks.SOME and number % EVERY == 1)


def change_scheme(
    *, course: Course, by: User, base: int, reading: int, choice: int, reason: int, confidence: int, asks_reading: str
) -> GradingScheme:
    """Give a course new weights, as a new version that new drills are graded by; past marks stay as they are.

    Weights are in hundredths and sum to 100. ``base`` is the number of the version that was on the page (0 for none):
    SchemeChangedError when it is no longer the latest. Values that change nothing make no version.
    """
    values = {
        "reading": reading, "choice": choice, "reason": reason, "confidence": confidence, "asks_reading": asks_reading,
    }  # fmt: skip
    with transaction.atomic():
        Course.objects.select_for_update().only("pk").get(pk=course.pk)
        latest = scheme_of(course)
        if latest and all(getattr(latest, name) == value for name, value in values.items()):
            return latest
        if (latest.number if latest else 0) != base:
            raise SchemeChangedError(
                "Somebody changed the grading since you opened this page. What you typed is still in the form: look at "
                "what the grading is now, and save again if yours should stand."
            )
        return GradingScheme.objects.create(course=course, number=base + 1, made_by=by, **values)


def scheme_for(version: str, row: GradingScheme | None) -> Scheme:
    """The engine's scheme of a version and a course's weights."""
    return Scheme(version, row.weights if row else None)


def graded_by(attempt: Attempt, item: Mapping[str, Any], answer: Answer, reason: int) -> Grade:
    """The grade of an answer under its attempt's scheme."""
    return grade_under(item, answer, reason, scheme_for(attempt.grading_version, attempt.scheme))


def grade_under(item: Mapping[str, Any], answer: Answer, reason: int, scheme: Scheme) -> Grade:
    """The grade of an answer under any scheme; what was asked with it is graded with it."""
    reading = reading_of(answer)
    return grade(item, answer.choice, reason, scheme, reading=reading, confidence=answer.confidence)


def reading_of(answer: Answer) -> tuple[int, ...] | None:
    """The signs read before an answer, where a pattern was asked. The answer is loaded with its question's reading."""
    try:
        return reading_signs(answer.question.reading.signs)
    except Reading.DoesNotExist:
        return None


def points_of(mark: Grade, scheme: GradingScheme | None) -> dict[str, Any]:
    """The columns of a mark: the score, what it was graded by, and the points of each part, None where it was not asked."""
    return {
        "score": mark.score,
        "grading_version": mark.version,
        "scheme_id": scheme.pk if scheme else None,
        **{f"{part}_points": mark.points.get(part) for part in PARTS},
    }
