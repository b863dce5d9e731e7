"""Why no form meets a drill plan: an irreducible set of demands in conflict, and the nearest plan that can be met.

Elastic filtering and deletion filtering as in Chinneck, Feasibility and Infeasibility in Optimization (2008), chapter 6.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from .form_program import constrain, group, preference, sample
from .forms import SAMPLE
from .integer_program import INFEASIBLE, OPTIMAL, IntegerProgram
from .item_bank import Candidate, ItemBank, Numbers
from .nearest_plan import SEED, STRETCHED, nearest_plan, stretch
from .plans import COUNTED, MOST_ITEMS, DrillPlan, Requirement, requirements_of


class NoConflictError(Exception):
    """No conflict can be shown: the plan can be met, or the time ran out before it was decided."""


@dataclass(frozen=True)
class Conflict:
    """Demands that cannot be met together, while all but any one of them can.

    ``sentences``: one for each of ``requirements``, with what the bank holds. ``reason``: what is the most, or the least,
    that the others leave to one of them. ``proved``: whether the set was shown irreducible before the time ran out.
    ``nearest``: a plan that can be met and changes the fewest demands, and those the least; None when the bank has no item
    in scope, or when none was found in time. ``changes``: a sentence for each demand changed. ``nearest_proved``: whether no
    smaller change would do.
    """

    requirements: tuple[Requirement, ...]
    sentences: tuple[str, ...]
    reason: str
    proved: bool
    nearest: DrillPlan | None
    changes: tuple[str, ...]
    nearest_proved: bool


def explain(plan: DrillPlan, candidates: Iterable[Candidate], *, time_limit: float = 10.0) -> Conflict:
    """What in a plan is in conflict, and the nearest plan. ``time_limit``: seconds for each single solve.

    NoConflictError when the plan can be met, or when that could not be decided in time.
    """
    bank = candidates if isinstance(candidates, ItemBank) else ItemBank(candidates)
    suspects = _elastic_filter(bank, requirements_of(plan), time_limit)
    found, proved = _deletion_filter(bank, suspects, time_limit)
    nearest, changes, nearest_proved = nearest_plan(bank, plan, found, time_limit)
    return Conflict(
        found,
        tuple(_with_supply(bank, wanted, found) for wanted in found),
        _reason(bank, found, time_limit),
        proved,
        nearest,
        changes,
        nearest_proved,
    )


def feasible(bank: ItemBank, requirements: Sequence[Requirement], time_limit: float) -> bool | None:
    """Whether some form satisfies the requirements; None when the time ran out. A sample is tried before the whole bank."""
    rows = bank.eligible(requirements)
    first = sample(bank, rows, requirements, preference(bank, SEED), SAMPLE)
    for tried in (first, rows) if len(first) < len(rows) else (rows,):
        outcome = _program(bank, tried, requirements).solve(time_limit)
        if outcome.values is not None:
            return True
    return False if outcome.status == INFEASIBLE else None


def _program(bank: ItemBank, rows: Numbers, requirements: Sequence[Requirement]) -> IntegerProgram:
    """A program whose columns are groups of rows, without a cost."""
    program, groups = IntegerProgram(), group(bank, rows, requirements, preference(bank, SEED))
    program.add_columns(np.minimum(groups.sizes, MOST_ITEMS))
    constrain(program, bank, groups, requirements)
    return program


def _elastic_filter(bank: ItemBank, requirements: Sequence[Requirement], time_limit: float) -> tuple[Requirement, ...]:
    """Requirements that are infeasible together, few of them; those of a sample are tried first on the whole bank."""
    rows = bank.in_scope(requirements)
    first = sample(bank, rows, requirements, preference(bank, SEED), SAMPLE)
    for tried in (first, rows) if len(first) < len(rows) else (rows,):
        suspects = _stretched(bank, tried, requirements, time_limit)
        if suspects is not None and (tried is rows or feasible(bank, suspects, time_limit) is False):
            return suspects
    if feasible(bank, requirements, time_limit) is not False:
        raise NoConflictError("It could not be decided in time whether the plan can be met.")
    return tuple(requirements)


def _stretched(
    bank: ItemBank, rows: Numbers, requirements: Sequence[Requirement], time_limit: float
) -> tuple[Requirement, ...] | None:
    """Requirements that some rows cannot meet together: those that must stretch are enforced, again and again, until nothing
    can stretch enough. None when that was not found in time."""
    enforced = [wanted for wanted in requirements if wanted.standing]
    while True:
        elastic = [wanted for wanted in requirements if wanted not in enforced]
        _, outcome, slack = stretch(bank, rows, enforced, elastic, time_limit, counted=False)
        if outcome.status == INFEASIBLE:
            return tuple(wanted for wanted in requirements if wanted in enforced)
        values = outcome.values
        if values is None:
            return None
        stretched = [wanted for wanted in elastic if values[slack[wanted]] > STRETCHED]
        if not stretched:
            raise NoConflictError("The plan can be met.")
        enforced += stretched


def _deletion_filter(
    bank: ItemBank, suspects: Sequence[Requirement], time_limit: float
) -> tuple[tuple[Requirement, ...], bool]:
    """Leave out what the infeasibility does not need, one after another; and whether every step was decided in time."""
    kept, proved = list(suspects), True
    for wanted in suspects:
        rest = [other for other in kept if other is not wanted]
        decided = feasible(bank, rest, time_limit)
        if decided is False:
            kept = rest
        proved = proved and decided is not None
    return tuple(kept), proved


def _with_supply(bank: ItemBank, wanted: Requirement, found: Sequence[Requirement]) -> str:
    """A requirement's sentence, with how many such items the bank holds where too few may be the trouble."""
    rows = bank.in_scope(found)
    scoped = " in scope" if any(other.kind == "scope" for other in found) else ""
    if wanted.kind in COUNTED or wanted.kind == "band":
        have = int(bank.mask(wanted)[rows].sum())
        noun = "item" if have == 1 else "items"
        return (
            f"{wanted.sentence} The bank has {have} such {noun}{scoped}." if wanted.side == "least" else wanted.sentence
        )
    if wanted.kind == "key":
        have = len(set(bank.key[rows].tolist()) - {0})
        return f"{wanted.sentence} {have} herbs{scoped} can be right answers."
    if wanted.kind == "herb":
        rows_in = np.isin(bank.row_of, rows)
        return f"{wanted.sentence} {len(set(bank.herb_of[rows_in].tolist()))} herbs{scoped} can be shown."
    return wanted.sentence


def _reason(bank: ItemBank, found: Sequence[Requirement], time_limit: float) -> str:
    """What the other demands of a conflict leave to one of them; empty when that was not found in time."""
    numbers = [w for w in found if w.kind in COUNTED or w.kind in ("band", "length")]
    numbers.sort(key=lambda wanted: (wanted.side != "least", wanted.kind == "length"))
    for wanted in numbers:
        rest = [other for other in found if other is not wanted]
        rows = bank.eligible(rest)
        groups = group(bank, rows, found, preference(bank, SEED))
        program = IntegerProgram()
        counted = np.ones(len(groups.first))
        if wanted.kind != "length":
            counted = bank.mask(wanted)[groups.first].astype(float)
        program.add_columns(np.minimum(groups.sizes, MOST_ITEMS), counted * (-1 if wanted.side == "least" else 1))
        constrain(program, bank, groups, rest)
        outcome = program.solve(time_limit)
        if outcome.status == OPTIMAL and outcome.values is not None:
            reached = round(float(counted @ outcome.values[: len(counted)]))
            bound = "most" if wanted.side == "least" else "least"
            return _reached(wanted, reached, bound, alone=len(found) == 1)
    return ""


def _reached(wanted: Requirement, reached: int, bound: str, *, alone: bool) -> str:
    what = "items"
    if wanted.kind in COUNTED:
        what = "items " + COUNTED[wanted.kind][1].format(wanted.value)
    elif wanted.kind == "band":
        what = "items of that difficulty"
    others = "The bank allows" if alone else "The others together allow"
    return f"{others} at {bound} {reached} {what}."
