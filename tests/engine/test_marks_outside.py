"""Graders beside the outside world: reference libraries, published worked examples, exhaustive checks of what is claimed."""

import random
from collections.abc import Sequence
from fractions import Fraction
from itertools import product
from math import floor
from statistics import mean
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau
from sklearn.metrics import brier_score_loss

from herbs.engine import AXES
from lessons.engine import Constraints, responses
from quizzes.engine import FULL, LEAST_WEIGHT, LEVELS, Scheme, grade, mark_confidence, reasons_for
from quizzes.engine.panel import credits, mark_lean, panellist_score, standardised, standing
from quizzes.engine.reading import SIGNS, mark_reading, reading_number, reading_signs, true_signs

# ---- Orders: Kendall's tau ----


def test_an_order_earns_kendall_s_tau():
    """All 24 keys against all 24 orders, with the tau of scipy; each order is read as the places it gives to the four options."""
    seen = set()
    for key, order in product(responses.ORDERS, repeat=2):
        tau = kendalltau([key.index(n) for n in range(4)], [order.index(n) for n in range(4)]).statistic
        pairs = round(tau * 6)  # tau is a whole number of sixths; the float is not
        assert tau == pytest.approx(pairs / 6)
        mark = responses.mark({"response": "rank", "key": list(key)}, responses.order_number(order))
        assert mark == max(0, floor(FULL * Fraction(pairs, 6)))
        seen.add(mark)
    assert seen == {0, 333, 666, 1000}


# ---- Confidence: the quadratic rule ----


@given(st.lists(st.tuples(st.sampled_from(LEVELS), st.booleans()), min_size=1, max_size=40))
def test_confidence_earns_one_less_the_brier_score(said):
    """The mean mark is 1 - Brier score, each mark a whole thousandth not more than one above it."""
    chances, right = zip(*said, strict=True)
    brier = brier_score_loss(right, np.array(chances) / 100, pos_label=True, labels=[False, True])
    marks = mean(mark_confidence(chance, hit) for chance, hit in said)
    assert FULL * (1 - brier) <= marks + 1e-9 <= FULL * (1 - brier) + 1


@pytest.mark.parametrize(
    ("chance", "right", "mark"),
    [
        (100, True, 1000),
        (100, False, 0),
        (0, False, 1000),
        (50, True, 750),
        (50, False, 750),
        (70, True, 910),
        (70, False, 510),
    ],
)
def test_confidence_by_hand(chance, right, mark):
    assert mark_confidence(chance, right) == mark


@pytest.mark.parametrize("chance", [-1, 101])
def test_what_is_no_chance_earns_an_error(chance):
    with pytest.raises(ValueError, match="between 0 and 100"):
        mark_confidence(chance, True)


def expected(said: int, held: int, full: int = FULL) -> int:
    """A hundred times the points expected by somebody who holds one chance and says another, of ``full`` points."""
    right, wrong = (full * mark_confidence(said, hit) // FULL for hit in (True, False))
    return held * right + (100 - held) * wrong


def best_said(held: int, full: int) -> list[int]:
    """What pays best, of the levels offered, for somebody who holds a chance."""
    most = max(expected(said, held, full) for said in LEVELS)
    return [said for said in LEVELS if expected(said, held, full) == most]


def test_nothing_pays_better_than_the_level_one_holds():
    """For every full mark that a course can give to confidence, and strictly: no other level pays as well."""
    for full in range(10 * LEAST_WEIGHT, FULL + 1):
        for held in LEVELS:
            assert best_said(held, full) == [held], (full, held)


def test_between_two_levels_the_nearer_one_pays_best():
    for held in range(101):
        away = {said: abs(said - held) for said in LEVELS}
        nearest = {said for said in LEVELS if away[said] <= min(away.values()) + 1}  # a tie is a matter of rounding
        assert set(best_said(held, FULL)) <= nearest, held


def test_with_less_weight_rounding_would_spoil_the_rule():
    """The limit is there for a reason: with a weight of 3 in the hundred there are chances that it pays to overstate."""
    assert any(best_said(held, 30) != [held] for held in LEVELS)


def test_an_unsafe_choice_lies_outside_the_rule():
    """Nothing is earned for an unsafe choice: what pays best is the chance of being right given that it is not unsafe."""
    right, wrong, unsafe = 51, 9, 40
    pays = {said: right * mark_confidence(said, True) + wrong * mark_confidence(said, False) for said in LEVELS}
    assert right + wrong + unsafe == 100
    assert max(pays, key=pays.__getitem__) == 100 * right // (right + wrong) == 85


# ---- Panels: script concordance ----


def test_the_worked_example_of_the_literature():
    """From memory, as in the script concordance literature: of ten panellists six, three and one give three answers, which earn
    1, 0.5 and 0.17 (one sixth)."""
    votes = [0, 0, 1, 3, 6]
    assert credits(votes) == [0, 0, Fraction(1, 6), Fraction(1, 2), 1]
    assert [mark_lean(votes, answer) for answer in range(5)] == [0, 0, 166, 500, 1000]


@pytest.mark.parametrize(
    ("votes", "stands"),
    [
        ([0, 0, 0, 0, 0], "unscored"),
        ([0, 1, 3, 0, 0], "unscored"),  # 4
        ([0, 1, 4, 0, 0], "formative"),  # 5
        ([1, 1, 5, 1, 1], "formative"),  # 9
        ([1, 1, 5, 2, 1], "counted"),  # 10
        ([5, 0, 5, 0, 0], "split"),  # two modes that are not neighbours
        ([5, 1, 0, 1, 5], "split"),
        ([0, 5, 5, 0, 0], "counted"),  # neighbours
        ([3, 3, 3, 1, 0], "counted"),  # three in a row
        ([3, 3, 0, 3, 1], "split"),
        ([1, 0, 1, 0, 0], "split"),
        ([2, 2, 2, 2, 2], "counted"),
    ],
)
def test_standing(votes, stands):
    assert standing(votes) == stands
    scored = stands in ("counted", "formative")
    assert [mark is not None for mark in (mark_lean(votes, answer) for answer in range(5))] == [scored] * 5


def test_an_empty_panel_gives_no_credit():
    with pytest.raises(ValueError, match="No panellist"):
        credits([0, 0, 0, 0, 0])


def by_brute_force(member: int, sheets: Sequence[Sequence[int]]) -> float:
    """A panellist's mean credit, by counting the answers of everybody else one by one."""
    earned = []
    for item, own in enumerate(sheets[member]):
        others = [sheet[item] for number, sheet in enumerate(sheets) if number != member]
        most = max(others.count(answer) for answer in set(others))
        earned.append(others.count(own) / most)
    return mean(earned)


SHEET = st.lists(st.integers(0, 4), min_size=6, max_size=6)


@given(st.lists(SHEET, min_size=2, max_size=14))
def test_a_panellist_is_scored_without_themselves(sheets):
    panel = [[sum(sheet[item] == answer for sheet in sheets) for answer in range(5)] for item in range(6)]
    for member, sheet in enumerate(sheets):
        assert panellist_score(sheet, panel) == pytest.approx(by_brute_force(member, sheets))


def test_the_panel_itself_has_mean_eighty_and_standard_deviation_five():
    """The scale of B. Charlin and others, Teaching and Learning in Medicine 22 (2010) 180-186."""
    draw = random.Random(2010)
    panel = [draw.uniform(0.55, 0.95) for _ in range(15)]
    scaled = [standardised(score, panel).scaled for score in panel]
    assert (np.mean(scaled), np.std(scaled, ddof=1)) == (pytest.approx(80), pytest.approx(5))
    centre, spread = float(np.mean(panel)), float(np.std(panel, ddof=1))
    assert standardised(centre + 2 * spread, panel).z == pytest.approx(2)
    assert standardised(centre - 3 * spread, panel).scaled == pytest.approx(65)


@pytest.mark.parametrize("panel", [[0.8], [0.7, 0.7, 0.7]])
def test_a_panel_without_spread_is_no_measure(panel):
    with pytest.raises(ValueError, match="two members"):
        standardised(0.5, panel)


# ---- Readings of the pattern ----


def case(*degrees: int) -> dict[str, Any]:
    """As much of an item as a reading is marked by: the degree of the state on each axis."""
    return {"presentation": {"pattern": {axis: {"degree": degree} for axis, degree in zip(AXES, degrees, strict=True)}}}


@pytest.mark.parametrize(
    ("degrees", "signs", "mark"),
    [
        ((3, -2, 0, 0), (1, -1, 0, 0), 1000),
        ((3, -2, 0, 0), (1, 0, 0, 0), 600),  # three of five degrees
        ((3, -2, 0, 0), (0, -1, 0, 0), 400),
        ((3, -2, 0, 0), (1, 1, 0, 0), 200),  # three, less two for the contrary
        ((3, -2, 0, 0), (-1, -1, 0, 0), 0),
        ((3, -2, 0, 0), (1, -1, 1, 0), 500),  # all hits, and one of two false alarms
        ((3, -2, 0, 0), (1, 0, 0, -1), 100),  # .6 less .5
        ((3, -2, 0, 0), (1, -1, 1, 1), 0),
        ((4, 0, 0, 0), (1, 0, 0, -1), 666),  # one of three false alarms
        ((1, -2, 3, 0), (1, -1, 1, 1), 0),
        ((1, -2, 3, 0), (0, -1, 1, 0), 833),
        ((1, 1, -1, 1), (1, 1, -1, 0), 750),  # nothing left to invent
        ((0, 0, 0, 0), (0, 0, 0, 0), 0),
    ],
)
def test_readings_by_hand(degrees, signs, mark):
    assert mark_reading(case(*degrees), signs) == mark


PATTERNS = [degrees for degrees in product(range(-4, 5), repeat=4) if any(degrees)]
SOME = random.Random(81).sample(PATTERNS, 400)


def test_a_reading_is_a_share_and_whole_only_when_exact():
    for degrees in SOME:
        item = case(*degrees)
        marks = {signs: mark_reading(item, signs) for signs in SIGNS}
        assert all(type(mark) is int and 0 <= mark <= FULL for mark in marks.values())
        assert [signs for signs, mark in marks.items() if mark == FULL] == [true_signs(item)]


def test_naming_nothing_or_everything_earns_nothing():
    """Everything is a sign on every axis, were it even the right one wherever there is one: unless all four are in the state."""
    for degrees in SOME:
        item = case(*degrees)
        assert mark_reading(item, (0, 0, 0, 0)) == 0
        if 0 in degrees:
            assert {mark_reading(item, signs) for signs in SIGNS if all(signs)} == {0}


def test_setting_an_axis_right_never_costs():
    """From contrary over unnamed to right, and from invented to unnamed, a mark never falls, whatever else was read."""
    for degrees in SOME[:120]:
        item = case(*degrees)
        true = true_signs(item)
        for signs in SIGNS:
            for axis in range(4):
                steps = (-true[axis], 0, true[axis]) if true[axis] else (signs[axis] or 1, 0)
                marks = [mark_reading(item, (*signs[:axis], step, *signs[axis + 1 :])) for step in steps]
                assert marks == sorted(marks)


def test_a_reading_is_one_number_and_back():
    assert [reading_number(reading_signs(number)) for number in range(81)] == list(range(81))
    with pytest.raises(ValueError, match="not in"):
        reading_number((2, 0, 0, 0))


# ---- An item that a panel judges, graded whole ----


def test_a_panel_gives_the_choice_its_share_and_the_reason_stands_beside_it(maker):
    """Ten panellists: six, three and one on three neighbouring answers, the worked example above."""
    item = maker.make("new-finding", 3, Constraints())
    decisive = [reason["status"] for reason in reasons_for(item, 0)].index("decisive")
    votes = (0, 1, 3, 6, 0)
    full = Scheme().full(("choice", "reason"))
    for answer, share in enumerate((0, 166, 500, 1000, 0)):
        mark = grade(item, answer, decisive, panel=votes)
        assert mark.points == {"choice": full["choice"] * share // 1000, "reason": full["reason"]}
    assert grade(item, 3, decisive, panel=votes).outcome == "both-right"
    assert grade(item, 2, decisive, panel=votes).outcome == "wrong-for-a-right-reason"
    # Four panellists are too few, and so is none: the choice earns nothing.
    assert grade(item, 3, decisive, panel=(0, 0, 1, 3, 0)).points["choice"] == 0
    assert grade(item, 3, decisive).points["choice"] == 0
