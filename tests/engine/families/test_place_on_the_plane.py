"""place-on-the-plane: which parts are asked about, marks by distance, and falsified items are noticed."""

import copy
from dataclasses import replace

import pytest

from herbs.engine import PartNotes, TasteRule
from lessons.engine import Constraints, recheck, responses
from lessons.engine.families import place_on_the_plane as family
from lessons.engine.responses import cell_number
from tests.engine.families.handmade import item, part, workshop

ANY = Constraints()


@pytest.mark.parametrize(
    ("asked", "one"),
    [
        (True, part("aster", 2, -1)),
        (True, part("aster", (1, 3), -1)),
        (True, part("aster", 0, -1)),
        (True, part("aster", (1, 0), -1)),
        (True, part("aster", 2, -1, marks=("toxic",))),
        (False, part("aster", (1, 3.5), -1)),  # too wide
        (False, part("aster", (1, -1), -1)),  # on both sides of temperate
        (False, part("aster", 0, 0)),  # temperate in both
        (False, part("aster", None, -1)),  # nobody speaks of temperature
        (False, part("aster", 2, None)),
    ],
)
def test_parts_with_one_place_are_asked_about(asked, one):
    assert list(family.cases(workshop(one), ANY)) == ([0] if asked else [])


def test_scope_and_class_are_honoured():
    made_in = workshop(part("aster", 2, -1), part("briony", -2, 1, strength=1))
    assert list(family.cases(made_in, ANY)) == [0, 1]
    assert list(family.cases(made_in, Constraints(scope=frozenset({"briony"})))) == [1]
    assert list(family.cases(made_in, Constraints(action="raiser"))) == [0]


@pytest.fixture
def good():
    return item(family.NAME, workshop(part("aster", (1, 2), -1)), 0)


def test_a_good_item_is_proved_and_says_what_it_means(good):
    assert recheck(good) == []
    assert good["key"] == {"low": [1.0, -1.0], "high": [2.0, -1.0]}
    texts = {reason["status"]: reason["text"] for reason in good["because"][0]}
    assert texts["decisive"] == "It warms and dries, so it answers tissue that is cold and damp."


@pytest.mark.parametrize(
    ("cell", "mark"),
    [((1, -1), 1000), ((2, -1), 1000), ((3, -1), 500), ((3, 0), 500), ((0, 1), 200), ((4, 1), 200), ((-2, -1), 0)],
)
def test_marks_fall_with_the_distance_from_the_box(good, cell, mark):
    assert responses.mark(good, cell_number(*cell)) == mark


def test_what_is_temperate_on_one_axis_answers_one_state():
    made = item(family.NAME, workshop(part("aster", 0, 2)), 0)
    texts = {reason["status"]: reason["text"] for reason in made["because"][0]}
    assert texts["decisive"] == "It moistens and leaves warmth as it is, so it answers tissue that is dry."


def test_nothing_is_said_of_an_axis_on_which_a_source_doubts_that_it_is_temperate():
    made = item(family.NAME, workshop(part("aster", (0, -1), 2)), 0)
    texts = {reason["status"]: reason["text"] for reason in made["because"][0]}
    assert made["certificate"]["rows"][0]["value"][0] == 0
    assert texts["decisive"] == "It moistens, so it answers tissue that is dry."
    assert recheck(made) == []


def test_a_plural_label_takes_plural_verbs_in_stem_and_reasons():
    made = item(family.NAME, workshop(replace(part("hops", -2, 0), label="hops")), 0)
    texts = {reason["status"]: reason["text"] for reason in made["because"][0]}
    assert texts["decisive"] == "They cool and leave moisture as it is, so they answer tissue that is hot."
    assert not any(text.startswith("It ") or " it " in text.replace("as it is", "") for text in texts.values())


def tasting(degree, marks=()):
    notes = PartNotes({"western": ("bitter",)}, degrees={"western": {"temperature": degree, "moisture": -1.0}})
    rules = (TasteRule("western", "bitter", True, {"temperature": -1, "moisture": -1}),)
    return workshop(part("aster", degree, -1, marks=marks), notes={"aster": notes}, rules=rules)


def test_a_taste_is_told_only_where_its_rule_points_to_the_place():
    assert family.pointing_tastes(tasting(-2), 0) == ["bitter"]
    assert family.pointing_tastes(tasting(2), 0) == []
    assert family.pointing_tastes(tasting(0), 0) == []  # the rule expects it to cool


@pytest.mark.parametrize("mark", ["toxic", "restricted"])
def test_the_taste_of_a_harmful_plant_is_never_told(mark):
    assert family.pointing_tastes(tasting(-2, (mark,)), 0) == []


def _box(made):
    made["key"]["high"][0] = 3.0


def _figure(made):
    made["certificate"]["rows"][0]["high"][0] = 1.0


def _wide(made):
    made["key"]["high"][0] = made["certificate"]["rows"][0]["high"][0] = 4.0


def _straddling(made):
    made["key"]["low"][0] = made["certificate"]["rows"][0]["low"][0] = -1.0
    made["key"]["high"][0] = made["certificate"]["rows"][0]["high"][0] = 1.0


def _outside(made):
    made["certificate"]["rows"][0]["value"][1] = -2.0


def _other_part(made):
    made["subject"]["part"] = "briony"


def _decisive(made):
    reasons = made["because"][0]
    chosen = next(r for r in reasons if r["status"] == "decisive")
    other = next(r for r in reasons if r["status"] == "false")
    chosen["status"], other["status"] = "false", "decisive"


@pytest.mark.parametrize("falsify", [_box, _figure, _wide, _straddling, _outside, _other_part, _decisive])
def test_falsifications_are_noticed(good, falsify):
    false = copy.deepcopy(good)
    falsify(false)
    assert false != good
    assert recheck(false)
