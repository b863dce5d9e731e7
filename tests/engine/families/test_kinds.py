"""kinds: which fours are asked about, and falsified items are noticed."""

import copy
from itertools import permutations

import pytest

from lessons.engine import Constraints, recheck, responses
from lessons.engine.families import kinds as family
from tests.engine.families.handmade import item, part, workshop

ANY = Constraints()
FOUR = (
    part("aster", 2, -1, 1, 0), part("briony", -1, -2, 1, 0), part("cicely", 1, 2, 1, 0), part("dodder", -2, 1, 1, 0),
)  # fmt: skip
QUADRANTS = {"aster": "warming and drying", "briony": "cooling and drying", "cicely": "warming and moistening",
             "dodder": "cooling and moistening"}  # fmt: skip


def matched(*parts, constraints=ANY):
    made_in = workshop(*parts)
    return [
        {
            made_in.catalogue.rows[row].slug: family.kind_name(kind)
            for row, kind in zip(case.rows, case.kinds, strict=True)
        }
        for case in family.cases(made_in, constraints)
    ]


def test_four_corners_of_the_plane_are_four_kinds():
    assert QUADRANTS in matched(*FOUR)


def test_every_herb_of_a_case_fits_its_own_kind_alone():
    made_in = workshop(*FOUR, part("elder", (1, 2), (-1, -2), -1, 2), part("fennel", (2, 1), 1, -2, (1, -1)))
    cases = family.cases(made_in, ANY)
    assert len(cases) > 10
    for case in cases:
        low, high = made_in.catalogue.low[list(case.rows)], made_in.catalogue.high[list(case.rows)]
        for place, one in enumerate(case.kinds):
            for other in case.kinds:
                may = all(
                    (high[place, axis] > 0) if sign > 0 else (low[place, axis] < 0)
                    for axis, sign in family.KINDS[other]
                )
                assert may == (one == other)


@pytest.mark.parametrize(
    "fourth",
    [
        part("dodder", (-2, 1), 1, 1, 0),  # it may warm
        part("dodder", (-2, 0), 1, 1, 0),  # it may be temperate
        part("dodder", -2, 1, 1, 0, strength=1),
        part("dodder", -2, 1, 1, 0, latin="Aster"),
    ],
)
def test_a_doubtful_fourth_is_left_out(fourth):
    assert all("dodder" not in four or four != QUADRANTS for four in matched(*FOUR[:3], fourth))


def test_fours_are_bounded_and_fixed(monkeypatch):
    parts = *FOUR, part("elder", 1, -1, -1, 2), part("fennel", 2, 1, -2, -1)
    every = matched(*parts)
    assert len(every) > 4
    assert matched(*parts) == every
    monkeypatch.setattr(family, "CASES", 2)
    assert matched(*parts) == [every[0], every[len(every) // 2]]


def test_scope_and_class_are_honoured():
    assert matched(*FOUR, constraints=Constraints(scope=frozenset({"aster", "briony", "cicely"}))) == []
    assert matched(*FOUR, constraints=Constraints(action="soother")) == []


@pytest.fixture
def good():
    made_in = workshop(*FOUR)
    case = next(
        case
        for case in family.cases(made_in, ANY)
        if {family.kind_name(kind) for kind in case.kinds} == set(QUADRANTS.values())
    )
    return item(family.NAME, made_in, case)


def test_a_good_item_is_proved_and_matches(good):
    assert recheck(good) == []
    shown = {option["part"]: good["kinds"][kind] for option, kind in zip(good["options"], good["key"], strict=True)}
    assert shown == QUADRANTS


def test_full_marks_for_the_key_alone(good):
    marks = [responses.mark(good, number) for number in range(24)]
    assert marks.count(1000) == 1
    assert list(list(permutations(range(4)))[marks.index(1000)]) == good["key"]


def _key(made):
    made["key"][0], made["key"][1] = made["key"][1], made["key"][0]


def _kinds(made):
    made["kinds"][0], made["kinds"][1] = made["kinds"][1], made["kinds"][0]


def _no_kind(made):
    made["kinds"][0] = "warming and cooling"


def _doubt(made):
    made["certificate"]["rows"][0]["low"] = [-1.0] * 4
    made["certificate"]["rows"][0]["high"] = [1.0] * 4


def _other_herb(made):
    made["options"].reverse()


def _zero(made):
    row = made["certificate"]["rows"][2]
    row["low"][0] = row["high"][0] = row["value"][0] = 0.0


def _maybe_temperate(made):
    row = next(row for row in made["certificate"]["rows"] if row["part"] == "aster")
    row["low"][0] = 0.0


def _decisive(made):
    reasons = made["because"][0]
    chosen = next(r for r in reasons if r["status"] == "decisive")
    other = next(r for r in reasons if r["status"] == "false")
    chosen["status"], other["status"] = "false", "decisive"


@pytest.mark.parametrize("falsify", [_key, _kinds, _no_kind, _doubt, _other_herb, _zero, _maybe_temperate, _decisive])
def test_falsifications_are_noticed(good, falsify):
    false = copy.deepcopy(good)
    falsify(false)
    assert false != good
    assert recheck(false)
