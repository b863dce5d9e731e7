"""How far two readers of the same things agree: weighted kappa with its interval, and agreement of sides."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

Z_95 = 1.959963984540054  # the normal quantile of a two-sided interval of 95 %


@dataclass(frozen=True)
class Kappa:
    """Weighted kappa of ``n`` pairs and its large-sample interval of 95 %."""

    value: float
    low: float
    high: float
    n: int


def weighted_kappa(first: Sequence[int], second: Sequence[int], categories: Sequence[int]) -> Kappa:
    """Cohen's kappa with linear weights over ordered categories.

    Kappa: J. Cohen, Psychological Bulletin 70 (1968) 213-220. Standard error: J. L. Fleiss, J. Cohen and B. S. Everitt,
    Psychological Bulletin 72 (1969) 323-327. Raises ValueError without pairs, for readings of other categories, or where
    chance alone agrees wholly (kappa has no value then).
    """
    if len(first) != len(second) or not len(first):
        raise ValueError("Kappa needs as many second readings as first ones, and at least one.")
    place = {category: number for number, category in enumerate(categories)}
    if not {*first, *second} <= place.keys():
        raise ValueError("A reading lies outside the categories.")
    size, n = len(categories), len(first)
    share = np.zeros((size, size))
    for a, b in zip(first, second, strict=True):
        share[place[a], place[b]] += 1 / n
    steps = np.arange(size)
    weight = 1 - np.abs(steps[:, None] - steps[None, :]) / (size - 1)
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    observed, chance = float((weight * share).sum()), float(rows @ weight @ columns)
    if np.isclose(chance, 1):
        raise ValueError("Both readers say the same of everything; kappa has no value.")
    kappa = (observed - chance) / (1 - chance)
    by_row, by_column = weight @ columns, weight.T @ rows
    spread = (weight - (by_row[:, None] + by_column[None, :]) * (1 - kappa)) ** 2
    variance = ((share * spread).sum() - (kappa - chance * (1 - kappa)) ** 2) / (n * (1 - chance) ** 2)
    margin = Z_95 * float(np.sqrt(max(variance, 0.0)))
    return Kappa(kappa, kappa - margin, kappa + margin, n)


def side(degree: float) -> int:
    """Which side of temperate a degree lies on: -1, 0 or +1."""
    return int(degree > 0) - int(degree < 0)


def same_side(first: Sequence[float], second: Sequence[float]) -> float:
    """The share of pairs on the same side of temperate, temperate itself counted as a side; 0 without pairs."""
    pairs = list(zip(first, second, strict=True))
    return sum(side(a) == side(b) for a, b in pairs) / len(pairs) if pairs else 0.0


def contrary(first: float, second: float) -> bool:
    """Whether two degrees lie on opposite sides of temperate."""
    return side(first) * side(second) < 0
