"""Patterns: what is refused, what leads, and the published shape."""

import pytest
from hypothesis import given, settings

from herbs.engine import InvalidPatternError, Pattern, Presentation, constitution_from_mapping
from herbs.explain import read_presentation

from .build import patterns

T, M, TONE, MOVE = range(4)
DRY = {"moisture": {"degree": -2}}
N = None


@pytest.mark.parametrize(
    ("degrees", "follows", "sentence"),
    [
        ((0, 0, 0, 0), (N, N, N, N), "needs a degree other than 0"),
        ((5, 0, 0, 0), (N, N, N, N), "between -4 and \\+4"),
        ((0, -4.5, 0, 0), (N, N, N, N), "between -4 and \\+4"),
        ((1, 2, 0), (N, N, N), "four degrees and four roots"),
        ((1, 2, 0, 0), (N, N, N), "four degrees and four roots"),
        ((1, 2, 0, 0), (T, N, N, N), "only another axis"),  # follows itself
        ((1, 2, 0, 0), (TONE, N, N, N), "both need a degree"),  # a root without a degree
        ((1, 2, 0, 0), (N, N, N, M), "both need a degree"),  # a consequence without a degree
        ((1, 2, 0, 0), (M, T, N, N), "circle"),
        ((1, 2, 1, 0), (M, TONE, T, N), "circle"),
        ((1, 2, 1, 1), (MOVE, TONE, M, N), "circle"),
    ],
)
def test_a_bad_pattern_is_refused_with_a_sentence(degrees, follows, sentence):
    with pytest.raises(InvalidPatternError, match=sentence) as refused:
        Pattern(degrees, follows)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize(
    ("mapping", "sentence"),
    [
        ({"temper": {"degree": 1}}, "Unknown axis 'temper'; the axes are temperature"),
        ({"moisture": {"degree": "dry"}}, "degree of moisture must be a number"),
        ({"moisture": {"degree": True}}, "degree of moisture must be a number"),
        ({"moisture": {"degree": None}}, "degree of moisture must be a number"),
        ({"moisture": {"degree": -2, "follows": "wind"}}, "moisture follows 'wind', which is not an axis"),
        ({"moisture": {"degree": -2, "follows": "temperature"}}, "both need a degree"),
        ({}, "needs a degree other than 0"),
    ],
)
def test_a_bad_published_pattern_is_refused_with_a_sentence(mapping, sentence):
    with pytest.raises(InvalidPatternError, match=sentence):
        Pattern.from_mapping(mapping)


@pytest.mark.parametrize("degree", [float("nan"), float("inf")])
def test_a_degree_that_is_no_number_is_refused(degree):
    with pytest.raises(InvalidPatternError):
        Pattern.from_mapping({"moisture": {"degree": degree}})


@pytest.mark.parametrize(
    "wanted", [[], "dry cough", None, {"site": "lungs"}, {"site": "lungs", "action": "expectorant"}]
)
def test_a_presentation_that_lacks_something_is_refused(wanted):
    with pytest.raises(InvalidPatternError, match=r"(JSON object|has no '\w+')"):
        read_presentation(wanted)


def test_a_flat_pattern_is_answered_with_the_right_shape():
    with pytest.raises(InvalidPatternError, match="A pattern looks like"):
        read_presentation({"site": "lungs", "action": "expectorant", "pattern": {"moisture": -2}})


@pytest.mark.parametrize("constitution", [(0, 0, 0), (2, 0, 0, 0), (0, 0.5, 0, 0)])
def test_a_constitution_leans_by_one_or_not_at_all(constitution):
    with pytest.raises(InvalidPatternError, match="leans -1, 0 or"):
        Presentation("lungs", "expectorant", Pattern.from_mapping(DRY), constitution)


def test_a_constitution_is_read_from_its_published_shape():
    assert constitution_from_mapping({"moisture": -1, "tone": 1}) == (0, -1, 1, 0)
    with pytest.raises(InvalidPatternError, match="Unknown axis 'humour'"):
        constitution_from_mapping({"humour": 1})
    with pytest.raises(InvalidPatternError, match="leans -1, 0 or"):
        constitution_from_mapping({"tone": 3})


def test_the_need_is_the_contrary_of_the_state():
    assert Pattern((1, -2, 0, 3)).need == (-1, 2, 0, -3)


@pytest.mark.parametrize(
    ("degrees", "follows", "leading"),
    [
        ((0, -2, 0, 0), (N, N, N, N), (M,)),
        ((1, -2, 0, 0), (N, N, N, N), (M,)),  # the greater need leads
        ((2, -2, 0, 0), (N, N, N, N), (T, M)),  # equals lead together
        ((1, -2, 0, 0), (M, N, N, N), (M,)),  # heat that follows dryness does not lead
        ((3, -1, 0, 0), (M, N, N, N), (M,)),  # not even when it is the greater
        ((-2, 2, 0, -1), (N, T, N, N), (T,)),
        ((-1, 2, 0, -2), (M, N, N, N), (M, MOVE)),
        ((2, -1, 1, 0), (N, N, M, N), (T, M)),  # a lesser root leads beside a greater free need
        ((2, 1, 1, 0), (N, T, M, N), (T, M)),  # in a chain every root leads, though it follows another
    ],
)
def test_every_root_leads_and_the_greatest_of_the_free(degrees, follows, leading):
    assert Pattern(degrees, follows).leading == leading


@settings(max_examples=100, deadline=None, database=None)
@given(patterns)
def test_the_published_shape_is_read_back_unchanged(pattern):
    assert Pattern.from_mapping(pattern.as_mapping()) == pattern
    assert set(pattern.roots) <= set(pattern.leading)
    assert pattern.leading and all(pattern.degrees[axis] for axis in pattern.leading)


def test_every_shipped_state_and_mixed_pattern_is_valid_and_leads_with_its_root(medica):
    for kind in ("state", "mixed-pattern"):
        assert medica.terms[kind]
        for entry in medica.terms[kind].values():
            follows = entry.get("follows") or {}
            shape = {
                axis: {"degree": degree, "follows": follows.get(axis)} for axis, degree in entry["pattern"].items()
            }
            pattern = Pattern.from_mapping(shape)
            assert len(pattern.roots) == len(set(follows.values())), entry["slug"]
