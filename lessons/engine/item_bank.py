"""The item bank as an assembler sees it: one record for each item, and the bank as columns of numbers."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .plans import COUNTED, Requirement

PLACES = 4  # where a right answer can stand
Numbers = NDArray[np.int64]


@dataclass(frozen=True)
class Candidate:
    """A banked item, as far as a form is concerned.

    ``state``: slug of the pattern. ``faults``: those that its distractors offer. ``difficulty``: thousandths of a logit.
    ``key``: part slug of the right herb, "" when no herb is the answer. ``herbs``: part slugs of all herbs shown.
    ``skeleton``: what two items must not share in one form. ``key_position``: 0 to 3, None where the answer has no place.
    ``exposure``: how often the item was given.
    """

    code: str
    family: str
    action: str
    site: str
    system: str
    state: str
    faults: tuple[str, ...]
    difficulty: int
    key: str
    herbs: frozenset[str]
    skeleton: str
    key_position: int | None
    exposure: int = 0

    def values(self, kind: str) -> tuple[str, ...]:
        """Its values of a kind of ``COUNTED``: one, or any number of faults."""
        found = getattr(self, COUNTED[kind][0])
        return found if isinstance(found, tuple) else (found,)


class ItemBank:
    """Candidates as columns. Rows are in the order of codes, so that the order given does not matter.

    ``difficulty``, ``level`` (how exposed, as bits of the count), ``place`` (1 to 4, 0 for none), ``key`` and ``skeleton``
    and ``herb_set`` (numbers of values; key 0 is none): (N,) each. ``herb_of``, ``row_of``: parallel, which herb is shown in
    which row. ValueError when two items have one code or a key stands in no place.
    """

    def __init__(self, candidates: Iterable[Candidate]) -> None:
        self.candidates = tuple(sorted(candidates, key=lambda candidate: candidate.code))
        again = [code for code, count in Counter(c.code for c in self.candidates).items() if count > 1]
        if again:
            raise ValueError(f"The item {again[0]} is in the bank twice.")
        if any(c.key_position not in (None, *range(PLACES)) for c in self.candidates):
            raise ValueError(f"A right answer stands in a place from 0 to {PLACES - 1}, or in none.")
        items = self.candidates
        self.difficulty = np.array([c.difficulty for c in items], dtype=np.int64)
        self.level = np.array([max(c.exposure, 0).bit_length() for c in items], dtype=np.int64)
        self.place = np.array([0 if c.key_position is None else c.key_position + 1 for c in items], dtype=np.int64)
        self.key = _numbered([c.key for c in items], first="")
        self.skeleton = _numbered([c.skeleton for c in items])
        self.herb_set = _numbered([c.herbs for c in items])
        self.single = {
            kind: _numbered([getattr(c, name) for c in items])
            for kind, (name, _) in COUNTED.items()
            if kind != "faults"
        }
        herbs = sorted(frozenset().union(*(c.herbs for c in items)))
        index = {herb: number for number, herb in enumerate(herbs)}
        self.herbs = tuple(herbs)
        self.herb_of = np.array([index[herb] for c in items for herb in sorted(c.herbs)], dtype=np.int64)
        self.row_of = np.repeat(np.arange(len(items)), [len(c.herbs) for c in items])
        self._masks: dict[tuple[object, ...], NDArray[np.bool_]] = {}

    def __len__(self) -> int:
        return len(self.candidates)

    def mask(self, wanted: Requirement) -> NDArray[np.bool_]:
        """(N,) the items that a counted value or a band of difficulty counts."""
        name = (wanted.kind, wanted.value, wanted.low, wanted.high)
        if name not in self._masks:
            if wanted.kind == "band":
                low = -np.inf if wanted.low is None else wanted.low
                high = np.inf if wanted.high is None else wanted.high
                found = (self.difficulty >= low) & (self.difficulty < high)
            else:
                found = np.array([wanted.value in c.values(wanted.kind) for c in self.candidates], dtype=bool)
            self._masks[name] = found
        return self._masks[name]

    def in_scope(self, requirements: Iterable[Requirement]) -> Numbers:
        """Row numbers of the items all of whose herbs are in scope; all rows where no scope is required."""
        rows = np.arange(len(self), dtype=np.int64)
        for wanted in requirements:
            if wanted.kind == "scope":
                outside = np.array([herb not in wanted.parts for herb in self.herbs], dtype=bool)
                barred = np.zeros(len(self), dtype=bool)
                if self.herbs:
                    barred[self.row_of[outside[self.herb_of]]] = True
                rows = rows[~barred[rows]]
        return rows

    def eligible(self, requirements: Iterable[Requirement]) -> Numbers:
        """Rows in scope that no requirement of "at most 0" keeps out: the only ones that a form can hold."""
        requirements = tuple(requirements)
        rows = self.in_scope(requirements)
        for wanted in requirements:
            if wanted.side == "most" and not wanted.amount and (wanted.kind in COUNTED or wanted.kind == "band"):
                rows = rows[~self.mask(wanted)[rows]]
        return rows


def _numbered(values: Sequence[object], first: object = None) -> Numbers:
    """Each value as a number, in order of first appearance; ``first`` is number 0."""
    index: dict[object, int] = {} if first is None else {first: 0}
    return np.array([index.setdefault(value, len(index)) for value in values], dtype=np.int64)
