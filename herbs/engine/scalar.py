"""The arithmetic for one herb in plain numbers: the readable statement of what the arrays compute.

Reads like section by section of the rules; the vectorised route in ``fit`` must agree with it to 1e-12.
"""

from dataclasses import dataclass

from .axes import (
    AGGRAVATES_ANY,
    AGGRAVATES_LEADING,
    BEARING_MIN,
    CONSTITUTION_COST,
    OVERSHOOT_SPAN,
    PARTLY_FIT,
    SUITS_ACTION,
    SUITS_AFFINITY,
    SUITS_ENERGETIC,
    SUITS_FIT,
    SUITS_LEADING,
    WASTE_COST,
    WEIGHTS,
    WRONG_WAY_SLOPE,
)
from .patterns import Four, Presentation


@dataclass(frozen=True)
class Fit:
    """Fit of one herb: per-axis raw match, carried match and waste; E, A, X, F; and the verdict word."""

    effects: Four
    raw: Four
    match: Four
    waste: Four
    energetic: float
    affinity: float
    action: float
    fit: float
    opposed: bool
    unsafe: bool
    verdict: str


def raw_match_of(effect: float, need: float, leaning: float) -> float:
    """Match (-1..1) of an effect with a need that is not 0, for a constitution leaning -1, 0 or +1."""
    if effect * need < 0:
        match = -min(1.0, abs(effect) / WRONG_WAY_SLOPE)
    elif abs(effect) <= abs(need):
        match = effect / need
    else:
        match = max(0.0, 1.0 - (abs(effect) - abs(need)) / OVERSHOOT_SPAN)
    if leaning * effect > 0:
        match -= abs(effect) / CONSTITUTION_COST
    return max(match, -1.0)


def waste_of(effect: float, leaning: float) -> float:
    """Cost of an effect on an axis with no need."""
    if leaning * effect < 0:
        return 0.0
    return abs(effect) / WASTE_COST * (2.0 if leaning * effect > 0 else 1.0)


def carried(own: float, lead: float) -> float:
    """Match of a consequence when its root is matched by ``lead``."""
    if lead <= 0:
        return own
    return max(own, lead) if own >= 0 else lead + own * (1.0 + lead)


def fit_of(
    effects: Four,
    affinity: float,
    action: float,
    presentation: Presentation,
    *,
    opposed: bool = False,
    unsafe: bool = False,
    weights: tuple[float, float, float] = WEIGHTS,
) -> Fit:
    """Fit and verdict of one herb with effects (-4..+4), affinity A and action X (each 0..1); ``weights`` sum to 1."""
    pattern, leanings = presentation.pattern, presentation.constitution
    needs = pattern.need
    raw = [raw_match_of(e, n, c) if n else 0.0 for e, n, c in zip(effects, needs, leanings, strict=True)]
    wasted = [0.0 if n else waste_of(e, c) for e, n, c in zip(effects, needs, leanings, strict=True)]
    match = [m if root is None else carried(m, raw[root]) for m, root in zip(raw, pattern.follows, strict=True)]
    total = sum(abs(n) for n in needs)
    energetic = sum(abs(n) * m for n, m in zip(needs, match, strict=True)) / total - sum(wasted)
    fit = weights[0] * energetic + weights[1] * affinity + weights[2] * action
    needed = [axis for axis, need in enumerate(needs) if need]

    if unsafe:
        verdict = "unsafe"
    elif (
        opposed
        or any(raw[axis] <= AGGRAVATES_LEADING for axis in pattern.leading)
        or any(raw[axis] <= AGGRAVATES_ANY for axis in needed)
    ):
        verdict = "aggravates"
    elif min(affinity, action) < BEARING_MIN:
        verdict = "little"
    elif (
        fit >= SUITS_FIT
        and energetic >= SUITS_ENERGETIC
        and all(raw[axis] >= SUITS_LEADING for axis in pattern.leading)
        and all(match[axis] >= 0 for axis in needed)
        and affinity >= SUITS_AFFINITY
        and action >= SUITS_ACTION
    ):
        verdict = "suits"
    else:
        verdict = "partly" if fit >= PARTLY_FIT else "little"
    return Fit(
        effects, tuple(raw), tuple(match), tuple(wasted),  # type: ignore[arg-type]
        energetic, affinity, action, fit, opposed, unsafe, verdict,
    )  # fmt: skip
