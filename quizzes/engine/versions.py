"""Versions of the grading: each stored mark keeps the version that made it."""

from collections.abc import Mapping, Sequence
from typing import Final

CURRENT: Final = "2"
FULL: Final = 1000  # scores are integers, in thousandths
PARTS: Final = ("reading", "choice", "reason", "confidence")

# Weights in hundredths by version, where a course has set none of its own: reading of the pattern, choice, reason, confidence.
# What is not asked drops out and the rest is renormalised. Version 1 asked for no reading and no confidence.
WEIGHTS: Final[Mapping[str, Mapping[str, int]]] = {
    "1": {"reading": 25, "choice": 40, "reason": 35, "confidence": 0},
    "2": {"reading": 25, "choice": 40, "reason": 35, "confidence": 0},
}


def full_points(weights: Mapping[str, int], asked: Sequence[str]) -> dict[str, int]:
    """Full points (thousandths) of each part asked, in the order of PARTS; they sum to 1000.

    A part without weight gets none. ValueError when nothing asked has any weight.
    """
    order = [part for part in PARTS if part in asked]
    total = sum(weights[part] for part in order)
    if not total:
        raise ValueError("Nothing that is asked has any weight.")
    points = {part: int(FULL * weights[part] / total + 0.5) for part in order}
    points["reason" if "reason" in points else order[-1]] += FULL - sum(points.values())  # what rounding left over
    return points
