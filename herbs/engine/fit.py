"""Energetic fit of every part for a presentation, and the verdict."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .axes import (
    AGGRAVATES_ANY,
    AGGRAVATES_LEADING,
    BEARING_MIN,
    PARTLY_FIT,
    ROUNDING,
    SUITS_ACTION,
    SUITS_AFFINITY,
    SUITS_ENERGETIC,
    SUITS_FIT,
    SUITS_LEADING,
    VERDICTS,
    WEIGHTS,
)
from .match import carry, energetic_match, raw_and_waste
from .patterns import Pattern, Presentation
from .profiles import Array, Bools, Catalogue

SUITS, PARTLY, LITTLE, AGGRAVATES, UNSAFE = range(len(VERDICTS))


@dataclass(frozen=True)
class FitTable:
    """Fit of P rows: ``raw``, ``match`` and ``waste`` (P, 4); ``energetic``, ``affinity``, ``action``, ``fit`` (P,).

    ``verdict`` holds indices into VERDICTS. Every result carries its parts, so that a page, a grader or a test
    can say why.
    """

    presentation: Presentation
    effects: Array
    raw: Array
    match: Array
    waste: Array
    energetic: Array
    affinity: Array
    action: Array
    fit: Array
    opposed: Bools
    unsafe: Bools
    verdict: NDArray[np.int64]


def bearing(catalogue: Catalogue, presentation: Presentation) -> tuple[Array, Array, Bools]:
    """A, X and whether an opposed action bars each row, at the presentation's site (each (P,))."""
    site = catalogue.site_number(presentation.site)
    action = catalogue.action_number(presentation.action)
    return (
        catalogue.affinity[:, site],
        catalogue.strength[:, action, site],
        catalogue.opposes[:, action, site],
    )


def aggravates(raw: Array, pattern: Pattern, opposed: Bools) -> Bools:
    """Whether a row works against a leading axis, hard against any needed one, or against the action asked."""
    needed = [axis for axis, need in enumerate(pattern.need) if need]
    against = (raw[..., list(pattern.leading)] <= AGGRAVATES_LEADING).any(axis=-1)
    hard = (raw[..., needed] <= AGGRAVATES_ANY).any(axis=-1)
    return against | hard | opposed


def score(catalogue: Catalogue, presentation: Presentation) -> FitTable:
    """Fit of every row of the catalogue at working values."""
    pattern = presentation.pattern
    effects, _, _ = catalogue.effects(presentation.site)
    affinity, action, opposed = bearing(catalogue, presentation)
    unsafe = catalogue.unsafe_for(presentation.person)
    raw, wasted = raw_and_waste(effects, pattern, presentation.constitution)
    matches = carry(raw, pattern)
    energetic = energetic_match(matches, wasted, pattern)
    fit = WEIGHTS[0] * energetic + WEIGHTS[1] * affinity + WEIGHTS[2] * action
    needed = [axis for axis, need in enumerate(pattern.need) if need]
    suits = (
        (fit >= SUITS_FIT)
        & (energetic >= SUITS_ENERGETIC)
        & (raw[:, list(pattern.leading)] >= SUITS_LEADING).all(axis=1)
        & (matches[:, needed] >= 0).all(axis=1)
        & (affinity >= SUITS_AFFINITY)
        & (action >= SUITS_ACTION)
    )
    verdict = np.select(
        [
            unsafe,
            aggravates(raw, pattern, opposed),
            np.minimum(affinity, action) < BEARING_MIN,
            suits,
            fit >= PARTLY_FIT,
        ],
        [UNSAFE, AGGRAVATES, LITTLE, SUITS, PARTLY],
        default=LITTLE,
    )
    return FitTable(
        presentation, effects, raw, matches, wasted, energetic, affinity, action, fit, opposed, unsafe, verdict
    )


def order(catalogue: Catalogue, table: FitTable) -> list[int]:
    """Row numbers from best to worst: by verdict, then fit, ties (after rounding to 1e-9) by slug."""
    return sorted(
        range(len(catalogue.rows)),
        key=lambda row: (
            int(table.verdict[row]),
            -round(float(table.fit[row]), ROUNDING),
            catalogue.rows[row].slug,
        ),
    )
