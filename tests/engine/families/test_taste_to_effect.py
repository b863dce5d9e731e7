"""taste-to-effect: which cases are asked, what they say, and falsified items are noticed."""

import copy
import json

import pytest

from herbs.engine import TasteRule
from lessons.engine import Constraints, frozen, opened, recheck
from lessons.engine.families import taste_to_effect as family
from tests.engine.families.noted_parts import noted, workshop, written

TODAY = "contemporary-western"
RULES = (
    TasteRule(TODAY, "bitter", True, {"temperature": -1, "moisture": -1}),
    TasteRule(TODAY, "pungent", True, {"temperature": 2, "moisture": -1, "movement": 2}),
    TasteRule("galenic", "bitter", True, {"temperature": 1, "moisture": -1}),
)


def made(degrees, tastes=("bitter",), tradition=TODAY, **more):
    told = noted(tastes={TODAY: tastes}, degrees={tradition: degrees}, **more)
    return workshop(rules=RULES, aster=told)


@pytest.mark.parametrize(
    ("temperature", "moisture", "expected"),
    [
        (-1, -1, [False]),
        (-2, -2, [False]),  # within one degree
        (-3, -1, []),  # the same sign, but two degrees off: neither agreement nor a contrary effect
        (2, -1, [True]),  # contrary on temperature
        (2, 2, [True]),
        (2, -3, [True]),
        (0, -1, []),  # no claim of a side
    ],
)
def test_rule_and_claim_agree_or_depart_plainly(temperature, moisture, expected):
    cases = family.cases(made({"temperature": temperature, "moisture": moisture}), Constraints())
    assert [case.exception for case in cases] == expected


def test_a_rule_that_hardly_leans_is_not_asked_about():
    degrees = {"temperature": 1, "moisture": -1, "movement": 2}
    cases = family.cases(made(degrees, ("bitter", "pungent")), Constraints())
    assert {case.axes for case in cases} == {(0, 1), (0, 3), (1, 3)}  # +1/2, -1, +2
    cases = family.cases(made(degrees, ("bitter", "bitter", "pungent")), Constraints())
    assert len(cases) == 3  # a taste counts once


@pytest.mark.parametrize("mark", ["toxic", "restricted"])
def test_nobody_is_led_to_taste_a_harmful_plant(mark):
    assert not family.cases(made({"temperature": -1, "moisture": -1}, marks=(mark,)), Constraints())


def test_scope_is_honoured():
    within = made({"temperature": -1, "moisture": -1})
    assert not family.cases(within, Constraints(scope=frozenset({"briony"})))
    assert family.cases(within, Constraints(scope=frozenset({"aster"})))


def test_the_same_taste_is_judged_by_the_tradition_named():
    today = written(family.NAME, made({"temperature": -1, "moisture": -1}))
    galen = written(family.NAME, made({"temperature": 1, "moisture": -1}, tradition="galenic"))
    assert today["options"][today["key"]]["label"] == "It cools and dries"
    assert galen["options"][galen["key"]]["label"] == "It warms and dries"
    assert galen["subject"]["borrowed"] and "oday" in galen["stem"]
    assert recheck(today) == recheck(galen) == []


def test_an_exception_says_so_and_its_key_is_the_claim():
    item = written(family.NAME, made({"temperature": 2, "moisture": -1}))
    assert "exception" in item["stem"] or "departs" in item["stem"]
    assert item["options"][item["key"]]["label"] == "It warms and dries"
    decisive = next(reason["text"] for reason in item["because"][0] if reason["status"] == "decisive")
    assert decisive == "In contemporary Western herbalism it is held to warm and dry, whatever its taste."
    assert recheck(item) == []


def test_the_faults_name_the_quality_that_is_wrong():
    item = written(family.NAME, made({"temperature": -1, "moisture": -1}))
    assert {option["label"]: option["fault"] for option in item["options"]} == {
        "It cools and dries": None,
        "It warms and dries": "wrong temperature",
        "It cools and moistens": "wrong moisture",
        "It warms and moistens": "both qualities reversed",
    }


@pytest.fixture
def good():
    return written(family.NAME, made({"temperature": -1, "moisture": -1}))


def test_it_is_opened_as_it_was(good):
    assert opened(json.loads(json.dumps(frozen(good)))) == good


def _key(item):
    item["key"] = (item["key"] + 1) % 4


def _rule(item):
    item["subject"]["rule"]["moisture"] = -3


def _claim(item):
    item["subject"]["claim"]["temperature"] = 2


def _taste(item):
    item["certificate"]["rules"]["bitter"]["temperature"] = 1


def _other_taste(item):
    item["subject"]["tastes"] = ["sour"]


def _exception(item):
    item["subject"]["exception"] = True


def _label(item):
    item["options"][item["key"]]["label"] = item["options"][item["key"] - 1]["label"]


@pytest.mark.parametrize("falsify", [_key, _rule, _claim, _taste, _other_taste, _exception, _label])
def test_falsifications_are_noticed(good, falsify):
    false = copy.deepcopy(good)
    falsify(false)
    assert recheck(good) == []
    assert recheck(false)
