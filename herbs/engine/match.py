"""Raw match, waste and the carry from root to consequence: vectorised over herbs.

Every function takes arrays whose last axis is the four energetic axes, so that the same lines serve one herb,
a whole materia medica, or the two ends of an interval.
"""

import numpy as np
from numpy.typing import NDArray

from .axes import CONSTITUTION_COST, OVERSHOOT_SPAN, WASTE_COST, WRONG_WAY_SLOPE
from .patterns import Pattern

Array = NDArray[np.float64]


def raw_match(effect: Array, need: float, leaning: float = 0.0) -> Array:
    """Match of effects (-4..+4) with the need on one axis (not 0): from -1 (wrong way) to 1 (just right).

    Wrong way: -min(1, |e|/2). Up to the need: e/n. Beyond it: max(0, 1 - (|e| - |n|)/4). Where the person's
    constitution leans the way the herb pushes, |e|/8 is taken off. Never below -1.
    """
    size = np.abs(effect)
    wrong = -np.minimum(1.0, size / WRONG_WAY_SLOPE)
    beyond = np.maximum(0.0, 1.0 - (size - abs(need)) / OVERSHOOT_SPAN)
    match = np.where(effect * need < 0, wrong, np.where(size <= abs(need), effect / need, beyond))
    if leaning:
        match = match - np.where(leaning * effect > 0, size / CONSTITUTION_COST, 0.0)
    return np.maximum(match, -1.0)


def waste(effect: Array, leaning: float = 0.0) -> Array:
    """Cost of a quality nobody asked for: |e|/16; doubled with the constitution's lean, nothing against it."""
    cost = np.abs(effect) / WASTE_COST
    if leaning:
        cost = cost * np.where(leaning * effect > 0, 2.0, np.where(leaning * effect < 0, 0.0, 1.0))
    return cost


def carry(raw: Array, pattern: Pattern) -> Array:
    """Matches after meeting a root has carried over to what follows from it.

    With the root's raw match r above 0, a consequence of raw match m becomes max(m, r) when m >= 0, and
    r + m(1 + r) when m < 0: continuous, monotone, and a full push the wrong way (-1) is never forgiven.
    """
    matches = raw.copy()
    for axis, root in enumerate(pattern.follows):
        if root is None:
            continue
        own, lead = raw[..., axis], raw[..., root]
        lifted = np.where(own >= 0, np.maximum(own, lead), lead + own * (1.0 + lead))
        matches[..., axis] = np.where(lead > 0, lifted, own)
    return matches


def raw_and_waste(effects: Array, pattern: Pattern, constitution: tuple[float, ...]) -> tuple[Array, Array]:
    """Raw matches (0 on axes with no need) and waste (0 on needed axes), each shaped like ``effects``."""
    raw, wasted = np.zeros_like(effects), np.zeros_like(effects)
    for axis, need in enumerate(pattern.need):
        column = effects[..., axis]
        if need:
            raw[..., axis] = raw_match(column, need, constitution[axis])
        else:
            wasted[..., axis] = waste(column, constitution[axis])
    return raw, wasted


def energetic_match(matches: Array, wasted: Array, pattern: Pattern) -> Array:
    """E: the mean of the carried matches weighted by the size of the need, less the waste."""
    sizes = np.abs(np.asarray(pattern.need))
    # Summed axis by axis so that one herb and a whole catalogue add in the same order.
    total = np.zeros(matches.shape[:-1])
    spent = np.zeros(matches.shape[:-1])
    for axis, size in enumerate(sizes):
        total = total + size * matches[..., axis]
        spent = spent + wasted[..., axis]
    return total / sizes.sum() - spent
