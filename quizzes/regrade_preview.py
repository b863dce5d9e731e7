"""What a regrade would do to a course, before anything is written: how many marks, by how much, and for whom."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Count, Sum

from lessons.models import Course, User

from .models import Answer, Attempt, GradingScheme
from .regrading import regrade_changes


@dataclass(frozen=True)
class StudentChange:
    """What becomes of the marks of one student: how many there are and change, and their mean before and after (thousandths)."""

    student: User
    marks: int
    changed: int
    before: float
    after: float

    @property
    def by(self) -> float:
        """Thousandths that the mean gains, or loses, to a tenth."""
        return round(self.after - self.before, 1)


@dataclass(frozen=True)
class Preview:
    """What would become of a course's marks.

    ``marks`` is how many there are, ``recounted`` how many of them are not yet counted by the scheme, ``gains`` what each mark
    gains (thousandths, negative for a loss) whose number changes. ``students`` are those with such marks, the one whose mean
    moves most first.
    """

    marks: int
    recounted: int
    gains: list[int]
    students: list[StudentChange]

    @property
    def changed(self) -> int:
        """How many marks become another number."""
        return len(self.gains)

    @property
    def kept(self) -> int:
        """How many marks keep their number while their parts come to weigh otherwise."""
        return self.recounted - self.changed

    @property
    def mean(self) -> float:
        """Mean change of the marks that change, in thousandths, to a tenth."""
        return round(sum(self.gains) / len(self.gains), 1) if self.gains else 0.0

    @property
    def rise(self) -> int:
        """The largest rise of a mark."""
        return max([0, *self.gains])

    @property
    def fall(self) -> int:
        """The largest fall of a mark, 0 or more."""
        return -min([0, *self.gains])


def preview_regrade(*, course: Course, scheme: GradingScheme) -> Preview:
    """What a regrade would do now."""
    of_student: dict[int, list[int]] = defaultdict(list)
    recounted = 0
    for change in regrade_changes(course=course, scheme=scheme):
        recounted += 1
        if change.by:
            of_student[change.student].append(change.by)
    totals = {
        student: (count, total)
        for student, count, total in Answer.objects.filter(
            question__attempt__course=course, question__attempt__kind=Attempt.Kind.DRILL, score__isnull=False
        )
        .values_list("question__attempt__student")
        .annotate(count=Count("pk"), total=Sum("score"))
    }
    people = User.objects.in_bulk(of_student)
    students = []
    for number, gains in of_student.items():
        count, total = totals[number]
        students.append(StudentChange(people[number], count, len(gains), total / count, (total + sum(gains)) / count))
    return Preview(
        marks=sum(count for count, _ in totals.values()),
        recounted=recounted,
        gains=[gain for gains in of_student.values() for gain in gains],
        students=sorted(students, key=lambda row: (-abs(row.by), row.student.username)),
    )
