"""Practice in the invented school, with the functions that serve real students: what the model recovers, and how fast skills
are mastered.

Students go on in step, a block of answers each; between blocks difficulties are fitted again from the answers to items
served by lot, and the cohort's rates of confusions are counted again. Twenty answers are a day.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from quizzes.engine.grading import BOTH_RIGHT, BOTH_WRONG, RIGHT_FOR_WRONG_REASON, WRONG_FOR_RIGHT_REASON

from .ability import Ability, aged, prior, success, updated
from .calibration import Floats, difficulties, fit
from .confusions import SLUGS
from .constants import AIM, CALIBRATION_SHARE, DEFAULT_RATE, LEVEL, RECENT
from .evidence import NONE, Evidence, cohort_rates, probability, recorded, shown, suspected
from .memory import Memory, is_due, reviewed
from .pool import Ints, Pool, Served, served
from .selection import LOT, SKILL, Choice, Reason, abilities, choose
from .simulated_school import SKILLS, School, Truth, answer, new_student, true_skills
from .skills import mastered, skill_values

BLOCK: Final = 20  # answers between two fittings, and in a day
DAY_ONE: Final = datetime(2025, 9, 1, 9, tzinfo=UTC)
PAIRS_ASKED: Final = 6  # of those due, the longest due first
HERBS_ASKED: Final = 6
OUTCOME_OF: Final = {
    (True, True): BOTH_RIGHT,
    (True, False): RIGHT_FOR_WRONG_REASON,
    (False, True): WRONG_FOR_RIGHT_REASON,
    (False, False): BOTH_WRONG,
}
Progress = Callable[[str], None]


def silent(text: str) -> None:
    """Progress told to nobody."""


@dataclass
class Learner:
    """A student's truth, and what the engine keeps of them."""

    truth: Truth
    ability: Ability
    record: dict[str, Evidence] = field(default_factory=dict)
    herbs: dict[str, Memory] = field(default_factory=dict)
    pairs: dict[tuple[str, str], Memory] = field(default_factory=dict)
    met: Ints = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    recent: list[Served] = field(default_factory=list)
    due_herbs: list[str] = field(default_factory=list)
    due_pairs: list[tuple[str, str]] = field(default_factory=list)

    def herb_due(self, slug: str) -> datetime:
        """When an herb is due."""
        return self.herbs[slug].due

    def pair_due(self, pair: tuple[str, str]) -> datetime:
        """When a pair is due."""
        return self.pairs[pair].due


@dataclass
class History:
    """What happened, by student and answer: true chance, whether by lot (S, T); skills as estimated and true at the end (S,
    12); whether claimed and whether truly mastered (S, T, 12); first answer at which any confusion was shown (S,), 0 for
    never; the place by probability of the planted confusion (S, T), from 1."""

    chance: Floats
    lot: NDArray[np.bool_]
    estimated: Floats
    true: Floats
    claimed: NDArray[np.bool_]
    mastered: NDArray[np.bool_]
    first_shown: Ints
    place: Ints
    errors: list[float]  # standard deviation of believed less true difficulties, at the start and after every block


Policy = Callable[[Pool, Learner, dict[str, float], datetime, int, np.random.Generator], Choice]


def practice(
    pool: Pool, learner: Learner, rates: dict[str, float], at: datetime, number: int, rng: np.random.Generator
) -> Choice:
    """The engine's own choice."""
    if not number % BLOCK:  # a new day: what is due on it is looked up once
        learner.due_herbs = sorted(
            (slug for slug, kept in learner.herbs.items() if is_due(kept, at)), key=learner.herb_due
        )
        learner.due_pairs = sorted(
            (pair for pair, kept in learner.pairs.items() if is_due(kept, at)), key=learner.pair_due
        )
    return choose(
        pool, ability=learner.ability, shown=shown(learner.record, rates), suspected=suspected(learner.record, rates),
        due_herbs=learner.due_herbs[:HERBS_ASKED], due_pairs=learner.due_pairs[:PAIRS_ASKED], met=learner.met,
        recent=learner.recent, rng=rng,
    )  # fmt: skip


def round_robin(
    pool: Pool, learner: Learner, rates: dict[str, float], at: datetime, number: int, rng: np.random.Generator
) -> Choice:
    """The comparison: skills strictly in turn, each with the item nearest to the same success; a tenth by lot as well."""
    del rates, at
    free = np.ones(len(pool), dtype=np.bool_)
    free[learner.met] = False
    if rng.random() < CALIBRATION_SHARE:
        return Choice(int(rng.choice(np.flatnonzero(free))), Reason(LOT), 0.0)
    facet = SKILLS[number % len(SKILLS)]
    found = np.flatnonzero(free & (pool.facets == pool.facet_names.index(facet)).any(axis=1))
    chance = success(abilities(pool, learner.ability)[found], pool.difficulty[found], pool.floor[found])
    row = int(found[np.argmin(np.abs(chance - AIM))])
    return Choice(row, Reason(SKILL, (facet,)), 0.0)


def run(
    school: School, *, students: int, answers: int, rng: np.random.Generator, policy: Policy = practice, planted: bool = False,
    told: str = "", progress: Progress = silent,
) -> History:  # fmt: skip
    """Let students practise. ``planted`` gives each one confusion, every confusion in turn; else nobody has any."""
    learners = [
        Learner(
            new_student(school, rng, number % len(SLUGS) if planted else -1),
            prior(school.pool.facet_names),
        )
        for number in range(students)
    ]
    pool = school.pool
    shape = (students, answers)
    history = History(
        np.zeros(shape), np.zeros(shape, dtype=np.bool_), np.zeros((students, len(SKILLS))), np.zeros((students, len(SKILLS))),
        np.zeros((*shape, len(SKILLS)), dtype=np.bool_), np.zeros((*shape, len(SKILLS)), dtype=np.bool_),
        np.zeros(students, dtype=np.int64), np.zeros(shape, dtype=np.int64), [float(np.std(pool.difficulty - school.truth))],
    )  # fmt: skip
    lots: list[tuple[float, int, bool]] = []  # ability before, row, right
    rates = dict.fromkeys(SLUGS, DEFAULT_RATE)
    for start in range(0, answers, BLOCK):
        at = DAY_ONE + timedelta(days=start // BLOCK)
        for number, learner in enumerate(learners):
            for turn in range(start, min(start + BLOCK, answers)):
                _one_answer(school, pool, learner, rates, at, turn, policy, rng, history, number, lots)
            learner.ability = aged(learner.ability, 1.0)
        rates = cohort_rates([learner.record for learner in learners])
        pool = _recalibrated(school, pool, lots)
        history.errors.append(float(np.std(pool.difficulty - school.truth)))
        progress(f"{told}: {min(start + BLOCK, answers)} of {answers} answers")
    for number, learner in enumerate(learners):
        history.estimated[number] = skill_values(learner.ability, SKILLS)[0]
        history.true[number] = true_skills(school, learner.truth)
    return history


def _one_answer(
    school: School, pool: Pool, learner: Learner, rates: dict[str, float], at: datetime, turn: int, policy: Policy,
    rng: np.random.Generator, history: History, number: int, lots: list[tuple[float, int, bool]],
) -> None:  # fmt: skip
    choice = policy(pool, learner, rates, at, turn, rng)
    row = choice.row
    names = pool.facets_of(row)
    given = answer(school, learner.truth, row, turn / BLOCK, rng)
    history.chance[number, turn] = given.chance
    if choice.reason.code == LOT:
        history.lot[number, turn] = True
        lots.append((float(sum(learner.ability.mean[learner.ability.places[n]] for n in names)), row, given.right))
    learner.ability = updated(
        learner.ability, names, right=given.right, difficulty=float(pool.difficulty[row]), floor=float(pool.floor[row])
    )
    learner.record = recorded(learner.record, given.offered, given.taken, rates)
    _remember(pool, learner, row, given.distractor, OUTCOME_OF[given.right, given.reasoned], at)
    learner.met = np.append(learner.met, row)
    learner.recent = [*learner.recent[1 - RECENT :], served(pool, row)]
    history.claimed[number, turn] = mastered(learner.ability, SKILLS)
    history.mastered[number, turn] = true_skills(school, learner.truth) >= LEVEL
    if not history.first_shown[number] and any(evidence.is_shown for evidence in learner.record.values()):
        history.first_shown[number] = turn + 1
    if learner.truth.planted >= 0:
        chances = [probability(learner.record.get(slug, NONE), rates[slug]) for slug in SLUGS]
        history.place[number, turn] = 1 + sum(chance > chances[learner.truth.planted] for chance in chances)


def _remember(pool: Pool, learner: Learner, row: int, distractor: int, outcome: str, at: datetime) -> None:
    """The key's herb is reviewed; with the herb it was taken for it makes a pair, which is reviewed wherever both stand."""
    parts = pool.parts_of(row)
    key = parts[0]
    learner.herbs[key] = reviewed(learner.herbs.get(key), outcome, at)
    learner.due_herbs = [slug for slug in learner.due_herbs if slug != key]
    for pair in [pair for pair in learner.pairs if pair[0] in parts and pair[1] in parts]:
        learner.pairs[pair] = reviewed(learner.pairs[pair], outcome, at)
        learner.due_pairs = [due for due in learner.due_pairs if due != pair]
    if distractor >= 0:
        one, other = sorted((key, parts[1 + distractor]))
        if (one, other) not in learner.pairs:
            learner.pairs[one, other] = reviewed(None, outcome, at)


def _recalibrated(school: School, pool: Pool, lots: list[tuple[float, int, bool]]) -> Pool:
    """The pool with difficulties fitted from all answers by lot so far."""
    if not lots:
        return pool
    ability, rows, right = (np.array(column) for column in zip(*lots, strict=True))
    calibration = fit(
        ability, school.features[rows], pool.model[rows], right, pool.floor[rows],
        weights=school.judged, models=len(pool.model_names),
    )  # fmt: skip
    return replace(pool, difficulty=difficulties(calibration, school.features, pool.model))
