"""Differentials: the nearest in action and place that push another way."""

import numpy as np
import pytest

from herbs.engine import (
    ActionTerm,
    PartRecord,
    Site,
    SiteGraph,
    Statement,
    TeachingSet,
    compile_catalogue,
    contrast_words,
    contrasts,
    differentials,
    leading_classes,
)

AXES = ("temperature", "moisture", "tone", "movement")
GRAPH = SiteGraph(
    [
        Site("chest", "chest", "system"),
        Site("lungs", "lungs", "organ", frozenset({"chest"})),
        Site("gut", "gut", "system"),
    ]
)
ACTIONS = {
    "raise": ActionTerm("raise", "raiser", "raisers", is_class=True),
    "soothe": ActionTerm("soothe", "soother", "soothers", is_class=True),
    "old": ActionTerm("old", "old word", "old words"),
}


def part(slug, degrees, actions, form=None):
    """A part: four degrees, and actions {(action, site): strength}."""
    said = [Statement("degree", axis, float(value), "book") for axis, value in zip(AXES, degrees, strict=True)]
    said += [Statement("action", action, float(s), "book", site=site) for (action, site), s in actions.items()]
    if form:
        said.append(Statement("degree", "temperature", -4.0, "book", form=form))
    return PartRecord(slug, slug, slug, "root", "tea", tuple(said))


def compiled(*parts):
    teaching_set = TeachingSet("test", (("book", "decides"),))
    return compile_catalogue(list(parts), teaching_set, GRAPH, ACTIONS, [], [], "test")


def told(catalogue, slug, **kwargs):
    return [
        (catalogue.rows[d.row].slug, d.says) for d in differentials(catalogue, catalogue.row_number(slug), **kwargs)
    ]


RAISES = {("raise", "chest"): 3}


@pytest.mark.parametrize(
    ("own", "other", "says"),
    [
        ((2, -2, 0, 0), (2, -2, 0, 0), ""),
        ((2, -2, 0, 0), (1, -1, 0, 0), ""),  # the same signs, a degree apart
        ((1, 0, 0, 0), (3, 0, 0, 0), "warms more"),
        ((3, 0, 0, 0), (1, 0, 0, 0), "warms less"),
        ((-3, 0, 0, 0), (-1, 0, 0, 0), "cools less"),
        ((1, 0, 0, 0), (-1, 0, 0, 0), "cools"),
        ((0, 0, 0, 0), (0, 0, 1, 0), "tightens"),
        ((0, 0, -1, 0), (0, 0, 0, 0), "neither tightens nor relaxes"),
        ((2, -2, 0, 1), (-1, 2, 0, 0), "moistens and cools, and neither stirs nor quiets"),
        ((0.5, 0, 0, 0), (-0.5, 0, 0, 0), "cools"),
    ],
)
def test_contrasts_are_of_sign_or_of_two_degrees_the_widest_first(own, other, says):
    assert contrast_words(contrasts(own, other)) == says


def test_the_nearest_of_each_kind_of_difference_is_told_nearest_first():
    herbs = compiled(
        part("own", (2, -2, 0, 0), {**RAISES, ("soothe", "gut"): 1}),
        part("near-cool", (-2, -2, 0, 0), {**RAISES, ("soothe", "gut"): 1}),
        part("far-cool", (-1, -2, 0, 0), {**RAISES, ("soothe", "gut"): 3}),
        part("moist", (2, 2, 0, 0), {**RAISES, ("soothe", "gut"): 3}),
    )
    assert told(herbs, "own") == [("near-cool", "cools"), ("moist", "moistens")]
    assert told(herbs, "own", limit=1) == [("near-cool", "cools")]


def test_likeness_is_the_cosine_of_strengths_by_class_and_site():
    herbs = compiled(
        part("own", (2, 0, 0, 0), {("raise", "chest"): 3}),
        part("other", (-2, 0, 0, 0), {("raise", "chest"): 3, ("soothe", "gut"): 3}),
    )
    found = differentials(herbs, herbs.row_number("own"))
    # The chest and the lungs in it are one place with two sites: (1, 1, 0) against (1, 1) and 1 in the gut.
    assert found[0].likeness == pytest.approx(2 / np.sqrt(2 * 3))
    assert found[0].shared == ("raise",)


@pytest.mark.parametrize(
    ("other", "why"),
    [
        (part("other", (2, -2, 0, 0), RAISES), "no difference"),
        (part("other", (1, -1, 0, 0), RAISES), "a degree apart on one side is no difference"),
        (part("other", (-2, 2, 0, 0), {("soothe", "chest"): 3}), "no leading class in common"),
        (part("other", (-2, 2, 0, 0), {("raise", "chest"): 1}), "has it only slightly"),
        (part("other", (-2, 2, 0, 0), {("old", "chest"): 3}), "an action that is no class"),
        (part("other", (-2, 2, 0, 0), {("raise", "gut"): 3}), "nowhere near"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_no_differential(other, why):
    assert told(compiled(part("own", (2, -2, 0, 0), RAISES), other), "own") == []


def test_a_part_without_a_class_action_has_no_differentials():
    herbs = compiled(part("own", (2, 0, 0, 0), {("old", "chest"): 3}), part("other", (-2, 0, 0, 0), RAISES))
    assert leading_classes(herbs, herbs.row_number("own")) == ()
    assert differentials(herbs, herbs.row_number("own")) == []


def test_a_part_is_not_told_apart_from_its_own_forms_nor_from_another_s_form():
    herbs = compiled(
        part("own", (2, 0, 0, 0), RAISES, form="cold-tea"), part("other", (2, 0, 0, 0), RAISES, form="cold-tea")
    )
    assert len(herbs.rows) == 4
    assert told(herbs, "own") == []
    assert told(herbs, "own-cold-tea") == [("other", "warms")]


def test_a_part_that_is_only_slight_in_its_class_is_compared_with_those_as_strong():
    slight = {("raise", "chest"): 1}
    herbs = compiled(part("own", (2, 0, 0, 0), slight), part("other", (-2, 0, 0, 0), slight))
    assert told(herbs, "own") == [("other", "cools")]


@pytest.mark.parametrize("limit", [1, 3, 5])
def test_differentials_of_the_shipped_herbs_hold_what_they_promise(medica, limit):
    herbs = medica.catalogue
    some = 0
    for number, row in enumerate(herbs.rows):
        leading = leading_classes(herbs, number)
        found = differentials(herbs, number, limit)
        some += bool(found)
        assert len(found) <= limit
        assert len({d.says for d in found}) == len(found)
        assert [d.likeness for d in found] == sorted((d.likeness for d in found), reverse=True)
        for d in found:
            other = herbs.rows[d.row]
            assert other.is_usual and other.part_slug != row.part_slug
            assert d.shared and set(d.shared) <= set(leading)
            pairs = zip(herbs.value[number], herbs.value[d.row], strict=True)
            assert any(np.sign(a) != np.sign(b) or abs(a - b) >= 2 for a, b in pairs)
    assert some > 100
