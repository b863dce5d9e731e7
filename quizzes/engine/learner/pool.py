"""The items a student may meet in practice, as arrays, made once for many students."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .ability import ACTION, AXIS
from .constants import AIM, FOCUS_ACTIONS, FOCUS_AXES, REACH

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ABSENT = -1
LEAST = 1e-9  # keeps logarithms finite
MOST_PARTS = 8  # parts of one item that count: those of its options and of its subject
OVERALL_AT, ACTION_AT, AXIS_AT, SITE_AT = range(4)  # columns of the facets


@dataclass(frozen=True)
class PoolItem:
    """One item on its way into a pool: what it asks of whom. ``parts`` are slugs; ``facets`` as from ``skills.facets``."""

    id: int
    difficulty: float
    floor: float
    facets: tuple[str, ...]
    key_part: str
    parts: tuple[str, ...]
    offers: int
    family: str
    model: str


@dataclass(frozen=True)
class Pool:
    """N items as arrays: ids, difficulty (logits), floor (chance of guessing), facets (N, 4) as places in ``facet_names`` in
    the order overall, action, axis, site, key part (N,) and parts (N, 8) as places in ``part_names``, offers (bits of
    confusions), family and model as places in their names. -1 stands for what is absent."""

    ids: Ints
    difficulty: Floats
    floor: Floats
    facets: Ints
    key_part: Ints
    parts: Ints
    offers: Ints
    family: Ints
    model: Ints
    facet_names: tuple[str, ...]
    part_names: tuple[str, ...]
    family_names: tuple[str, ...] = ()
    model_names: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.ids)

    @cached_property
    def row_of(self) -> dict[int, int]:
        """Row by id."""
        return {int(code): row for row, code in enumerate(self.ids)}

    @cached_property
    def part_at(self) -> dict[str, int]:
        """Place of a part by slug."""
        return {slug: place for place, slug in enumerate(self.part_names)}

    @cached_property
    def _rows_by_part(self) -> tuple[Ints, Ints]:
        """Rows sorted by the parts that stand in them, and where each part's rows begin."""
        rows, columns = np.nonzero(self.parts >= 0)
        held = self.parts[rows, columns]
        order = np.argsort(held, kind="stable")
        return rows[order], np.searchsorted(held[order], np.arange(len(self.part_names) + 1))

    @cached_property
    def columns(self) -> tuple[Ints, ...]:
        """The columns of the facets, each in one piece: they are looked up for every choice."""
        return tuple(np.ascontiguousarray(self.facets[:, column]) for column in range(self.facets.shape[1]))

    @cached_property
    def bounds(self) -> tuple[Floats, Floats]:
        """(N,) and (N,) the abilities between which the probability of success is within reach of the aim."""
        found = []
        for chance in (AIM - REACH, AIM + REACH):
            above = np.clip((chance - self.floor) / (1.0 - self.floor), LEAST, 1.0 - LEAST)  # the floor
            found.append(self.difficulty + np.log(above / (1.0 - above)))
        return found[0], found[1]

    @cached_property
    def skill_kinds(self) -> tuple[tuple[Ints, int], ...]:
        """Places of action classes and of axes among the facets, each with how many of them are in focus at a time."""
        return tuple(
            (np.array([p for p, name in enumerate(self.facet_names) if name.startswith(kind)], dtype=np.int64), focus)
            for kind, focus in ((ACTION, FOCUS_ACTIONS), (AXIS, FOCUS_AXES))
        )

    def rows_with(self, slug: str) -> Ints:
        """Rows of the items in which a part stands, in order; none for a part that is not in the pool."""
        place = self.part_at.get(slug)
        if place is None:
            return np.empty(0, dtype=np.int64)
        rows, starts = self._rows_by_part
        return rows[starts[place] : starts[place + 1]]

    def rows(self, ids: Iterable[int]) -> Ints:
        """Rows of some items, in the order given; those not in the pool are passed over."""
        return np.array([self.row_of[code] for code in ids if code in self.row_of], dtype=np.int64)

    def facets_of(self, row: int) -> tuple[str, ...]:
        """Names of an item's facets."""
        return tuple(self.facet_names[place] for place in self.facets[row] if place >= 0)

    def parts_of(self, row: int) -> tuple[str, ...]:
        """Slugs of the parts in an item."""
        return tuple(self.part_names[place] for place in self.parts[row] if place >= 0)


@dataclass(frozen=True)
class Served:
    """What is remembered of an item served a moment ago: names of its facets, key part and parts."""

    facets: tuple[str, ...]
    key_part: str = ""
    parts: tuple[str, ...] = ()
    family: str = ""


def served(pool: Pool, row: int) -> Served:
    """An item of the pool as it is remembered."""
    key = int(pool.key_part[row])
    family = pool.family_names[int(pool.family[row])]
    return Served(pool.facets_of(row), pool.part_names[key] if key >= 0 else "", pool.parts_of(row), family)


def _places(names: Iterable[str]) -> dict[str, int]:
    return {name: place for place, name in enumerate(dict.fromkeys(names))}


def build_pool(items: Sequence[PoolItem]) -> Pool:
    """A pool of these items, in their order."""
    count = len(items)
    facet_at = _places(name for item in items for name in item.facets)
    part_at = _places(slug for item in items for slug in (*item.parts, *([item.key_part] if item.key_part else [])))
    family_at, model_at = _places(item.family for item in items), _places(item.model for item in items)
    facets = np.full((count, 4), ABSENT, dtype=np.int64)
    parts = np.full((count, MOST_PARTS), ABSENT, dtype=np.int64)
    for row, item in enumerate(items):
        for name in item.facets:
            column = {"action": ACTION_AT, "axis": AXIS_AT, "site": SITE_AT}.get(name.partition(":")[0], OVERALL_AT)
            facets[row, column] = facet_at[name]
        for column, slug in enumerate(dict.fromkeys(item.parts[:MOST_PARTS])):
            parts[row, column] = part_at[slug]
    return Pool(
        np.array([item.id for item in items], dtype=np.int64),
        np.array([item.difficulty for item in items], dtype=float),
        np.array([item.floor for item in items], dtype=float),
        facets,
        np.array([part_at[item.key_part] if item.key_part else ABSENT for item in items], dtype=np.int64),
        parts,
        np.array([item.offers for item in items], dtype=np.int64),
        np.array([family_at[item.family] for item in items], dtype=np.int64),
        np.array([model_at[item.model] for item in items], dtype=np.int64),
        tuple(facet_at),
        tuple(part_at),
        tuple(family_at),
        tuple(model_at),
    )
