"""Weighted kappa against a reference library and a resampled interval; sides of temperate."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score

from herbs.engine.agreement import contrary, same_side, side, weighted_kappa

CATEGORIES = range(-4, 5)
DEGREES = st.integers(-4, 4)


@given(st.lists(st.tuples(DEGREES, DEGREES), min_size=2, max_size=60))
def test_the_value_is_that_of_scikit_learn(pairs):
    first, second = zip(*pairs, strict=True)
    try:
        found = weighted_kappa(first, second, CATEGORIES)
    except ValueError:
        assert len({*first, *second}) == 1
        return
    assert found.value == pytest.approx(cohen_kappa_score(first, second, weights="linear", labels=list(CATEGORIES)))
    assert found.low <= found.value <= found.high
    assert found.n == len(pairs)


def test_the_interval_is_that_of_resampling():
    """The large-sample interval lies within .02 of the percentiles of 2,000 resamples of 600 pairs."""
    draw = np.random.default_rng(1653)
    first = draw.integers(-4, 5, 600)
    second = np.clip(first + draw.integers(-2, 3, 600), -4, 4)
    found = weighted_kappa(list(first), list(second), CATEGORIES)
    resampled = []
    for _ in range(2000):
        rows = draw.integers(0, 600, 600)
        resampled.append(weighted_kappa(list(first[rows]), list(second[rows]), CATEGORIES).value)
    assert np.percentile(resampled, [2.5, 97.5]) == pytest.approx([found.low, found.high], abs=0.02)


def test_readers_who_agree_wholly_have_kappa_one():
    assert weighted_kappa([-2, 0, 3], [-2, 0, 3], CATEGORIES).value == pytest.approx(1)


@pytest.mark.parametrize(("first", "second"), [([], []), ([1], [1, 2]), ([9], [1]), ([1, 1], [1, 1])])
def test_readings_without_a_kappa_are_refused(first, second):
    with pytest.raises(ValueError, match=r"\w"):
        weighted_kappa(first, second, CATEGORIES)


def test_temperate_is_a_side_but_never_contrary():
    assert [side(-0.5), side(0), side(3)] == [-1, 0, 1]
    assert same_side([-1, 0, 2, 3], [-3, 1, 1, -1]) == 0.5
    assert same_side([], []) == 0
    assert contrary(-1, 2) and not contrary(0, 2) and not contrary(1, 3)
