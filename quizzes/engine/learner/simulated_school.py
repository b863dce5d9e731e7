"""An invented school whose truth is known: items, students, and how they answer, learn and forget.

What is taken for true:

- A student's ability on an item is overall + action class + axis + site, as in the model. Overall starts with variance .18,
  each facet with .06, so that the whole starts with a standard deviation of .6 logits about 0.
- Every answer raises the two skills that it exercises, its axis and its action class, by .02 logits each. Over 300 answers
  evenly spread a skill (overall + facet) gains 1.5 logits on an axis and .75 in an action class, the ability on an item
  2.25.
- An herb met before fades: its recall follows the power curve of the spacing library, with a stability in days of its own
  for each student and herb that doubles with every answer, and an item on an herb that is wholly forgotten is .5 logits
  harder.
- True difficulties spread normally about 1 with standard deviation 1.5, so that the pool reaches 1.5 logits above every
  student at every time. They are features + a residual for each item model + a remainder for each item. What is believed at
  first errs by a standard deviation of .3: the weights of features are wrong, residuals and remainders unknown.
- What items offer follows counts over sixty generated items of every family; four in ten are best-fit, the rest is even.
- Who errs takes a wrong option by lot, and a wrong reason by lot; that is how everybody takes confusions now and then. A
  planted confusion is taken with probability .6 where an answer offers it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from .ability import ACTION, AXIS, OVERALL, SITE, success
from .calibration import Floats
from .confusions import SLUGS
from .pool import ACTION_AT, AXIS_AT, Pool, PoolItem, build_pool

Ints = NDArray[np.int64]
LEARNING: Final = 0.02
OVERALL_SD: Final = 0.18**0.5
FACET_SD: Final = 0.06**0.5
DIFFICULTY_MEAN, DIFFICULTY_SD = 1.0, 1.5
WEIGHT_ERROR_SD, RESIDUAL_SD, REMAINDER_SD = 0.2, 0.2, 0.1  # together .3
FEATURES: Final = 6
ITEMS_OF_MODEL: Final = 4
PLANTED: Final = 0.6
FORGOTTEN: Final = 0.5  # logits
FIRST_STABILITY: Final = 3.0  # days, in the middle
HERBS: Final = 120
REASONS: Final = 5
ACTIONS = ("expectorant", "diuretic", "diaphoretic", "carminative", "nervine", "astringent", "demulcent", "bitter")
AXIS_NAMES = ("temperature", "moisture", "tone", "movement")
SYSTEMS = (
    "respiratory",
    "digestive",
    "urinary",
    "nervous",
    "skin",
    "reproductive",
    "cardiovascular",
    "musculoskeletal",
)
SKILLS: Final = (*(f"{AXIS}{name}" for name in AXIS_NAMES), *(f"{ACTION}{name}" for name in ACTIONS))
AXES_WRONG = ("wrong-temperature", "wrong-moisture", "wrong-tone", "wrong-movement")


@dataclass(frozen=True)
class Profile:
    """What a family offers, as expected numbers of distractors (three in all, or none) and of reasons; share of the pool,
    floor."""

    share: float
    floor: float
    options: Mapping[str, float] = field(default_factory=dict)
    reasons: Mapping[str, float] = field(default_factory=dict)
    distinct: bool = False


def _axes(*counts: float) -> dict[str, float]:
    return dict(zip(AXES_WRONG, counts, strict=True))


ROOT, NAME, PLACE, CAUTION = "consequence-for-root", "name-for-reason", "place-overlooked", "caution-overlooked"
STRENGTH, FINDINGS, CONTRARY, WORKROOM = (
    "strength-misjudged", "findings-misread", "contraries-exchanged", "preparation-mistaken",
)  # fmt: skip
PROFILES: Final[Mapping[str, Profile]] = {
    "best-fit": Profile(
        0.40, 0.25, {ROOT: 0.93, PLACE: 0.40, CAUTION: 0.35, STRENGTH: 0.22, NAME: 0.17} | _axes(0.32, 0.37, 0.15, 0.10),
        {ROOT: 0.73, NAME: 0.72}, distinct=True,
    ),
    "would-aggravate": Profile(0.06, 0.25, {CONTRARY: 1.73, STRENGTH: 1.27}, {ROOT: 0.73, NAME: 0.70}),
    "point-of-difference": Profile(
        0.06, 0.25, {CONTRARY: 1.0} | _axes(0.33, 0.83, 0.40, 0.43), {CONTRARY: 1.0, NAME: 0.52}
    ),
    "kinds": Profile(0.06, 1 / 24, {}, {NAME: 0.98}),
    "order-by-fit": Profile(0.06, 1 / 24, {}, {ROOT: 0.82, NAME: 0.78}),
    "place-on-the-plane": Profile(0.06, 1 / 81, {}, {CONTRARY: 1.0, NAME: 0.73, STRENGTH: 0.27}),
    "name-the-state": Profile(
        0.06, 0.25, {FINDINGS: 1.35, ROOT: 0.73} | _axes(0.32, 0.33, 0.12, 0.15), {FINDINGS: 1.55, ROOT: 1.18}
    ),
    "what-would-have-to-change": Profile(0.06, 0.25, {FINDINGS: 2.45, CONTRARY: 0.47, STRENGTH: 0.08}, {NAME: 1.0}),
    "taste-to-effect": Profile(0.06, 0.25, {CONTRARY: 1.0} | _axes(0.58, 0.70, 0.28, 0.43), {NAME: 2.03}),
    "caution": Profile(0.06, 0.25, {CAUTION: 3.0}, {CAUTION: 1.70, NAME: 0.18}),
    "preparation": Profile(0.06, 0.25, {WORKROOM: 3.0}, {WORKROOM: 2.0}),
}  # fmt: skip


@dataclass(frozen=True)
class School:
    """N items: as the engine sees them, their true difficulty, features (N, F), judged weights (F,); confusions of
    distractors (N, 3) and of reasons (N, 3), as places in SLUGS, -1 for none."""

    pool: Pool
    truth: Floats
    features: Floats
    judged: Floats
    options: Ints
    reasons: Ints

    @cached_property
    def skills_at(self) -> list[int]:
        """Places of overall and of the facets of SKILLS among the pool's facets."""
        return [self.pool.facet_names.index(name) for name in (OVERALL, *SKILLS)]


def _drawn(profile: Profile, rng: np.random.Generator) -> tuple[list[int], list[int]]:
    options: list[int] = []
    if profile.options:
        names, counts = list(profile.options), np.array(list(profile.options.values()))
        chosen = rng.choice(len(names), size=3, replace=not profile.distinct, p=counts / counts.sum())
        options = [SLUGS.index(names[place]) for place in chosen]
    reasons = [SLUGS.index(name) for name, count in profile.reasons.items() for _ in range(int(count + rng.random()))][
        :3
    ]
    return (options + [-1] * 3)[:3], (reasons + [-1] * 3)[:3]


def build_school(size: int, rng: np.random.Generator) -> School:
    """An invented pool of ``size`` items."""
    share = np.array([profile.share for profile in PROFILES.values()])
    families = rng.choice(list(PROFILES), size=size, p=share / share.sum())
    models = np.arange(size) // ITEMS_OF_MODEL
    features = np.hstack([np.ones((size, 1)), rng.normal(size=(size, FEATURES))])
    spread = np.sqrt((DIFFICULTY_SD**2 - RESIDUAL_SD**2 - REMAINDER_SD**2) / FEATURES)
    weights = np.array([DIFFICULTY_MEAN, *(spread * rng.choice([-1.0, 1.0], FEATURES))])
    judged = weights + rng.normal(0.0, WEIGHT_ERROR_SD / np.sqrt(FEATURES + 1), FEATURES + 1)
    truth = features @ weights + rng.normal(0.0, RESIDUAL_SD, models.max() + 1)[models]
    truth = truth + rng.normal(0.0, REMAINDER_SD, size)
    believed = features @ judged
    items, options, reasons = [], np.empty((size, 3), dtype=np.int64), np.empty((size, 3), dtype=np.int64)
    for row in range(size):
        options[row], reasons[row] = _drawn(PROFILES[families[row]], rng)
        herbs = [f"herb-{herb}" for herb in rng.choice(HERBS, 4, replace=False)]
        facets = (
            OVERALL,
            f"{ACTION}{ACTIONS[rng.integers(len(ACTIONS))]}",
            f"{AXIS}{AXIS_NAMES[rng.integers(len(AXIS_NAMES))]}",
            f"{SITE}{SYSTEMS[rng.integers(len(SYSTEMS))]}",
        )
        offered = {int(place) for place in (*options[row], *reasons[row]) if place >= 0}
        items.append(
            PoolItem(
                row, float(believed[row]), PROFILES[families[row]].floor, facets, herbs[0], tuple(herbs),
                sum(1 << place for place in offered), str(families[row]), f"model-{models[row]}",
            )
        )  # fmt: skip
    return School(build_pool(items), truth, features, judged, options, reasons)


@dataclass
class Truth:
    """A student as they are: logits by place in the pool's facets (an absent one last), the planted confusion, herbs met."""

    facets: Floats
    planted: int = -1
    met: dict[int, tuple[float, float]] = field(default_factory=dict)  # by herb: day last met, stability in days


@dataclass(frozen=True)
class Answered:
    """An answer: right or not, with the decisive reason or not, confusions offered and taken, the distractor chosen (0 to
    2), the true chance that it would be right."""

    right: bool
    reasoned: bool
    offered: frozenset[str]
    taken: frozenset[str]
    distractor: int
    chance: float


def new_student(school: School, rng: np.random.Generator, planted: int = -1) -> Truth:
    """A student drawn from the school's distribution."""
    names = school.pool.facet_names
    facets = np.append(rng.normal(0.0, FACET_SD, len(names)), 0.0)
    facets[names.index(OVERALL)] = rng.normal(0.0, OVERALL_SD)
    return Truth(facets, planted)


def true_skills(school: School, student: Truth) -> Floats:
    """(12,) true values of the skills, in the order of SKILLS."""
    overall, *others = school.skills_at
    return np.asarray(student.facets[overall] + student.facets[others])


def recall_left(days: float, stability: float) -> float:
    """Share recalled after days: the power forgetting curve of the spacing library with its usual decay, 90 % after the
    stability."""
    decay = -0.1542
    return float((1.0 + (0.9 ** (1.0 / decay) - 1.0) * max(0.0, days) / stability) ** decay)


def answer(school: School, student: Truth, row: int, day: float, rng: np.random.Generator) -> Answered:
    """A student's answer to an item, after which they have learned and their memory of its key herb is fresh."""
    pool = school.pool
    floor, herb, at = float(pool.floor[row]), int(pool.key_part[row]), pool.facets[row]
    ability = float(student.facets[at].sum())
    last, stability = student.met.get(herb, (day, 0.0))
    faded = FORGOTTEN * (1.0 - recall_left(day - last, stability)) if stability else 0.0
    chance = float(success(ability - faded, float(school.truth[row]), floor))
    options, reasons = school.options[row], school.reasons[row]
    misled = student.planted >= 0 and rng.random() < PLANTED
    luring = np.flatnonzero(options == student.planted) if student.planted >= 0 else np.empty(0, dtype=np.int64)
    distractor = -1
    if misled and len(luring):
        distractor = int(rng.choice(luring))
    elif rng.random() >= chance:
        distractor = int(rng.integers(3))
    reasoned = bool(rng.random() < success(ability - faded, float(school.truth[row]), 1.0 / REASONS))
    taken_reason = -1
    if misled and not len(luring) and student.planted in reasons:
        reasoned, taken_reason = False, student.planted
    elif not reasoned:
        place = int(rng.integers(REASONS - 1))
        taken_reason = int(reasons[place]) if place < len(reasons) else -1
    offered = {int(place) for place in (*options, *reasons) if place >= 0}
    taken = {taken_reason, int(options[distractor]) if distractor >= 0 else -1} - {-1}
    student.facets[at[[ACTION_AT, AXIS_AT]]] += LEARNING
    grown = 2.0 * stability if stability else FIRST_STABILITY * float(rng.lognormal(0.0, 0.5))
    student.met[herb] = (day, grown)
    return Answered(
        distractor < 0,
        reasoned,
        frozenset(SLUGS[place] for place in offered),
        frozenset(SLUGS[place] for place in taken),
        distractor,
        chance * (1.0 - PLANTED) if len(luring) else chance,
    )
