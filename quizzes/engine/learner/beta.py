"""The regularised incomplete beta function, without a statistics library, so that a page may ask for it."""

from math import exp, lgamma, log, log1p

TINY = 1e-300  # in place of a zero that would be divided by
EPSILON = 1e-15
MOST_TERMS = 500  # some tens are needed for counts up to a thousand


def incomplete_beta(a: float, b: float, x: float) -> float:
    """I_x(a, b), the probability that a Beta(a, b) variable is at most x; a and b positive, x from 0 to 1.

    The continued fraction of NIST's Digital Library of Mathematical Functions, 8.17.22, by the modified method of W. J.
    Lentz (Applied Optics 15, 1976, 668-671) with the symmetry 8.17.4 where it converges faster.
    """
    if not (a > 0 and b > 0):
        raise ValueError("Both parameters of a beta distribution are positive.")
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(a, b, x) / a
    return 1.0 - front * _fraction(b, a, 1.0 - x) / b


def beta_tail(a: float, b: float, x: float) -> float:
    """The probability that a Beta(a, b) variable is above x."""
    return incomplete_beta(b, a, 1.0 - x)


def _away_from_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY


def _fraction(a: float, b: float, x: float) -> float:
    c, d = 1.0, 1.0 / _away_from_zero(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for m in range(1, MOST_TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        d = 1.0 / _away_from_zero(1.0 + even * d)
        c = _away_from_zero(1.0 + even / c)
        value *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        d = 1.0 / _away_from_zero(1.0 + odd * d)
        c = _away_from_zero(1.0 + odd / c)
        step = d * c
        value *= step
        if abs(step - 1.0) < EPSILON:
            break
    return value
