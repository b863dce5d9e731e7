"""The degree of a compound from the degrees of its parts, by two published ways."""

from collections.abc import Sequence
from math import log2


def powers(degree: float) -> tuple[float, float]:
    """The two contrary powers of one part of a simple, (positive, negative), in al-Kindi's measure (9th century).

    A degree d is a ratio of 2^d between contrary powers; the lesser is 1/2 and the greater 2^d/2, so that the
    temperate has 1/2 of each. A negative degree gives the greater power to the contrary.
    """
    greater = 2 ** abs(degree) / 2
    return (greater, 0.5) if degree >= 0 else (0.5, greater)


def geometric_degree(parts: Sequence[tuple[float, float]]) -> float:
    """Degree of a compound by al-Kindi: powers add by weight, and the degree is log2 of the summed ratio.

    ``parts`` are (weight, degree); at least one weight must be above 0. Source: al-Kindi on compound degrees, after
    A. C. Wootton, Chronicles of Pharmacy (1910), vol. 1.
    """
    _check(parts)
    positive = sum(weight * powers(degree)[0] for weight, degree in parts)
    negative = sum(weight * powers(degree)[1] for weight, degree in parts)
    return log2(positive / negative)


def arithmetic_degree(parts: Sequence[tuple[float, float]]) -> float:
    """Degree of a compound as the weighted mean of its parts' degrees."""
    _check(parts)
    return sum(weight * degree for weight, degree in parts) / sum(weight for weight, _ in parts)


def _check(parts: Sequence[tuple[float, float]]) -> None:
    if any(weight < 0 for weight, _ in parts) or not sum(weight for weight, _ in parts):
        raise ValueError("A blend needs weights of 0 or more, and at least one above 0.")
