"""Past marks of a course worked out anew under a scheme: done at once, kept beside what they were, and undone.

Regrades of a course form a stack: only the latest one that stands can be undone, so that every mark goes back exactly through
the values it had. What was answered never changes, only what it weighs; outcomes and faults stay as they are.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from lessons.engine import gradable
from lessons.models import Course, Item, User

from .grading_schemes import grade_under, points_of, scheme_for
from .models import Answer, Attempt, GradingScheme, Regrade, RegradedAnswer

COLUMNS = (
    "score",
    "choice_points",
    "reason_points",
    "reading_points",
    "confidence_points",
    "grading_version",
    "scheme_id",
)
CHUNK = 500  # answers read, or written, at a time
TRIES = 3  # how often marks are worked out when other regrades come in between
Columns = dict[str, Any]


class RegradeError(Exception):
    """A regrade, or its undoing, that cannot be; the text says why and what to do."""


@dataclass(frozen=True)
class Change:
    """What a regrade does to one mark: its columns before and after, with the answer's and the student's numbers."""

    answer: int
    student: int
    before: Columns
    after: Columns

    @property
    def by(self) -> int:
        """Thousandths gained, or lost."""
        return int(self.after["score"] - self.before["score"])


def regrade_changes(*, course: Course, scheme: GradingScheme) -> Iterator[Change]:
    """Every mark of a course's drills that a scheme would change, be it only in what it is counted by. Nothing is written.

    Practice is the student's own: its marks are no business of the course.
    """
    answers = (
        Answer.objects.filter(
            question__attempt__course=course, question__attempt__kind=Attempt.Kind.DRILL, score__isnull=False
        )
        .select_related("question__attempt", "question__reading")
        # Answers to one item, of a form that many students worked, stand together, so that it is opened once.
        .order_by("question__item_id", "pk")
    )
    batch: list[Answer] = []
    for answer in answers.iterator(chunk_size=CHUNK):
        batch.append(answer)
        if len(batch) == CHUNK:
            yield from _changes(batch, scheme)
            batch = []
    yield from _changes(batch, scheme)


def _changes(answers: list[Answer], scheme: GradingScheme) -> Iterator[Change]:
    stored = Item.objects.filter(pk__in={answer.question.item_id for answer in answers}).values_list("pk", "content")
    items = {number: gradable(content) for number, content in stored}
    for answer in answers:
        assert answer.reason is not None  # noqa: S101  (a mark has a reason: a constraint of the table)
        mark = grade_under(
            items[answer.question.item_id], answer, answer.reason, scheme_for(answer.grading_version, scheme)
        )
        before, after = {name: getattr(answer, name) for name in COLUMNS}, points_of(mark, scheme)
        if before != after:
            yield Change(answer.pk, answer.question.attempt.student_id, before, after)


def regrade(*, course: Course, scheme: GradingScheme, by: User, reason: str, code: UUID) -> Regrade:
    """Work out a course's past marks anew under a scheme, and keep what they were. The same code does it once.

    Every mark there is when the work begins is in it, whatever a preview showed before. An answer that comes while it is being
    done is marked by the scheme of its drill, as one that comes afterwards. RegradeError where nothing would change, where other
    regrades keep coming in between, and for a code that belongs to another regrade.
    """
    for _ in range(TRIES):
        # Worked out before the transaction, so that students who answer meanwhile need not wait for it.
        done = _done(course, scheme, code)
        if done:
            return done
        changes = list(regrade_changes(course=course, scheme=scheme))
        with transaction.atomic():
            _in_turn(course)
            done = _done(course, scheme, code)
            if done:
                return done
            if not changes:
                raise RegradeError(f"Every mark is counted by {scheme} already, so there is nothing to work out anew.")
            done = Regrade.objects.create(course=course, scheme=scheme, by=by, reason=reason, code=code)
            if _move((change.answer, change.before, change.after) for change in changes) == len(changes):
                kept = (
                    RegradedAnswer(regrade=done, answer_id=change.answer, before=change.before, after=change.after)
                    for change in changes
                )
                RegradedAnswer.objects.bulk_create(kept, batch_size=CHUNK)
                return done
            transaction.set_rollback(True)
    raise RegradeError("Other regrades of this course came in between. Look at the preview again before you regrade.")


def _done(course: Course, scheme: GradingScheme, code: UUID) -> Regrade | None:
    """The regrade of a code, when it was done before."""
    done = Regrade.objects.select_related("scheme").filter(code=code).first()
    if done and (done.course_id, done.scheme_id) != (course.pk, scheme.pk):
        raise RegradeError("That page was out of date. Look at the preview again before you regrade.")
    return done


def latest_standing(course: Course) -> Regrade | None:
    """The regrade of a course that may be undone: the latest that is not; None where there is none."""
    return Regrade.objects.filter(course=course, undone_at=None).first()


def undo_regrade(*, regrade: Regrade, by: User) -> int:
    """Put back the marks of a course's latest standing regrade; how many. Undone twice, it is undone once, and nothing moves.

    RegradeError when a later regrade stands: that one has to be undone first.
    """
    with transaction.atomic():
        _in_turn(regrade.course)
        standing = Regrade.objects.filter(pk=regrade.pk, undone_at=None)
        if not standing.exists():
            return 0
        if latest_standing(regrade.course) != regrade:
            raise RegradeError("A later regrade stands on this one. Undo the latest one first, then this one.")
        rows = regrade.answers.values_list("answer_id", "after", "before")
        put_back = _move(rows.iterator(chunk_size=CHUNK))
        standing.update(undone_at=timezone.now(), undone_by=by)
    return put_back


def _in_turn(course: Course) -> None:
    """Regrades of a course, and their undoing, take turns on its row. Called in a transaction."""
    Course.objects.select_for_update().only("pk").get(pk=course.pk)


def _move(rows: Iterable[tuple[int, Columns, Columns]]) -> int:
    """Set marks from one value to another, only those that still have the first; how many.

    Marks have few different values, so those that move alike are written together: thousands of answers in dozens of queries.
    """
    alike: dict[tuple[tuple[Any, ...], tuple[Any, ...]], list[int]] = defaultdict(list)
    for answer, old, new in rows:
        alike[tuple(old[name] for name in COLUMNS), tuple(new[name] for name in COLUMNS)].append(answer)
    moved = 0
    for (old_values, new_values), answers in alike.items():
        old, new = dict(zip(COLUMNS, old_values, strict=True)), dict(zip(COLUMNS, new_values, strict=True))
        for start in range(0, len(answers), CHUNK):
            moved += Answer.objects.filter(pk__in=answers[start : start + CHUNK], **old).update(**new)
    return moved
