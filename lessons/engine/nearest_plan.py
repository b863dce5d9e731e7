"""The nearest plan that can be met: the fewest demands changed, and those the least."""

import math
from collections.abc import Sequence

import numpy as np

from .form_program import Groups, constrain, group, members_taken, preference, sample
from .forms import SAMPLE, achieved, unmet
from .integer_program import OPTIMAL, STOPPED, IntegerProgram, Outcome
from .item_bank import ItemBank, Numbers
from .plans import MOST_ITEMS, DrillPlan, Requirement, relaxed, requirements_of

SEED = 0  # chance plays no part here; the seed only fixes the order of equal items
STRETCHED = 1e-6
WIDEST_MEAN = 10.0  # logits by which a mean may be missed

Stretch = tuple[Groups, Outcome, dict[Requirement, int]]


def stretch(
    bank: ItemBank, rows: Numbers, enforced: Sequence[Requirement], elastic: Sequence[Requirement], time_limit: float, *,
    counted: bool,
) -> tuple[Groups, Outcome, dict[Requirement, int]]:  # fmt: skip
    """Solve with some requirements elastic, for the least stretch; a stretch is measured by the widest it could be.

    ``counted``: for the fewest requirements stretched, and the least stretch among those. The slack columns are returned.
    """
    groups = group(bank, rows, [*enforced, *elastic], preference(bank, SEED))
    program = IntegerProgram()
    program.add_columns(np.minimum(groups.sizes, MOST_ITEMS))
    slack: dict[Requirement, int] = {}
    for wanted in elastic:
        most = widest(wanted)
        slack[wanted] = program.add_columns(most, 1 / max(most, 1.0), whole=wanted.kind != "mean")
        if counted:
            stretched = program.add_columns(1, len(elastic) + 1)
            program.add_rows(-np.inf, 0, [0, 0], [slack[wanted], stretched], [1, -most])
    constrain(program, bank, groups, [*enforced, *elastic], slack=slack)
    if counted and len(groups.first):
        program.add_rows(1, np.inf, 0, np.arange(len(groups.first)))  # a plan has one item or more
    return groups, program.solve(time_limit), slack


def widest(wanted: Requirement) -> float:
    """The widest stretch that could ever be needed."""
    if wanted.kind == "mean":
        return WIDEST_MEAN * MOST_ITEMS
    return wanted.amount if wanted.side == "least" else MOST_ITEMS - min(wanted.amount, MOST_ITEMS)


def nearest_plan(
    bank: ItemBank, plan: DrillPlan, conflict: Sequence[Requirement], time_limit: float
) -> tuple[DrillPlan | None, tuple[str, ...], bool]:
    """The nearest plan, a sentence for each change, and whether no smaller change would do; no plan when the bank has no
    item in scope. ``conflict``: demands that cannot hold together, so that one of them at least must change."""
    requirements = requirements_of(plan)
    rows = bank.in_scope(requirements)
    if not len(rows):
        return None, (), True
    found, proved = _one_change(bank, requirements, conflict, time_limit)
    if found is None:
        found, proved = _several_changes(bank, rows, requirements, time_limit)
    groups, outcome, slack = found
    if outcome.values is None:
        return None, (), False
    counts = outcome.values[: len(groups.first)].astype(np.int64)
    form = [bank.candidates[row] for row in members_taken(bank, groups, counts, ())]
    changes: dict[Requirement, int] = {}
    for wanted, column in slack.items():
        if outcome.values[column] <= STRETCHED:
            continue
        if wanted.kind in ("key", "herb"):
            changes[wanted] = wanted.amount + round(float(outcome.values[column]))
        else:
            have = achieved(wanted, form)
            changes[wanted] = math.floor(have) if wanted.side == "least" else math.ceil(have)
    nearest, sentences = relaxed(plan, changes)
    if unmet(nearest, form):
        raise AssertionError("The form found for the nearest plan does not meet it.")
    return nearest, sentences, proved


def _one_change(
    bank: ItemBank, requirements: Sequence[Requirement], conflict: Sequence[Requirement], time_limit: float
) -> tuple[Stretch | None, bool]:
    """The least stretch of one demand of the conflict that makes the rest possible; None when no single one does.

    A sample is tried first; the whole bank then tells only where less might do.
    """
    best: Stretch | None = None
    least, proved = np.inf, True
    own = sorted((wanted for wanted in conflict if not wanted.standing), key=_smallest)
    limit = time_limit / max(len(own), 1)
    for sampled in (True, False):
        for wanted in own:
            if _smallest(wanted) >= least - STRETCHED:
                continue
            others = [other for other in requirements if other != wanted]
            rows = bank.eligible(others)
            if sampled:
                rows = sample(bank, rows, requirements, preference(bank, SEED), SAMPLE)
            found = stretch(bank, rows, others, [wanted], limit, counted=False)
            proved = proved and (sampled or found[1].status != STOPPED)
            if found[1].values is not None and found[1].cost < least - STRETCHED:
                best, least = found, found[1].cost
    return best, proved


def _smallest(wanted: Requirement) -> float:
    """The cost of the smallest stretch there is."""
    return 0.0 if wanted.kind == "mean" else 1 / max(widest(wanted), 1.0)


def _several_changes(
    bank: ItemBank, rows: Numbers, requirements: Sequence[Requirement], time_limit: float
) -> tuple[Stretch, bool]:
    enforced = [wanted for wanted in requirements if wanted.standing]
    elastic = [wanted for wanted in requirements if not wanted.standing]
    found = stretch(bank, rows, enforced, elastic, time_limit, counted=True)
    proved = found[1].status == OPTIMAL
    if not proved:
        first = sample(bank, rows, requirements, preference(bank, SEED), SAMPLE)
        second = stretch(bank, first, enforced, elastic, time_limit, counted=True)
        if second[1].cost < found[1].cost:
            found = second
    return found, proved
