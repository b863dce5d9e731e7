"""Parallel forms: several forms of one drill plan with as few items in common as the bank allows, alike in difficulty."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from .form_order import in_order
from .form_program import Groups, constrain, group, preference, sample
from .forms import BEST_FOUND, MET, SAMPLE, Assembly, Clock, InfeasiblePlanError, choose, unmet
from .integer_program import OPTIMAL, IntegerProgram, Outcome, Vector
from .item_bank import Candidate, ItemBank
from .plans import LOGIT, DrillPlan, requirements_of

ALIKE = 100  # thousandths of a logit by which a mean may differ from the first form's, while forms are made one by one
BIN = 250  # thousandths of a logit: items this near count as equally hard when all forms are made at once
LIFT = 20.0  # logits added to means, so that columns need not be negative
CLOSE = 0.05  # logits: means this near each other are near enough, and no time is spent on less


@dataclass(frozen=True)
class ParallelForms:
    """Forms of one plan. ``repeated``: uses of items beyond their first, over all forms. ``apart``: between the highest and
    the lowest mean difficulty, thousandths of a logit. ``status``: "met" when every form meets the plan and no fewer
    repeated uses are possible, else "best found". ``seconds``: None unless a clock was given.
    """

    forms: tuple[Assembly, ...]
    repeated: int
    apart: float
    status: str
    seconds: float | None = None


@dataclass(frozen=True)
class _Together:
    """Rows of each form, repeated uses, and whether fewer were shown impossible."""

    forms: list[list[int]]
    repeated: int
    proved: bool


def assemble_parallel(
    plan: DrillPlan, candidates: Iterable[Candidate], *, forms: int, seed: int, time_limit: float = 20.0,
    clock: Clock | None = None,
) -> ParallelForms:  # fmt: skip
    """So many forms of a plan. Zero items are repeated where the bank suffices, else as few as possible.

    Forms are first made one after another, each without the items of those before; only where that fails are all made at
    once. InfeasiblePlanError when not even one form meets the plan.
    """
    if forms < 1:
        raise ValueError("Ask for one form or more.")
    begin = clock() if clock else 0.0
    bank = candidates if isinstance(candidates, ItemBank) else ItemBank(candidates)
    found = _one_by_one(bank, plan, forms, seed, time_limit / 2)
    if found is None:
        found = _at_once(bank, plan, forms, seed, time_limit / 2)
    items = [[bank.candidates[row] for row in form] for form in found.forms]
    missed = [unmet(plan, form) for form in items]
    means = [sum(item.difficulty for item in form) / max(len(form), 1) for form in items]
    met = found.proved and not any(missed)
    return ParallelForms(
        tuple(
            Assembly(
                tuple(item.code for item in in_order(form, seed + number)),
                BEST_FOUND if lacking else MET,
                np.inf if lacking else 0.0,
                lacking,
            )
            for number, (form, lacking) in enumerate(zip(items, missed, strict=True))
        ),
        found.repeated,
        max(means) - min(means),
        MET if met else BEST_FOUND,
        clock() - begin if clock else None,
    )


def _one_by_one(bank: ItemBank, plan: DrillPlan, forms: int, seed: int, time_limit: float) -> _Together | None:
    """Disjoint forms alike in difficulty, or None when that way found none."""
    made: list[list[int]] = []
    wanted, used = plan, set[int]()
    for number in range(forms):
        try:
            rows, _ = choose(bank, wanted, seed=seed + number, time_limit=time_limit / forms, without=used)
        except InfeasiblePlanError:
            if not made:
                raise
            return None
        if unmet(wanted, [bank.candidates[row] for row in rows]):
            return None
        if not made:
            mean = float(bank.difficulty[rows].mean())
            low, high = round(mean) - ALIKE, round(mean) + ALIKE
            wanted = replace(
                plan,
                mean_low=low if plan.mean_low is None else max(low, plan.mean_low),
                mean_high=high if plan.mean_high is None else min(high, plan.mean_high),
            )
        made.append(rows)
        used.update(rows)
    return _Together(made, 0, True)


def _at_once(bank: ItemBank, plan: DrillPlan, forms: int, seed: int, time_limit: float) -> _Together:
    """All forms in one program: the fewest repeated uses, then means as near each other as the time allows."""
    requirements = requirements_of(plan)
    rows = bank.eligible(requirements)
    first = sample(bank, rows, requirements, preference(bank, seed), SAMPLE)
    best: _Together | None = None
    for tried in (first, rows) if len(first) < len(rows) else (rows,):
        groups = group(bank, tried, requirements, preference(bank, seed), (bank.difficulty // BIN,), all_alike=True)
        outcome = _solve(bank, plan, groups, forms, time_limit / 2, None)
        if outcome.values is None:
            continue
        repeated = _repeated(outcome, groups, forms)
        nearer = _solve(bank, plan, groups, forms, time_limit / 2, repeated)
        counts = (outcome if nearer.values is None else nearer).values
        proved = not repeated or (tried is rows and outcome.status == OPTIMAL)
        if best is None or repeated < best.repeated or proved:
            best = _Together(_shared_out(counts, groups, forms), repeated, proved)  # type: ignore[arg-type]
        if not repeated:
            break
    return best or _alone(bank, plan, forms, seed, time_limit)


def _solve(
    bank: ItemBank, plan: DrillPlan, groups: Groups, forms: int, time_limit: float, allowed: int | None
) -> Outcome:
    """The program of all forms: columns group by group for each form, then repeated uses of each group.

    ``allowed``: None to find the fewest repeated uses; a number to find the nearest means with no more than so many.
    """
    program, width = IntegerProgram(), len(groups.first)
    every = np.arange(width)
    for number in range(forms):
        program.add_columns(np.minimum(groups.sizes, plan.length))
        constrain(program, bank, groups, requirements_of(plan), first_column=number * width)
    again = program.add_columns(groups.sizes * forms, 1.0 if allowed is None else 0.0)
    program.add_rows(
        np.full(width, -np.inf),
        groups.sizes,
        np.concatenate([np.tile(every, forms), every]),
        np.concatenate([np.arange(forms * width), again + every]),
        np.concatenate([np.ones(forms * width), -np.ones(width)]),
    )
    if allowed is None:
        return program.solve(time_limit)
    program.add_rows(-np.inf, allowed, 0, again + every)
    low = program.add_columns(2 * LIFT, -1.0, whole=False)
    high = program.add_columns(2 * LIFT, 1.0, whole=False)
    mean = bank.difficulty[groups.first] / LOGIT / plan.length
    for number in range(forms):
        own = number * width + every
        for end, lowest, highest in ((low, -LIFT, np.inf), (high, -np.inf, -LIFT)):
            program.add_rows(lowest, highest, 0, np.append(own, end), np.append(mean, -1.0))
    between = program.add_columns(2 * LIFT, 1.0, whole=False)
    program.add_rows(CLOSE, np.inf, 0, [between, low, high], [1.0, 1.0, -1.0])
    return program.solve(time_limit, CLOSE)


def _repeated(outcome: Outcome, groups: Groups, forms: int) -> int:
    counts = outcome.values[: forms * len(groups.first)].reshape(forms, -1)  # type: ignore[index]
    return int(np.maximum(counts.sum(axis=0) - groups.sizes, 0).sum())


def _shared_out(values: Vector, groups: Groups, forms: int) -> list[list[int]]:
    """Each form's rows: a group's items go round from form to form, so that none repeats before all were used."""
    counts = values[: forms * len(groups.first)].reshape(forms, -1).astype(np.int64)
    made: list[list[int]] = [[] for _ in range(forms)]
    for number, members in enumerate(groups.members):
        turn = 0
        for form in range(forms):
            for _ in range(int(counts[form, number])):
                made[form].append(int(members[turn % len(members)]))
                turn += 1
    return made


def _alone(bank: ItemBank, plan: DrillPlan, forms: int, seed: int, time_limit: float) -> _Together:
    """Each form by itself, for when the time ran out for anything better."""
    made = [choose(bank, plan, seed=seed + n, time_limit=time_limit / forms)[0] for n in range(forms)]
    uses: Counter[int] = Counter(row for form in made for row in form)
    return _Together(made, sum(count - 1 for count in uses.values()), forms == 1)
