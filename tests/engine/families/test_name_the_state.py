"""name-the-state: kinds of state, how they are told apart, and falsified items are noticed."""

import copy

import pytest

from herbs.engine import AXES, Pattern
from lessons.engine.families import name_the_state as family
from lessons.engine.scenery import OrderFinding, PatternForm
from lessons.engine.state_kinds import degrees_apart, exchanged, fault_between, kinds_of, plainly_said

DRY, DRY_HOT, HOT_DRY, COLD, DAMP_COLD, LAX = (
    Pattern((0, -2, 0, 0)),
    Pattern((1, -2, 0, 0), (1, None, None, None)),
    Pattern((2, -1, 0, 0), (None, 0, None, None)),
    Pattern((-2, 0, 0, -2)),
    Pattern((-1, 2, 0, -2), (1, None, None, None)),
    Pattern((0, 2, -2, 0), (None, 2, None, None)),
)
FORMS = [
    PatternForm(slug, slug, 2, pattern)
    for slug, pattern in (
        ("dry", DRY), ("dry-hot", DRY_HOT), ("hot-dry", HOT_DRY), ("cold", COLD), ("damp-cold", DAMP_COLD), ("lax", LAX),
    )
]  # fmt: skip
KINDS = {kind.slug: kind for kind in kinds_of(FORMS, {"dry": "dry", "cold": "cold", "lax": "lax damp"})}


@pytest.mark.parametrize(
    ("pattern", "words"),
    [
        (DRY, "dryness alone"),
        (COLD, "cold with torpor"),
        (DRY_HOT, "dryness, and heat that follows from it"),
        (HOT_DRY, "heat, and dryness that follows from it"),
        (DAMP_COLD, "damp with torpor, and cold that follows from the damp"),
        (LAX, "laxity, and damp that follows from it"),
    ],
)
def test_a_state_is_said_root_first(pattern, words):
    assert plainly_said(pattern.degrees, pattern.follows) == words


def test_severities_are_one_kind():
    milder = PatternForm("dry", "dry", 1, Pattern((0, -1, 0, 0)))
    (kind,) = kinds_of([FORMS[0], milder], {"dry": "dry"})
    assert kind.degrees == ((0, -2, 0, 0), (0, -1, 0, 0))
    assert kind.label == "Dry: dryness alone"
    assert degrees_apart(kind.degrees, (1, -1, 0, 0)) == 1


@pytest.mark.parametrize(
    ("other", "fault"),
    [
        ("hot-dry", "root and consequence exchanged"),
        ("cold", "wrong temperature"),
        ("damp-cold", "wrong temperature"),
        ("dry", "missed quality"),
        ("lax", "wrong moisture"),
    ],
)
def test_faults_beside_dryness_with_heat(other, fault):
    assert fault_between(KINDS["dry-hot"], KINDS[other]) == fault


def test_a_quality_that_nothing_speaks_for_is_invented():
    assert fault_between(KINDS["dry"], KINDS["dry-hot"]) == "invented quality"
    assert fault_between(KINDS["dry"], KINDS["cold"]) == "invented quality"


def test_the_exchanged_state_is_a_known_one_or_has_the_same_degrees():
    kinds = list(KINDS.values())
    assert exchanged(KINDS["dry-hot"], kinds) is KINDS["hot-dry"]
    made = exchanged(KINDS["lax"], kinds)
    assert made.label == "Mixed: damp, and laxity that follows from it"
    assert made.degrees == KINDS["lax"].degrees
    assert exchanged(KINDS["dry"], kinds) is None


def test_what_is_true_but_decides_nothing_is_said_of_an_axis_on_which_option_and_key_agree():
    assert family.beside(KINDS["dry"], KINDS["dry-hot"], 0) == [1]
    assert family.beside(KINDS["damp-cold"], KINDS["dry-hot"], 0) == [2]  # contrary on moisture too, and torpid


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("coldness at the start, from which the dryness grew", True),
        ("a long cold spell first, and the dryness only later", True),
        ("cold hands for years before they grew dry and cracked", False),
        ("warmth lost first, and the hard pellets only later", False),
        ("a chilled crown first, and the dryness only later", False),
    ],
)
def test_an_order_told_in_the_names_of_the_options_is_noticed(text, told):
    order = OrderFinding("cold-then-dry", "general", (0, -1), (1, -1), (text,))
    assert family.names_both(text, order) is told


def shown(slug):
    kind = KINDS[slug]
    return {
        "slug": slug, "label": kind.label, "degrees": [list(d) for d in kind.degrees], "follows": list(kind.follows),
        "fault": fault_between(KINDS["dry-hot"], kind) if slug != "dry-hot" else None,
    }  # fmt: skip


@pytest.fixture
def good():
    """Dryness and the heat that follows from it, told by four findings and one of order."""
    told = [{"moisture": -1}, {"moisture": -1}, {"temperature": 1}, {}]
    findings = [
        {"slug": f"f{n}", "text": f"sign {n}", "evidence": evidence, "order": not evidence, "kind": "told"}
        for n, evidence in enumerate(told)
    ]
    return {
        "family": family.NAME, "key": 0, "options": [shown(slug) for slug in ("dry-hot", "hot-dry", "cold", "dry")],
        "presentation": {"pattern": DRY_HOT.as_mapping(), "findings": findings, "complaint": "a cough"},
        "certificate": {"rows": [], "orders": [[1, -1, 0, 1]]}, "words": {},
    }  # fmt: skip


def test_a_good_item_is_proved(good):
    assert family.recheck(good) == []


@pytest.mark.parametrize(
    ("code", "number", "sentence"),
    [
        ("order", 0, "The order told puts dryness first, with heat coming of it."),
        ("disorder", 1, "The order told puts heat first, with dryness coming of it."),
        ("axis:0", 2, "The findings on temperature add up to heat."),
        ("axis:2", 2, "Among the findings none speaks for a tense or lax state."),
        ("claim:0:-1", 2, "The findings on temperature add up to cold."),
        ("complaint", 1, "In most people such a complaint comes of heat."),
        ("sign:2", 0, "One sign is enough to name it: sign 2."),
    ],
)
def test_reasons_read_the_findings(good, code, number, sentence):
    assert family.say(good, code, number) == sentence


def _key(item):
    item["key"] = 3


def _exchanged_key(item):
    item["key"] = 1


def _order(item):
    item["certificate"]["orders"] = [[0, 1, 1, -1]]


def _no_order(item):
    item["certificate"]["orders"] = []


def _other_order(item):
    item["certificate"]["orders"] = [[1, 1, 0, 1]]


def _evidence(item):
    item["presentation"]["findings"][2]["evidence"] = {"temperature": -1}


def _follows(item):
    item["options"][1]["follows"] = item["options"][0]["follows"]


def _pattern(item):
    item["presentation"]["pattern"][AXES[2]] = {"degree": 2, "follows": None}


@pytest.mark.parametrize(
    "falsify", [_key, _exchanged_key, _order, _no_order, _other_order, _evidence, _follows, _pattern]
)
def test_falsifications_are_noticed(good, falsify):
    false = copy.deepcopy(good)
    falsify(false)
    assert family.recheck(false)
