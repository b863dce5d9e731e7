"""From taste to effect, by hand."""

from herbs.engine.tastes import TasteRule, exceptions, expected

BITTER = TasteRule("today", "bitter", True, {"temperature": -1, "moisture": -1})
PUNGENT = TasteRule("today", "pungent", True, {"temperature": 2, "moisture": -1, "movement": 2})
TANNIN = TasteRule("today", "tannin", False, {"tone": 2, "moisture": -3})
RULES = [BITTER, PUNGENT, TANNIN]


def test_one_taste_gives_its_own_degrees():
    assert expected(RULES, ["bitter"]) == {"temperature": -1, "moisture": -1}


def test_two_tastes_meet_in_the_middle_on_each_axis_that_both_speak_of():
    assert expected(RULES, ["bitter", "pungent"]) == {"temperature": 0.5, "moisture": -1, "movement": 2}


def test_constituents_speak_only_where_tastes_are_silent():
    assert expected(RULES, ["bitter"], ["tannin"]) == {"temperature": -1, "moisture": -1, "tone": 2}


def test_a_taste_without_a_rule_says_nothing():
    assert expected(RULES, ["bland"]) == {}


def test_more_than_one_degree_is_an_exception():
    awaited = {"temperature": -1, "moisture": -1, "tone": 2}
    assert exceptions(awaited, {"temperature": 0, "moisture": 1, "movement": 4}) == {"moisture": (-1, 1)}
