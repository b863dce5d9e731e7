"""The degree of a compound, by al-Kindi's ratios and by the weighted mean.

The worked example is al-Kindi's (9th century), as told by A. C. Wootton, Chronicles of Pharmacy, 1910, vol. 1: cardamom 1 part
(hot 1, cold 1/2; moist 1/2, dry 1), sugar 2 (hot 2, cold 1; moist 1, dry 2), indigo 1 (hot 1/2, cold 1; moist 1/2, dry 1),
emblic 2 (hot 1, cold 2; moist 1, dry 2), the figures being for the quantity taken; together hot 4 1/2, cold 4 1/2, moist 3,
dry 6: temperate in heat, and dry in the first degree.
"""

from fractions import Fraction
from math import log2

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herbs.engine import arithmetic_degree, geometric_degree, powers

# Name: parts, degree of heat (+ hot), degree of moisture (+ moist). Per part the lesser power is 1/2, so hot 1 against
# cold 1/2 is one degree: cardamom is hot in the first, sugar too (2 against 1 for two parts), indigo and emblic are cold in it.
SIMPLES = {"cardamom": (1, 1, -1), "sugar": (2, 1, -1), "indigo": (1, -1, -1), "emblic": (2, -1, -1)}
PRINTED = {  # hot, cold, moist, dry for the quantity taken
    "cardamom": (1, 0.5, 0.5, 1),
    "sugar": (2, 1, 1, 2),
    "indigo": (0.5, 1, 0.5, 1),
    "emblic": (1, 2, 1, 2),
}


@pytest.mark.parametrize("name", SIMPLES)
def test_the_powers_of_each_simple_are_those_printed(name):
    parts, heat, moisture = SIMPLES[name]
    hot, cold = (parts * power for power in powers(heat))
    moist, dry = (parts * power for power in powers(moisture))
    assert (hot, cold, moist, dry) == PRINTED[name]


def test_the_summed_powers_are_those_printed():
    sums = [sum(figures[n] for figures in PRINTED.values()) for n in range(4)]
    assert sums == [4.5, 4.5, 3, 6]
    heat = [(parts, degree) for parts, degree, _ in SIMPLES.values()]
    assert sum(weight * powers(degree)[0] for weight, degree in heat) == 4.5
    assert sum(weight * powers(degree)[1] for weight, degree in heat) == 4.5


def test_the_compound_is_temperate_in_heat_and_dry_in_the_first_degree():
    assert geometric_degree([(parts, heat) for parts, heat, _ in SIMPLES.values()]) == 0
    assert geometric_degree([(parts, moisture) for parts, _, moisture in SIMPLES.values()]) == -1


def test_hot_in_the_third_with_as_much_temperate_is_not_one_and_a_half():
    """Hot in the third is 4 against 1/2, temperate 1/2 against 1/2: 4 1/2 against 1, log2(4.5) = 2.17."""
    degree = geometric_degree([(1, 3), (1, 0)])
    assert degree == log2(4.5)
    assert round(degree, 2) == 2.17
    assert arithmetic_degree([(1, 3), (1, 0)]) == 1.5


@pytest.mark.parametrize(("degree", "ratio"), [(0, 1), (1, 2), (2, 4), (3, 8), (4, 16)])
def test_each_degree_doubles_the_ratio_of_the_contraries(degree, ratio):
    greater, lesser = powers(degree)
    assert lesser == 0.5
    assert Fraction(greater) / Fraction(lesser) == ratio
    assert powers(-degree) == (lesser, greater)


parts = st.lists(st.tuples(st.floats(0.1, 10), st.floats(-4, 4)), min_size=1, max_size=6)
quick = settings(max_examples=80, deadline=None, database=None)


@quick
@given(parts)
def test_a_compound_lies_between_its_parts(blend):
    degrees = [degree for _, degree in blend]
    for mix in (geometric_degree, arithmetic_degree):
        assert min(degrees) - 1e-9 <= mix(blend) <= max(degrees) + 1e-9


@quick
@given(parts, st.floats(0.1, 10))
def test_only_proportions_count(blend, factor):
    scaled = [(weight * factor, degree) for weight, degree in blend]
    assert geometric_degree(scaled) == pytest.approx(geometric_degree(blend), abs=1e-9)
    assert arithmetic_degree(scaled) == pytest.approx(arithmetic_degree(blend), abs=1e-9)


@quick
@given(parts)
def test_contrary_parts_make_the_contrary_compound(blend):
    contrary = [(weight, -degree) for weight, degree in blend]
    assert geometric_degree(contrary) == pytest.approx(-geometric_degree(blend), abs=1e-9)


@quick
@given(st.floats(-4, 4), st.floats(0.1, 10))
def test_a_simple_keeps_its_degree(degree, weight):
    assert geometric_degree([(weight, degree)]) == pytest.approx(degree, abs=1e-9)
    assert arithmetic_degree([(weight, degree)]) == pytest.approx(degree, abs=1e-9)


def test_a_part_without_weight_adds_nothing():
    assert geometric_degree([(1, 2), (0, -4)]) == geometric_degree([(1, 2)])


@pytest.mark.parametrize("blend", [[], [(0, 2)], [(-1, 2), (3, 1)]])
@pytest.mark.parametrize("mix", [geometric_degree, arithmetic_degree])
def test_a_blend_without_weight_is_refused_with_a_sentence(mix, blend):
    with pytest.raises(ValueError, match=r"A blend needs weights of 0 or more, and at least one above 0\."):
        mix(blend)
