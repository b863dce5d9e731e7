"""Verdicts and fits by brute force: corners, a grid and random points instead of reasoning about extremes.

Effects and needs are arrays over the four axes in the order of `claims.AXES`, -4 to +4; matches, affinity and
action run to 1 at best; weights are those of energetics, affinity and action, summing to 1.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.oracle.claims import AXES, Row

Array = NDArray[np.float64]

WEIGHTS = (0.5, 0.2, 0.3)
SPREAD = 0.3
SHIFT = 0.5
LIMIT = 4.0
EPSILON = 1e-9  # a figure this near to a threshold counts as having reached it
THIRD = 1 / 3
UNSAFE, AGGRAVATES, LITTLE, PARTLY, SUITS = range(5)
VERDICTS = ("unsafe", "aggravates", "little", "partly", "suits")


def weight_table(seed: int, samples: int = 6) -> Array:
    """The given weights, the 8 corners of their spread and random ones; rows sum to 1. Shape (n, 3)."""
    corners = np.array(WEIGHTS) * (1 + SPREAD * np.array(list(product((-1, 1), repeat=3))))
    inside = np.random.default_rng(seed).uniform(1 - SPREAD, 1 + SPREAD, (samples, 3)) * np.array(WEIGHTS)
    table = np.vstack([WEIGHTS, corners, inside])
    return table / table.sum(axis=1, keepdims=True)


@dataclass(frozen=True)
class Question:
    """What a presentation asks of a part: the pattern with its roots, person, place and action."""

    site: str
    action: str
    pattern: tuple[float, ...]
    follows: tuple[int | None, ...]
    constitution: tuple[int, ...]
    person: frozenset[str]

    @classmethod
    def of(cls, presentation: Mapping[str, Any]) -> "Question":
        """The question in the presentation of a printed item."""
        pattern = presentation["pattern"]
        roots = [pattern[axis]["follows"] for axis in AXES]
        return cls(
            site=presentation["site"],
            action=presentation["action"],
            pattern=tuple(float(pattern[axis]["degree"]) for axis in AXES),
            follows=tuple(AXES.index(root) if root else None for root in roots),
            constitution=tuple(presentation["constitution"][axis] for axis in AXES),
            person=frozenset(presentation["person"]),
        )

    @cached_property
    def need(self) -> tuple[float, ...]:
        """The contrary of the pattern."""
        return tuple(-degree for degree in self.pattern)

    @cached_property
    def needed(self) -> list[int]:
        """The axes out of balance."""
        return [axis for axis in range(4) if self.pattern[axis] != 0]

    @cached_property
    def roots(self) -> set[int]:
        """The axes that others follow."""
        return {root for root in self.follows if root is not None}

    @cached_property
    def leading(self) -> list[int]:
        """Every root, and the axes of greatest need among those that follow nothing."""
        free = [axis for axis in self.needed if self.follows[axis] is None]
        greatest = max(abs(self.need[axis]) for axis in free)
        return sorted(self.roots | {axis for axis in free if abs(self.need[axis]) == greatest})


def raw_match(effect: Array, need: float, leaning: int) -> Array:
    """Match on one needed axis: rises to the need, falls beyond it, negative the wrong way; -1 to 1."""
    along = effect * np.sign(need)
    size, wanted = np.abs(effect), abs(need)
    match = np.where(along < 0, -np.minimum(1, size / 2), np.where(along <= wanted, along / wanted, 0.0))
    match = np.where(along > wanted, np.maximum(0, 1 - (size - wanted) / 4), match)
    return np.maximum(-1, match - np.where(leaning * effect > 0, size / 8, 0))


@dataclass(frozen=True)
class Matches:
    """Raw and carried matches (points, 4), zero where nothing is needed; energetic match (points,)."""

    raw: Array
    carried: Array
    energetic: Array


def matches(effects: Array, ask: Question) -> Matches:
    """The matches of effects of shape (points, 4)."""
    raw, waste = np.zeros_like(effects), np.zeros(len(effects))
    for axis in range(4):
        effect, leaning = effects[:, axis], ask.constitution[axis]
        if ask.need[axis]:
            raw[:, axis] = raw_match(effect, ask.need[axis], leaning)
        else:
            push = leaning * effect
            waste += np.abs(effect) / 16 * np.where(push > 0, 2, np.where(push < 0, 0, 1))
    carried = raw.copy()
    for axis, root in enumerate(ask.follows):
        if root is not None:
            own, lead = raw[:, axis], raw[:, root]
            helped = np.where(own >= 0, np.maximum(own, lead), lead + own * (1 + lead))
            carried[:, axis] = np.where(lead > 0, helped, own)
    sizes = np.abs(ask.need)
    return Matches(raw, carried, carried @ sizes / sizes.sum() - waste)


@dataclass(frozen=True)
class Candidate:
    """One part before one presentation: its profile figures there, from the claims."""

    ask: Question
    value: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    affinity: float
    action: float
    opposed: bool
    unsafe: bool

    @classmethod
    def of(cls, row: Row, ask: Question) -> "Candidate":
        """The figures of a row for a question."""
        value, low, high = zip(*row.axes(ask.site), strict=True)
        return cls(
            ask, value, low, high,
            row.affinity(ask.site), row.action(ask.action, ask.site), row.opposed(ask.action, ask.site),
            bool(row.unsafe_words & ask.person),
        )  # fmt: skip

    def boxes(self) -> Iterator[tuple[tuple[float, ...], tuple[float, ...]]]:
        """The interval, then the interval with half a degree of doubt on one axis at a time."""
        yield self.low, self.high
        for axis in range(4):
            low, high = list(self.low), list(self.high)
            low[axis], high[axis] = max(-LIMIT, low[axis] - SHIFT), min(LIMIT, high[axis] + SHIFT)
            yield tuple(low), tuple(high)

    def points(self, low: Sequence[float], high: Sequence[float], rng: np.random.Generator) -> Array:
        """Points of a box: its ends, the bends of the rules and a grid, crossed; and random points."""
        marks = []
        for axis in range(4):
            a, b = low[axis], high[axis]
            bends = (0.0, self.ask.need[axis], self.value[axis], -2.0, 2.0)
            grid = np.linspace(a, b, 5).tolist()
            marks.append(sorted({a, b, *(x for x in (*bends, *grid) if a < x < b)}))
        crossed = np.stack(np.meshgrid(*marks, indexing="ij"), axis=-1).reshape(-1, 4)
        return np.vstack([crossed, rng.uniform(low, high, (12, 4))])

    def fits(self, energetic: Array, weights: Array) -> Array:
        """Fit at each point under each weighting. Shape (points, weightings)."""
        fixed = weights[:, 1] * self.affinity + weights[:, 2] * self.action
        return energetic[:, None] * weights[None, :, 0] + fixed[None, :]

    def verdicts(self, found: Matches, fits: Array) -> NDArray[np.int_]:
        """The verdict at each point under each weighting, as a position in `VERDICTS`."""
        if self.unsafe:
            return np.full(fits.shape, UNSAFE)
        lead, needed = found.raw[:, self.ask.leading], found.raw[:, self.ask.needed]
        worse = (lead <= -0.25 + EPSILON).any(axis=1) | (needed <= -0.75 + EPSILON).any(axis=1) | self.opposed
        meets = (lead >= THIRD - EPSILON).all(axis=1) & (found.energetic >= THIRD - EPSILON)
        meets &= (found.carried[:, self.ask.needed] >= -EPSILON).all(axis=1)
        meets &= self.affinity >= 0.33 - EPSILON and self.action >= 0.33 - EPSILON
        result = np.where(fits >= 0.3 - EPSILON, PARTLY, LITTLE)
        result[meets[:, None] & (fits >= 0.6 - EPSILON)] = SUITS
        if min(self.affinity, self.action) < 0.15 - EPSILON:
            result[:] = LITTLE
        result[worse] = AGGRAVATES
        return result


@dataclass(frozen=True)
class Survey:
    """What brute force finds of a candidate; what is `inner` holds over the interval without further doubt."""

    verdict: int
    raw: Array
    energetic: float
    fit: float
    low: float
    high: float
    possible: frozenset[int]
    least: Array
    most: Array
    inner: frozenset[int]
    inner_least: Array
    inner_most: Array


def survey(candidate: Candidate, weights: Array, seed: int) -> Survey:
    """What brute force finds: at the working values the verdict and its parts; over the interval the extremes
    of the fit; under half a degree of doubt, and without it, the verdicts possible and the least and greatest fit
    under each weighting. Row 0 of `weights` holds the given weights.
    """
    rng = np.random.default_rng(seed)
    middle = matches(np.array([candidate.value]), candidate.ask)
    fits = candidate.fits(middle.energetic, weights[:1])
    clouds = [candidate.points(low, high, rng) for low, high in candidate.boxes()]
    everywhere = np.vstack(clouds)
    found = matches(everywhere, candidate.ask)
    all_fits = candidate.fits(found.energetic, weights)
    plain = all_fits[: len(clouds[0])]
    verdicts = candidate.verdicts(found, all_fits)
    return Survey(
        verdict=int(candidate.verdicts(middle, fits)[0, 0]),
        raw=middle.raw[0],
        energetic=float(middle.energetic[0]),
        fit=float(fits[0, 0]),
        low=float(plain.min()),
        high=float(plain.max()),
        possible=frozenset(np.unique(verdicts).tolist()),
        least=all_fits.min(axis=0),
        most=all_fits.max(axis=0),
        inner=frozenset(np.unique(verdicts[: len(clouds[0])]).tolist()),
        inner_least=plain.min(axis=0),
        inner_most=plain.max(axis=0),
    )
