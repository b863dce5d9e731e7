"""How a course grades: its scheme, versioned; past marks worked out anew when an instructor asks, previewed and reversible."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from lessons.models import Course, User

from .engine import PARTS, Grade, Scheme, grade, reading_signs
from .models import Answer, Attempt, GradingScheme, Reading, Regrade, RegradedAnswer

Asks = GradingScheme.Asks
EVERY = 3  # where the pattern is asked in some questions, it is in every third
COLUMNS = (
    "score",
    "choice_points",
    "reason_points",
    "reading_points",
    "confidence_points",
    "grading_version",
    "scheme_id",
)


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


def change_scheme(*, course: Course, by: User, base: int, **values: Any) -> GradingScheme:
    """Give a course new weights, as a new version that new drills are graded by; past marks stay as they are.

    ``base`` is the number of the version that was on the page (0 for none): SchemeChangedError when it is no longer the latest.
    Values that change nothing make no version.
    """
    with transaction.atomic():
        Course.objects.select_for_update().only("pk").get(pk=course.pk)
        latest = scheme_of(course)
        if latest and all(getattr(latest, name) == value for name, value in values.items()):
            return latest
        if (latest.number if latest else 0) != base:
            raise SchemeChangedError(
                "Somebody changed the grading since you opened this page. Look at what it is now, and change it again."
            )
        return GradingScheme.objects.create(course=course, number=base + 1, made_by=by, **values)


def scheme_for(version: str, row: GradingScheme | None) -> Scheme:
    """The engine's scheme of a version and a course's weights."""
    return Scheme(version, row.weights if row else None)


def graded_by(attempt: Attempt, item: Mapping[str, Any], answer: Answer, reason: int) -> Grade:
    """The grade of an answer under its attempt's scheme."""
    return _grade(item, answer, reason, scheme_for(attempt.grading_version, attempt.scheme))


def _grade(item: Mapping[str, Any], answer: Answer, reason: int, scheme: Scheme) -> Grade:
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


@dataclass(frozen=True)
class Change:
    """What a regrade would do to one mark."""

    answer: Answer
    before: dict[str, Any]
    after: dict[str, Any]

    @property
    def by(self) -> int:
        """Thousandths gained, or lost."""
        return int(self.after["score"] - self.before["score"])


def regrade_changes(*, course: Course, scheme: GradingScheme) -> Iterator[Change]:
    """Every mark of a course that would change under a scheme. Nothing is written."""
    answers = (
        Answer.objects.filter(question__attempt__course=course, score__isnull=False)
        .select_related("question__item", "question__reading", "question__attempt__student")
        .order_by("pk")
    )
    for answer in answers.iterator(chunk_size=500):
        assert answer.reason is not None  # noqa: S101  (a mark has a reason: a constraint of the table)
        mark = _grade(answer.question.item.opened, answer, answer.reason, scheme_for(answer.grading_version, scheme))
        before, after = {name: getattr(answer, name) for name in COLUMNS}, points_of(mark, scheme)
        if before != after:
            yield Change(answer, before, after)


def regrade(*, course: Course, scheme: GradingScheme, by: User, reason: str) -> Regrade:
    """Work out a course's past marks anew under a scheme, and keep what they were, so that it can be undone."""
    with transaction.atomic():
        Course.objects.select_for_update().only("pk").get(pk=course.pk)
        done = Regrade.objects.create(course=course, scheme=scheme, by=by, reason=reason)
        rows = []
        for change in regrade_changes(course=course, scheme=scheme):
            Answer.objects.filter(pk=change.answer.pk).update(**change.after)
            rows.append(RegradedAnswer(regrade=done, answer=change.answer, before=change.before, after=change.after))
        RegradedAnswer.objects.bulk_create(rows, batch_size=500)
    return done


def undo_regrade(*, regrade: Regrade, by: User) -> int:
    """Put back the marks of a course's latest regrade; how many. A mark changed since by another regrade is left alone.

    Undone twice, it is undone once.
    """
    with transaction.atomic():
        first = Regrade.objects.filter(pk=regrade.pk, undone_at=None).update(undone_at=timezone.now(), undone_by=by)
        if not first:
            return 0
        put_back = 0
        for row in regrade.answers.all():
            put_back += Answer.objects.filter(pk=row.answer_id, **row.after).update(**row.before)
    return put_back
