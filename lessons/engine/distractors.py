"""Choosing distractors: the best small subset, found exhaustively.

Each candidate is worth what makes it plausible; a pair is worth what its faults differ by. The sum is maximised over all
subsets of candidates of different species. Only the three best of each fault, of different species, can be in an optimal
subset of three: any other could be exchanged for one of them at no loss, since two companions bar at most two species.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from .faults import FAULTS, FEEDS_ROOT, LACKS_ACTION, PALLIATES, TOO_STRONG, TOO_WEAK, WRONG, WRONG_PLACE

WANTED = 3  # distractors of an item with four options
SAME, AKIN, APART = 0, 600, 1000  # what two faults differ by, in thousandths
KINDS_OF_FAULT = (
    frozenset(WRONG.values()) | {FEEDS_ROOT},
    {PALLIATES, TOO_WEAK, TOO_STRONG},
    {WRONG_PLACE, LACKS_ACTION},
)
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Candidate:
    """A row that may be a distractor: its species (number), its fault (index into FAULTS), its worth in thousandths."""

    row: int
    species: int
    fault: int
    worth: int


def _differences() -> Ints:
    table = np.full((len(FAULTS), len(FAULTS)), APART, dtype=np.int64)
    for group in KINDS_OF_FAULT:
        for one in group:
            for other in group:
                table[FAULTS.index(one), FAULTS.index(other)] = AKIN
    np.fill_diagonal(table, SAME)
    return table


DIFFERENCES = _differences()


@lru_cache(maxsize=64)
def _triples(count: int) -> tuple[Ints, Ints, Ints]:
    picked = np.array(list(combinations(range(count), WANTED)), dtype=np.int64).reshape(-1, WANTED)
    return picked[:, 0], picked[:, 1], picked[:, 2]


def best_of_each(candidates: Sequence[Candidate]) -> list[Candidate]:
    """The candidates that can be in an optimal subset: of each fault the three worthiest of different species."""
    kept: list[Candidate] = []
    seen: dict[int, list[int]] = {}
    for candidate in sorted(candidates, key=lambda c: (-c.worth, c.row)):
        species = seen.setdefault(candidate.fault, [])
        if len(species) < WANTED and candidate.species not in species:
            species.append(candidate.species)
            kept.append(candidate)
    return kept


def objective(chosen: Sequence[Candidate]) -> int:
    """What a subset is worth, in thousandths."""
    pairs = sum(int(DIFFERENCES[one.fault, other.fault]) for one, other in combinations(chosen, 2))
    return pairs + sum(candidate.worth for candidate in chosen)


def choose_distractors(candidates: Sequence[Candidate]) -> tuple[Candidate, ...] | None:
    """The best three candidates of different species, worthiest first; None when there are no such three."""
    kept = best_of_each(candidates)
    if len(kept) < WANTED:
        return None
    first, second, third = _triples(len(kept))
    worth = np.array([c.worth for c in kept], dtype=np.int64)
    fault = np.array([c.fault for c in kept], dtype=np.int64)
    species = np.array([c.species for c in kept], dtype=np.int64)
    apart = DIFFERENCES[fault[:, None], fault[None, :]]
    # Two of one species are worth so little together that no such subset wins while another is possible.
    apart = np.where(species[:, None] == species[None, :], -(10**9), apart)
    pairs = apart + worth[:, None] + worth[None, :]
    value = apart[first, second] + apart[first, third] + pairs[second, third] + worth[first]
    best = int(value.argmax())
    if value[best] < -(10**8):
        return None
    return kept[first[best]], kept[second[best]], kept[third[best]]
