"""What the simulation is judged by: figures with their targets, and a table in text.

Mastery of a skill means that its value, overall + facet, is at LEVEL (see ``constants``) or above with probability .90. It
is reached at the answer at which the model says so of so many skills and the truth agrees of each; who never reaches it
within the time counts with the whole time. The target is read of half of the skills; the other rows tell the rest. The
comparison takes the same skills in turn, by the same model, each with the item nearest to the same success. All twelve take
about nine tenths, since then a student's slowest skill decides.

The pace of learning is not told to the model. With a true one of 0, 1 and 4 logits for a hundred answers to a skill instead
of 2, the correlation was .82, .87 and .95 (60 students), while the mean true success was .74, .78 and .86: a pool that
stands still is too hard for those who do not learn, and ends for those who learn fast.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .calibration import Floats
from .confusions import SLUGS
from .simulated_school import LEARNING, PLANTED, SKILLS, School, build_school
from .simulation import History, Ints, Progress, round_robin, run, silent

CONFUSION_ANSWERS = 60  # within which a planted confusion should be found, and a clean student shown none
SETTLED = 50  # answers before the success of the items served counts
LONG = 2  # times the answers: mastery is followed for longer, since within the first half many have not reached it
LONG_STUDENTS = 100
HALF = len(SKILLS) // 2
LOW, HIGH = 0.75, 0.85


@dataclass(frozen=True)
class Study:
    """The histories of one simulation: practice of students without confusions; of students with one each; and practice and
    round-robin over a longer time."""

    school: School
    clean: History
    planted: History
    long: History
    robin: History


@dataclass(frozen=True)
class Figure:
    """One figure: what it is, its value, and where there is a target, whether it is met."""

    name: str
    value: float
    target: str = ""
    is_met: bool | None = None

    @property
    def verdict(self) -> str:
        """PASS, FAIL, or nothing where there is no target."""
        return "" if self.is_met is None else "PASS" if self.is_met else "FAIL"


def study(*, students: int, answers: int, pool: int, seed: int, progress: Progress = silent) -> Study:
    """Run everything; about 3 minutes for 500 students, 300 answers and 4,000 items on one core."""
    seeds = [np.random.default_rng(one) for one in np.random.SeedSequence(seed).spawn(5)]
    school = build_school(pool, seeds[0])
    few = min(students, LONG_STUDENTS)
    return Study(
        school,
        run(school, students=students, answers=answers, rng=seeds[1], told="practice", progress=progress),
        run(
            school, students=students, answers=min(answers, CONFUSION_ANSWERS), rng=seeds[2], planted=True,
            told="planted confusions", progress=progress,
        ),
        run(school, students=few, answers=LONG * answers, rng=seeds[3], told="longer practice", progress=progress),
        run(
            school, students=few, answers=LONG * answers, rng=seeds[4], policy=round_robin, told="skills in turn",
            progress=progress,
        ),
    )  # fmt: skip


def reached(history: History, count: int) -> tuple[Ints, float]:
    """(S,) the first answer at which so many skills are mastered, by the model and in truth, the last one where never; the
    share ever."""
    enough = (history.claimed & history.mastered).sum(axis=2) >= count
    ever = enough.any(axis=1)
    return np.where(ever, enough.argmax(axis=1) + 1, enough.shape[1]), float(ever.mean())


def precision(history: History) -> float:
    """Of the skills that the model came to call mastered, the share that were, at that answer; not a number where it never
    did."""
    student, skill = np.nonzero(history.claimed.any(axis=1))
    first = history.claimed.argmax(axis=1)[student, skill]
    return float(history.mastered[student, first, skill].mean()) if len(student) else float("nan")


def correlation(one: Floats, other: Floats) -> float:
    """Pearson's correlation of two arrays of one shape."""
    return float(np.corrcoef(one.ravel(), other.ravel())[0, 1])


def _least(name: str, value: float, target: float) -> Figure:
    return Figure(name, value, f"at least {target:.2f}", value >= target)


def _most(name: str, value: float, target: float) -> Figure:
    return Figure(name, value, f"at most {target:.2f}", value <= target)


def figures(found: Study) -> list[Figure]:
    """All figures, in the order of the table."""
    clean, planted = found.clean, found.planted
    first = planted.place[:, -1]
    by_confusion = [first[place :: len(SLUGS)] for place in range(min(len(SLUGS), len(first)))]
    alarmed = clean.first_shown > 0
    settled = clean.chance[:, min(SETTLED, clean.chance.shape[1] // 2) :].mean(axis=1)
    columns = range(len(SKILLS))
    ours, _ = reached(found.long, HALF)
    theirs, _ = reached(found.robin, HALF)
    listed = [
        _least("ability: r of estimated and true skills, students x 12 skills", correlation(clean.estimated, clean.true), 0.85),
        Figure(
            "  the same within each skill, mean of 12",
            float(np.mean([correlation(clean.estimated[:, k], clean.true[:, k]) for k in columns])),
        ),
        Figure("  mean of estimated less true, logits", float((clean.estimated - clean.true).mean())),
        Figure("  standard deviation of the same, logits", float((clean.estimated - clean.true).std())),
        _least("planted confusion in the top two by its 60th answer", float((first <= 2).mean()), 0.90),
        Figure("  the same for the confusion found least often", min(float((row <= 2).mean()) for row in by_confusion)),
        Figure("  any confusion shown to these students by then", float((planted.first_shown > 0).mean())),
        _most(
            "clean students shown a confusion within 60 answers",
            float((alarmed & (clean.first_shown <= CONFUSION_ANSWERS)).mean()),
            0.05,
        ),
        Figure("  the same within all answers", float(alarmed.mean())),
        _most("answers to half of the skills mastered, over those in turn", float(ours.mean() / theirs.mean()), 0.75),
    ]  # fmt: skip
    for count in (4, HALF, 8, len(SKILLS)):
        (mine, ever), (turn, ever_in_turn) = reached(found.long, count), reached(found.robin, count)
        listed += [
            Figure(f"  {count} skills, practice: mean answers ({ever:.0%} reach it)", float(mine.mean())),
            Figure(f"  {count} skills, in turn: mean answers ({ever_in_turn:.0%} reach it)", float(turn.mean())),
        ]
    within = (settled >= LOW) & (settled <= HIGH)
    return [
        *listed,
        _least("skills called mastered that are, precision", precision(found.long), 0.90),
        Figure("  the same for skills in turn", precision(found.robin)),
        _least("students served a true success within .75 to .85", float(within.mean()), 0.80),
        Figure("  mean true success, without the first 50 answers", float(settled.mean())),
        Figure("difficulty: error before answers, standard deviation in logits", clean.errors[0]),
        Figure("  error after the last fitting", clean.errors[-1]),
    ]


def table(found: Sequence[Figure]) -> str:
    """The figures as text."""
    width = max(len(figure.name) for figure in found)
    lines = [
        f"Truth: starts N(0, .6) in all, learning {LEARNING} by each skill an answer exercises, confusions taken at {PLANTED}.",
        *(
            f"{figure.name:<{width}}  {figure.value:8.3f}  {figure.target:<14}  {figure.verdict}".rstrip()
            for figure in found
        ),
    ]
    return "\n".join(lines)
