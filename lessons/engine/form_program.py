"""Requirements as rows of an integer program, over groups of items that the requirements cannot tell apart."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .integer_program import IntegerProgram, Vector
from .item_bank import PLACES, ItemBank, Numbers
from .plans import COUNTED, LOGIT, Requirement


@dataclass(frozen=True)
class Groups:
    """Items with equal attributes, as one integer variable each.

    ``members``: bank rows of each group, the most preferred first. ``first``: (G,) a row of each. ``sizes``: (G,).
    ``alone``: (G,) whether its items share a skeleton with each other or with another group; else all theirs differ.
    """

    members: tuple[Numbers, ...]
    first: Numbers
    sizes: Numbers
    alone: NDArray[np.bool_]


def preference(bank: ItemBank, seed: int) -> Vector:
    """(N,) the order in which items are taken where all else is equal, lowest first: less exposed ones, then by the seed."""
    chance = np.random.Generator(np.random.PCG64(seed)).random(len(bank))
    rank = np.empty(len(bank))
    rank[np.lexsort((chance, bank.level))] = np.arange(len(bank))
    return rank


def sights(bank: ItemBank, wanted: Requirement, rows: Numbers) -> list[Numbers]:
    """What a requirement sees of each row: items equal in all of it are alike to it. Skeletons are treated in ``group``."""
    if wanted.kind in COUNTED or wanted.kind == "band":
        return [bank.mask(wanted)[rows].astype(np.int64)]
    if wanted.kind == "mean":
        return [bank.difficulty[rows]]
    column = {"key": bank.key, "herb": bank.herb_set, "position": bank.place}.get(wanted.kind)
    return [] if column is None else [column[rows]]


def group(
    bank: ItemBank, rows: Numbers, requirements: Sequence[Requirement], order: Vector, seen_too: Iterable[Numbers] = (),
    *, all_alike: bool = False,
) -> Groups:  # fmt: skip
    """Group rows by what the requirements see, and by further columns ``seen_too``: (N,) each.

    Where skeletons may not be shared, a skeleton that spans several groups keeps its items apart; of items alike in
    everything, skeleton included, only the preferred one is kept, unless ``all_alike`` (several forms can use them all).
    """
    rows = rows[np.argsort(order[rows], kind="stable")]
    label = np.zeros(len(rows), dtype=np.int64)
    for wanted in requirements:
        for column in sights(bank, wanted, rows):
            label = _refine(label, column)
    for column in seen_too:
        label = _refine(label, column[rows])
    alone = np.zeros(len(rows), dtype=bool)
    if any(wanted.kind == "skeleton" for wanted in requirements):
        if not all_alike:
            _, kept = np.unique(_refine(label, bank.skeleton[rows]), return_index=True)
            kept.sort()
            rows, label = rows[kept], label[kept]
        _, which, spans = np.unique(bank.skeleton[rows], return_inverse=True, return_counts=True)
        alone = spans[which] > 1
        label = _refine(label, np.where(alone, which + 1, 0))
    by_label = np.argsort(label, kind="stable")
    _, starts = np.unique(label[by_label], return_index=True)
    members = tuple(np.split(rows[by_label], starts[1:])) if len(rows) else ()
    first = np.array([group[0] for group in members], dtype=np.int64)
    sizes = np.array([len(group) for group in members], dtype=np.int64)
    return Groups(members, first, sizes, alone[by_label][starts] if len(rows) else alone)


def _refine(label: Numbers, column: Numbers) -> Numbers:
    _, column = np.unique(column, return_inverse=True)
    _, refined = np.unique(label * (int(column.max(initial=0)) + 1) + column, return_inverse=True)
    return refined.astype(np.int64)


def constrain(
    program: IntegerProgram, bank: ItemBank, groups: Groups, requirements: Sequence[Requirement], *,
    first_column: int = 0, slack: Mapping[Requirement, int] | None = None,
) -> None:  # fmt: skip
    """Add the rows of requirements over the groups' columns, which begin at ``first_column``.

    ``slack`` names a column for a requirement that may be missed; it is then missed by as much as the column says (items;
    for a mean, logits summed over the form). Standing requirements cannot be missed.
    """
    slack = slack or {}
    for wanted in requirements:
        rows, columns, values, count = _entries(bank, groups, wanted, requirements)
        low, high = _range(wanted, count, rows)
        if wanted.kind == "position":
            _even(program, groups, rows, columns, first_column, bank)
            continue
        if not count:
            continue
        columns = columns + first_column
        if wanted in slack:
            sign = 1.0 if wanted.side == "least" else -1.0
            rows = np.concatenate([rows, np.arange(count)])
            columns = np.concatenate([columns, np.full(count, slack[wanted])])
            values = np.concatenate([values, np.full(count, sign)])
        program.add_rows(low, high, rows, columns, values)


def _entries(
    bank: ItemBank, groups: Groups, wanted: Requirement, requirements: Sequence[Requirement]
) -> tuple[Numbers, Numbers, Vector, int]:
    """(row, column, value) of a requirement's entries and the number of its rows; rows that nothing can break are left out."""
    every = np.arange(len(groups.first), dtype=np.int64)
    ones = np.ones(len(every))
    if wanted.kind in COUNTED or wanted.kind == "band":
        held = every[bank.mask(wanted)[groups.first]]
        return np.zeros_like(held), held, ones[: len(held)], 1
    if wanted.kind == "length":
        return np.zeros_like(every), every, ones, 1
    if wanted.kind == "mean":
        return np.zeros_like(every), every, (bank.difficulty[groups.first] - wanted.amount) / LOGIT, 1
    if wanted.kind == "position":
        held = every[bank.place[groups.first] > 0]
        return bank.place[groups.first][held] - 1, held, ones[: len(held)], PLACES
    if wanted.kind == "key":
        held = every[bank.key[groups.first] > 0]
        return _breakable(bank.key[groups.first][held], held, groups.sizes, wanted.amount)
    if wanted.kind == "herb":
        group_of = np.full(len(bank), -1, dtype=np.int64)
        group_of[groups.first] = every
        column = group_of[bank.row_of]
        return _breakable(bank.herb_of[column >= 0], column[column >= 0], groups.sizes, wanted.amount)
    if wanted.kind == "skeleton":
        held = every[groups.alone]
        return _breakable(bank.skeleton[groups.first][held], held, groups.sizes, 1)
    return every[:0], every[:0], ones[:0], 0  # the scope has chosen the rows beforehand


def _breakable(values: Numbers, columns: Numbers, sizes: Numbers, limit: int) -> tuple[Numbers, Numbers, Vector, int]:
    """One row for each value whose items are more than the limit."""
    _, which = np.unique(values, return_inverse=True)
    total = np.bincount(which, weights=sizes[columns]) if len(which) else np.zeros(0)
    binding = total > limit
    number = np.cumsum(binding) - 1
    held = binding[which] if len(which) else np.zeros(0, dtype=bool)
    return number[which[held]], columns[held], np.ones(int(held.sum())), int(binding.sum())


def _range(wanted: Requirement, count: int, rows: Numbers) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    amount = {"mean": 0, "skeleton": 1}.get(wanted.kind, wanted.amount)
    low = amount if wanted.side == "least" else -np.inf
    high = np.inf if wanted.side == "least" else amount
    return np.full(count, float(low)), np.full(count, float(high))


def _even(
    program: IntegerProgram, groups: Groups, place: Numbers, columns: Numbers, first_column: int, bank: ItemBank
) -> None:
    """Key positions within one of even: for n items with a place, each place holds from (n - 3) / 4 to (n + 3) / 4.

    A whole number between those lies between n / 4 rounded down and rounded up.
    """
    rows = np.repeat(np.arange(PLACES), len(columns))
    values = np.where(rows == np.tile(place, PLACES), PLACES - 1.0, -1.0)
    off = float(PLACES - 1)
    program.add_rows(np.full(PLACES, -off), np.full(PLACES, off), rows, np.tile(columns, PLACES) + first_column, values)


def sample(bank: ItemBank, rows: Numbers, requirements: Sequence[Requirement], order: Vector, size: int) -> Numbers:
    """At most ``size`` rows, spread over the strata that counts, bands and places make; scarce strata are taken whole."""
    if len(rows) <= size:
        return rows
    rows = rows[np.argsort(order[rows], kind="stable")]
    label = np.zeros(len(rows), dtype=np.int64)
    for wanted in requirements:
        if wanted.kind in COUNTED or wanted.kind in ("band", "position"):
            for column in sights(bank, wanted, rows):
                label = _refine(label, column)
    by_label = np.argsort(label, kind="stable")
    _, starts, counts = np.unique(label[by_label], return_index=True, return_counts=True)
    turn = np.empty(len(rows), dtype=np.int64)
    turn[by_label] = np.arange(len(rows)) - np.repeat(starts, counts)
    return rows[np.argsort(turn, kind="stable")[:size]]


def members_taken(bank: ItemBank, groups: Groups, counts: Numbers, spread: Sequence[Numbers]) -> list[int]:
    """The bank rows of a solution: from each group as many as counted, those first that bring values not yet used.

    ``spread``: columns (N,) whose values should vary; equal ones are taken in the order of preference.
    """
    chosen: list[int] = []
    used: list[dict[int, int]] = [{} for _ in spread]
    for number in np.argsort(groups.sizes - counts, kind="stable"):
        pool = list(groups.members[number][: int(counts[number]) + 60])
        for _ in range(int(counts[number])):
            costs = [sum(have.get(int(c[row]), 0) for have, c in zip(used, spread, strict=True)) for row in pool]
            row = int(pool.pop(int(np.argmin(costs))))
            chosen.append(row)
            for have, column in zip(used, spread, strict=True):
                have[int(column[row])] = have.get(int(column[row]), 0) + 1
    return chosen
