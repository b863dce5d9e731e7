"""The beta distribution's tail against scipy's."""

import pytest
from scipy.special import betainc

from quizzes.engine.learner.beta import beta_tail, incomplete_beta

POINTS = (1e-6, 0.01, 0.1, 0.3, 0.5, 0.77, 0.95, 0.999)


@pytest.mark.parametrize("a", (0.05, 0.5, 1.0, 3.2, 40.0, 700.0))
@pytest.mark.parametrize("b", (0.05, 0.9, 7.36, 120.0, 900.0))
def test_it_agrees_with_scipy(a, b):
    for x in POINTS:
        assert incomplete_beta(a, b, x) == pytest.approx(betainc(a, b, x), abs=1e-9)
        assert beta_tail(a, b, x) == pytest.approx(1.0 - betainc(a, b, x), abs=1e-9)


def test_a_closed_form():
    """I_x(a, 1) = x^a, and a uniform variable is its own distribution."""
    assert incomplete_beta(3.5, 1.0, 0.4) == pytest.approx(0.4**3.5, abs=1e-14)
    assert incomplete_beta(1.0, 1.0, 0.123) == pytest.approx(0.123, abs=1e-14)


def test_a_small_tail_keeps_its_digits():
    """A tail of 1e-20 worked out as 1 minus something would be lost."""
    assert beta_tail(2.0, 60.0, 0.6) == pytest.approx(betainc(60.0, 2.0, 0.4), rel=1e-9)


def test_ends_and_nonsense():
    assert (incomplete_beta(2.0, 3.0, -1.0), incomplete_beta(2.0, 3.0, 2.0)) == (0.0, 1.0)
    with pytest.raises(ValueError, match="positive"):
        incomplete_beta(0.0, 1.0, 0.5)
