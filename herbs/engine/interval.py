"""Exact bounds of fit when effects lie anywhere in their intervals and weights within 30 %.

Exact and cheap, because fit is linear-fractional in the weights (its extremes lie at the eight corners), each raw
match is unimodal in the effect (extremes at the ends or at the need), waste is least at 0, and the carry rule is
monotone. Site and action claims have no interval.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np

from .axes import (
    AGGRAVATES_ANY,
    AGGRAVATES_LEADING,
    AXES,
    BEARING_MIN,
    LIMIT,
    PARTLY_FIT,
    SHIFT,
    SUITS_ACTION,
    SUITS_AFFINITY,
    SUITS_ENERGETIC,
    SUITS_FIT,
    SUITS_LEADING,
    VERDICTS,
    WEIGHT_SPREAD,
    WEIGHTS,
)
from .fit import AGGRAVATES, LITTLE, PARTLY, SUITS, UNSAFE, bearing
from .match import carry, energetic_match, raw_match, waste
from .patterns import Presentation
from .profiles import Array, Bools, Catalogue


def _corners() -> Array:
    factors = np.array(list(product((1 - WEIGHT_SPREAD, 1 + WEIGHT_SPREAD), repeat=len(WEIGHTS))))
    weights = factors * np.asarray(WEIGHTS)
    return weights / weights.sum(axis=1, keepdims=True)


CORNERS = _corners()  # (8, 3): every extreme choice of the weights, renormalised


@dataclass(frozen=True)
class Box:
    """Least and greatest raw match and waste on each axis, (..., P, 4), over an interval of effects."""

    raw_low: Array
    raw_high: Array
    waste_low: Array
    waste_high: Array


@dataclass(frozen=True)
class Bounds:
    """Exact bounds of fit: ``low``, ``high`` (P,); by weight corner ``corner_low``, ``corner_high`` (8, P).

    ``possible`` (P, 5) says which verdicts can occur, in the order of VERDICTS.
    """

    low: Array
    high: Array
    corner_low: Array
    corner_high: Array
    possible: Bools


def enclose(low: Array, high: Array, presentation: Presentation) -> Box:
    """Extremes of raw match and waste when each effect lies between ``low`` and ``high`` (..., P, 4)."""
    raw_low, raw_high, waste_low, waste_high = (np.zeros_like(low) for _ in range(4))
    for axis, need in enumerate(presentation.pattern.need):
        leaning = presentation.constitution[axis]
        ends = low[..., axis], high[..., axis]
        if need:
            at_ends = [raw_match(end, need, leaning) for end in ends]
            raw_low[..., axis] = np.minimum(*at_ends)
            raw_high[..., axis] = raw_match(np.clip(need, *ends), need, leaning)
        else:
            costs = [waste(end, leaning) for end in ends]
            waste_high[..., axis] = np.maximum(*costs)
            waste_low[..., axis] = np.minimum(np.minimum(*costs), waste(np.clip(0.0, *ends), leaning))
    return Box(raw_low, raw_high, waste_low, waste_high)


def shifted(low: Array, high: Array) -> tuple[Array, Array]:
    """Intervals (4, P, 4) with half a degree of doubt added on one axis at a time, within -4..+4."""
    doubt = np.eye(len(AXES))[:, None, :] * SHIFT
    return np.maximum(low[None] - doubt, -LIMIT), np.minimum(high[None] + doubt, LIMIT)


def fit_at_corners(energetic: Array, affinity: Array, action: Array) -> Array:
    """Fit at the eight corners of the weights: (..., P) in, (8, ..., P) out."""
    shape = (len(CORNERS),) + (1,) * energetic.ndim
    weights = [CORNERS[:, part].reshape(shape) for part in range(len(WEIGHTS))]
    return weights[0] * energetic + weights[1] * affinity + weights[2] * action


def bounds(low: Array, high: Array, catalogue: Catalogue, presentation: Presentation, slack: float = 0.0) -> Bounds:
    """Exact bounds and possible verdicts of every row for effects between ``low`` and ``high`` ((P, 4) or (B, P, 4)).

    With a leading box axis B the result covers the union of the boxes. ``slack`` widens every threshold, so that a
    figure that touches one counts on both sides of it.
    """
    pattern = presentation.pattern
    affinity, action, opposed = bearing(catalogue, presentation)
    unsafe = catalogue.unsafe_for(presentation.person)
    box = enclose(low, high, presentation)
    leading = list(pattern.leading)
    needed = [axis for axis, need in enumerate(pattern.need) if need]

    match_high = carry(box.raw_high, pattern)
    energetic_high = energetic_match(match_high, box.waste_low, pattern)
    energetic_low = energetic_match(carry(box.raw_low, pattern), box.waste_high, pattern)
    corner_low = fit_at_corners(energetic_low, affinity, action)
    corner_high = fit_at_corners(energetic_high, affinity, action)
    fit_high = corner_high.max(axis=0)

    against = (box.raw_low[..., leading] <= AGGRAVATES_LEADING + slack).any(axis=-1)
    hard = (box.raw_low[..., needed] <= AGGRAVATES_ANY + slack).any(axis=-1)
    may_aggravate = against | hard | opposed
    spared = (box.raw_high[..., leading] > AGGRAVATES_LEADING - slack).all(axis=-1)
    spared &= (box.raw_high[..., needed] > AGGRAVATES_ANY - slack).all(axis=-1)
    spared &= ~opposed
    bears = np.minimum(affinity, action) >= BEARING_MIN

    # The least fit that does not aggravate: raw matches no lower than the thresholds of aggravation.
    floor = np.full(len(AXES), -1.0)
    floor[needed] = AGGRAVATES_ANY
    floor[leading] = AGGRAVATES_LEADING
    raw_floor = np.maximum(box.raw_low, floor)
    energetic_floor = energetic_match(carry(raw_floor, pattern), box.waste_high, pattern)
    fit_floor = fit_at_corners(energetic_floor, affinity, action).min(axis=0)

    placed = (affinity >= SUITS_AFFINITY - slack) & (action >= SUITS_ACTION - slack)
    may_suit = (
        spared
        & bears
        & placed
        & (fit_high >= SUITS_FIT - slack)
        & (energetic_high >= SUITS_ENERGETIC - slack)
        & (box.raw_high[..., leading] >= SUITS_LEADING - slack).all(axis=-1)
        & (match_high[..., needed] >= -slack).all(axis=-1)
    )
    may_partly = spared & bears & (fit_high >= PARTLY_FIT - slack)
    surely_placed = (affinity >= SUITS_AFFINITY + slack) & (action >= SUITS_ACTION + slack)
    may_partly &= ~surely_placed | _may_fall_short(box, match_high, energetic_high, energetic_floor, fit_floor,
                                                   affinity, action, presentation, slack)  # fmt: skip
    may_little = spared & (~bears | (fit_floor < PARTLY_FIT + slack))
    may_aggravate = may_aggravate & np.ones_like(spared)

    possible = np.zeros((*spared.shape, len(VERDICTS)), dtype=bool)
    for verdict, may in ((SUITS, may_suit), (PARTLY, may_partly), (LITTLE, may_little), (AGGRAVATES, may_aggravate)):
        possible[..., verdict] = may & ~unsafe
    possible[..., UNSAFE] = unsafe
    if low.ndim == 3:
        possible = np.asarray(possible.any(axis=0))
        corner_low, corner_high = corner_low.min(axis=1), corner_high.max(axis=1)
    return Bounds(corner_low.min(axis=0), corner_high.max(axis=0), corner_low, corner_high, possible)


def _may_fall_short(
    box: Box, match_high: Array, energetic_high: Array, energetic_floor: Array, fit_floor: Array,
    affinity: Array, action: Array, presentation: Presentation, slack: float,
) -> Bools:  # fmt: skip
    """Whether some point fits by .3 or more and yet misses one condition of *suits* on the axes or the weights."""
    pattern = presentation.pattern
    short: Bools = fit_floor < SUITS_FIT + slack

    def best_fit(raw: Array) -> Array:
        energetic = energetic_match(carry(raw, pattern), box.waste_low, pattern)
        return fit_at_corners(energetic, affinity, action).max(axis=0)

    for axis in pattern.leading:
        raw = box.raw_high.copy()
        raw[..., axis] = np.minimum(raw[..., axis], SUITS_LEADING)
        below = np.maximum(box.raw_low[..., axis], AGGRAVATES_LEADING) < SUITS_LEADING + slack
        short = short | (below & (best_fit(raw) >= PARTLY_FIT - slack))
    capped = np.minimum(energetic_high, SUITS_ENERGETIC)
    fit_capped = fit_at_corners(capped, affinity, action).max(axis=0)
    short = short | ((energetic_floor < SUITS_ENERGETIC + slack) & (fit_capped >= PARTLY_FIT - slack))
    for axis, need in enumerate(pattern.need):
        if not need:
            continue
        floor = AGGRAVATES_LEADING if axis in pattern.leading else AGGRAVATES_ANY
        worst = np.maximum(box.raw_low[..., axis], floor)
        root = pattern.follows[axis]
        raw = box.raw_high.copy()
        if root is None:
            raw[..., axis] = np.minimum(raw[..., axis], 0.0)
            below = worst < slack
        else:
            # The carried match is below 0 while the root's match r and the own match m hold r + m(1 + r) < 0.
            pull = np.minimum(-worst, 1.0)
            most = np.where(pull < 1.0, pull / np.maximum(1.0 - pull, 1e-12), np.inf)
            raw[..., root] = np.minimum(raw[..., root], np.maximum(most, box.raw_low[..., root]))
            lead = np.maximum(raw[..., root], 0.0)
            raw[..., axis] = np.minimum(raw[..., axis], -lead / (1.0 + lead))
            floor_root = AGGRAVATES_LEADING
            lead_low = np.maximum(np.maximum(box.raw_low[..., root], floor_root), 0.0)
            below = (worst < 0) & (lead_low + worst * (1.0 + lead_low) < slack)
        short = short | (below & (best_fit(raw) >= PARTLY_FIT - slack))
    return short
