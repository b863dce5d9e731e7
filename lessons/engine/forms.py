"""Forms: items chosen from the bank so that a drill plan is met, by integer program.

Van der Linden, Linear Models for Optimal Test Design (2005), gives the method: one variable for each item (here: for each
group of items that the plan cannot tell apart), one row for each demand.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from .form_order import in_order
from .form_program import Groups, constrain, group, members_taken, preference, sample
from .integer_program import INFEASIBLE, IntegerProgram, Outcome
from .item_bank import PLACES, Candidate, ItemBank, Numbers
from .plans import COUNTED, LOGIT, DrillPlan, Requirement, requirements_of

SAMPLE = 1500  # items looked at first; the whole bank only where these do not do
SAMPLE_SHARE = 0.4  # of the time limit
GAP = 0.05  # a form's cost is proved to within this share of the least; each item costs at least 1
EXPOSURE_COST = 0.5  # for each doubling of how often an item was given
CHANCE_COST = 0.5  # the seed's preference, at most
CROWDING_COST = 0.4  # for each item by which a class, a state or a key has more than its even share

MET, BEST_FOUND = "met", "best found"
Clock = Callable[[], float]


class InfeasiblePlanError(Exception):
    """No form of the bank's items meets the plan; ``explain`` says why."""


@dataclass(frozen=True)
class Assembly:
    """A form. ``codes``: its items in order. ``status``: "met" (every demand holds, and the cost is proved to the gap aimed
    at) or "best found" (the time ran out). ``gap``: relative distance from the least possible cost, infinite when unknown.
    ``unmet``: a sentence for each demand missed, empty unless the time ran out before any form was found.
    ``seconds``: None unless a clock was given.
    """

    codes: tuple[str, ...]
    status: str
    gap: float
    unmet: tuple[str, ...] = ()
    seconds: float | None = None


def assemble(
    plan: DrillPlan, candidates: Iterable[Candidate], *, seed: int, time_limit: float = 10.0, clock: Clock | None = None
) -> Assembly:
    """A form that meets a plan. The same seed, plan and bank give the same form, unless the time runs out.

    ``time_limit``: seconds for the solver; ``clock``: seconds, such as ``time.perf_counter``. InfeasiblePlanError when it
    is proved that no form meets the plan.
    """
    begin = clock() if clock else 0.0
    bank = candidates if isinstance(candidates, ItemBank) else ItemBank(candidates)
    chosen, outcome = choose(bank, plan, seed=seed, time_limit=time_limit, clock=clock)
    missed = unmet(plan, [bank.candidates[row] for row in chosen])
    return Assembly(
        tuple(item.code for item in in_order([bank.candidates[row] for row in chosen], seed)),
        MET if outcome.gap <= GAP and not missed else BEST_FOUND,
        outcome.gap,
        missed,
        clock() - begin if clock else None,
    )


def choose(
    bank: ItemBank, plan: DrillPlan, *, seed: int, time_limit: float, clock: Clock | None = None,
    without: Collection[int] = (),
) -> tuple[list[int], Outcome]:  # fmt: skip
    """Bank rows of a form, none of them in ``without``, and how the solve ended. InfeasiblePlanError when there is none."""
    begin = clock() if clock else 0.0
    requirements = requirements_of(plan)
    order = preference(bank, seed)
    rows = bank.eligible(requirements)
    if without:
        rows = rows[~np.isin(rows, np.fromiter(without, dtype=np.int64))]
    first = sample(bank, rows, requirements, order, SAMPLE)
    whole = len(first) == len(rows)
    groups, outcome = _solve(bank, plan, first, requirements, seed, time_limit * (1 if whole else SAMPLE_SHARE), True)
    if outcome.values is None and not whole:
        spent = clock() - begin if clock else time_limit * SAMPLE_SHARE
        groups, outcome = _solve(bank, plan, rows, requirements, seed, time_limit - spent, False)
    if outcome.status == INFEASIBLE:
        raise InfeasiblePlanError("No form of the items in the bank meets this plan.")
    if outcome.values is None:
        counts = _by_turns(bank, groups, requirements, plan.length)
    else:
        counts = outcome.values[: len(groups.first)].astype(np.int64)
    return members_taken(bank, groups, counts, _spread(bank)), outcome


def _spread(bank: ItemBank) -> tuple[Numbers, ...]:
    """What should vary in a form."""
    return bank.single["classes"], bank.single["states"], bank.key


def _solve(
    bank: ItemBank, plan: DrillPlan, rows: Numbers, requirements: Sequence[Requirement], seed: int, time_limit: float,
    varied: bool,
) -> tuple[Groups, Outcome]:  # fmt: skip
    """Groups of rows and a solution over them; its first columns are the groups. ``varied``: crowding costs."""
    spread = _spread(bank) if varied else ()
    groups = group(bank, rows, requirements, preference(bank, seed), (bank.level, *spread))
    program = IntegerProgram()
    chance = np.random.Generator(np.random.PCG64(seed)).random(len(groups.first))
    cost = 1 + EXPOSURE_COST * bank.level[groups.first] + CHANCE_COST * chance
    program.add_columns(np.minimum(groups.sizes, plan.length), cost)
    constrain(program, bank, groups, requirements)
    for column in spread:
        _cost_crowding(program, column[groups.first], plan.length)
    return groups, program.solve(time_limit, GAP)


def _cost_crowding(program: IntegerProgram, values: Numbers, length: int) -> None:
    """Make each item cost something by which a value has more than its even share of the form."""
    names, which = np.unique(values, return_inverse=True)
    if len(names) < 2:
        return
    share = -(-length // len(names))
    over = program.add_columns(np.full(len(names), float(length)), CROWDING_COST, whole=False)
    every = np.arange(len(names))
    program.add_rows(
        np.full(len(names), -np.inf),
        np.full(len(names), float(share)),
        np.concatenate([which, every]),
        np.concatenate([np.arange(len(values)), over + every]),
        np.concatenate([np.ones(len(values)), -np.ones(len(names))]),
    )


def _by_turns(bank: ItemBank, groups: Groups, requirements: Sequence[Requirement], length: int) -> Numbers:
    """(G,) a form taken item by item, each the one that brings most that is lacking and least that is too much.

    Skeletons are never shared; other demands may be missed. Only for when the time ran out before the solver had a form.
    """
    counts = np.zeros(len(groups.first), dtype=np.int64)
    counted = [w for w in requirements if w.kind in COUNTED or w.kind == "band"]
    masks = np.array([bank.mask(w)[groups.first] for w in counted], dtype=float).reshape(len(counted), len(counts))
    amounts = np.array([w.amount for w in counted], dtype=float)
    least = np.array([w.side == "least" for w in counted], dtype=bool)
    place, skeleton = bank.place[groups.first], bank.skeleton[groups.first]
    alone = any(w.kind == "skeleton" for w in requirements)
    for _ in range(min(length, int(groups.sizes.sum()))):
        have = masks @ counts
        weight = np.where(least, (have < amounts) * 1.0, (have >= amounts) * -2.0)
        taken = np.bincount(place, weights=counts, minlength=PLACES + 1)
        gain = weight @ masks - 0.25 * np.where(place > 0, taken[place] - taken[1:].min(), 0)
        gain[counts >= groups.sizes] = -np.inf
        if alone:
            gain[groups.alone & np.isin(skeleton, skeleton[(counts > 0) & groups.alone])] = -np.inf
        best = int(np.argmax(gain))
        if gain[best] == -np.inf:
            break
        counts[best] += 1
    return counts


def unmet(plan: DrillPlan, items: Sequence[Candidate]) -> tuple[str, ...]:
    """A sentence for each requirement of a plan that a form misses."""
    return tuple(wanted.sentence for wanted in requirements_of(plan) if not holds(wanted, items))


def holds(wanted: Requirement, items: Sequence[Candidate]) -> bool:
    """Whether a form satisfies one requirement, by counting its items."""
    if wanted.kind == "skeleton":
        return len({item.skeleton for item in items}) == len(items)
    if wanted.kind == "scope":
        return all(item.herbs <= wanted.parts for item in items)
    if wanted.kind == "position":
        places = Counter(item.key_position for item in items if item.key_position is not None)
        return max(places.values(), default=0) - min(places[place] for place in range(PLACES)) <= 1
    if wanted.kind in ("key", "herb"):
        shown = (item.herbs if wanted.kind == "herb" else {item.key} - {""} for item in items)
        return max(Counter(herb for herbs in shown for herb in herbs).values(), default=0) <= wanted.amount
    found = achieved(wanted, items)
    return found >= wanted.amount if wanted.side == "least" else found <= wanted.amount


def achieved(wanted: Requirement, items: Sequence[Candidate]) -> float:
    """What a form has of something counted: items, or thousandths of a logit for a mean."""
    if wanted.kind == "length":
        return len(items)
    if wanted.kind == "mean":
        return sum(item.difficulty for item in items) / len(items) if items else wanted.amount
    if wanted.kind == "band":
        low = -LOGIT * LOGIT if wanted.low is None else wanted.low
        high = LOGIT * LOGIT if wanted.high is None else wanted.high
        return sum(low <= item.difficulty < high for item in items)
    return sum(wanted.value in item.values(wanted.kind) for item in items)
