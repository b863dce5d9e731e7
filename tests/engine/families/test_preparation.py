"""preparation: sums against worked figures, what may be asked of which part, and falsified items are noticed."""

import copy
import json
from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from herbs.engine import ActionTerm, PartRecord, Site, SiteGraph, Statement, TeachingSet, compile_catalogue
from lessons.engine import Constraints, frozen, opened, recheck
from lessons.engine.draws import DRAWS, MENSTRUA, METHODS, is_supported
from lessons.engine.families import preparation as family
from lessons.engine.families.preparation import STEMS_WHOLE
from lessons.engine.sums import (
    ADDED,
    COUNTED,
    EXCHANGED,
    NO_DIVISION,
    NO_SIZE,
    ONE_DOSE,
    PER_CENT,
    POINT_RIGHT,
    SUMS,
    WATER,
    WRONG_WAY,
    shown,
)
from tests.engine.families.noted_parts import completed, noted, workshop

TINCTURE = ("tincture", 60, "1:5")
SLIMY = noted(constituents=("mucilage",), preparations=[("cold-infusion", None, "1:40"), TINCTURE])
KINDS = ("menstruum", "method", "ratio", "dilution", "dose")


@pytest.mark.parametrize(
    ("kind", "variant", "figures", "mistake", "amount"),
    [
        ("ratio", "weight", {"volume": 600, "n": 5}, "", 120),
        ("ratio", "weight", {"volume": 600, "n": 5}, WRONG_WAY, 3000),
        ("ratio", "weight", {"volume": 600, "n": 5}, ADDED, 100),
        ("ratio", "weight", {"volume": 600, "n": 5}, PER_CENT, 30),
        ("ratio", "weight", {"volume": 600, "n": 5}, COUNTED, 150),
        ("ratio", "menstruum", {"weight": 60, "n": 5}, "", 300),
        ("ratio", "menstruum", {"weight": 60, "n": 5}, WRONG_WAY, 12),
        ("dilution", "stock", {"volume": 600, "c1": 90, "c2": 60}, "", 400),
        ("dilution", "stock", {"volume": 600, "c1": 90, "c2": 60}, EXCHANGED, 900),
        ("dilution", "stock", {"volume": 600, "c1": 90, "c2": 60}, ADDED, 1200),  # 1200 of 90 in 600 of water is 60
        ("dilution", "stock", {"volume": 600, "c1": 90, "c2": 60}, PER_CENT, 360),
        ("dilution", "stock", {"volume": 600, "c1": 90, "c2": 60}, WATER, 200),
        ("dilution", "finished", {"volume": 400, "c1": 90, "c2": 60}, "", 600),
        ("dilution", "finished", {"volume": 400, "c1": 90, "c2": 60}, ADDED, 1000),
        ("dose", "days", {"bottle": 180, "dose": 4, "times": 3, "n": 5}, "", 15),
        ("dose", "days", {"bottle": 180, "dose": 4, "times": 3, "n": 5}, ONE_DOSE, 45),
        ("dose", "days", {"bottle": 180, "dose": 4, "times": 3, "n": 5}, NO_SIZE, 60),
        ("dose", "days", {"bottle": 180, "dose": 4, "times": 3, "n": 5}, NO_DIVISION, 135),
        ("dose", "herb-a-day", {"dose": 4, "times": 3, "n": 5}, "", Fraction(12, 5)),
        ("dose", "herb-a-day", {"dose": 4, "times": 3, "n": 5}, POINT_RIGHT, 24),
    ],
)
def test_sums(kind, variant, figures, mistake, amount):
    assert SUMS[kind].variant(variant).amount(figures, mistake) == amount


def test_alcohol_is_neither_made_nor_lost_in_a_dilution():
    rng = Random(3)
    for _ in range(200):
        figures, amounts = SUMS["dilution"].variant("stock").draw(5, 45, rng, 2)
        assert amounts[""] * figures["c1"] == figures["volume"] * figures["c2"]
        assert amounts[""] < figures["volume"]


@pytest.mark.parametrize("variant", [v for made in SUMS.values() for v in made.variants], ids=lambda v: v.slug)
def test_amounts_are_plain_and_the_right_one_has_no_place_of_its_own(variant):
    rng = Random(5)
    places = set()
    for turn in range(300):
        drawn = variant.draw(5, 45, rng, turn % 4)
        if drawn is None:
            continue
        _, amounts = drawn
        ordered = sorted(amounts.values())
        assert len(set(ordered)) == 4
        assert all((10 * amount).denominator == 1 for amount in ordered)
        places.add(ordered.index(amounts[""]))
    assert len(places) >= 3


def test_amounts_are_shown_with_one_decimal_at_most():
    assert [shown(Fraction(150)), shown(Fraction(75, 2))] == ["150", "37.5"]


@pytest.mark.parametrize("draw", DRAWS, ids=lambda draw: f"{draw.kind}-{draw.constituent}")
def test_a_fact_names_known_ways_and_never_its_own_key_as_wrong(draw):
    known = MENSTRUA if draw.kind == "menstruum" else METHODS
    assert {draw.right, *draw.wrong} <= set(known)
    assert draw.right not in draw.wrong
    assert len(set(draw.wrong)) == len(draw.wrong) >= family.DISTRACTORS


def test_a_part_is_asked_about_what_it_holds_and_how_it_is_prepared():
    resin = next(draw for draw in DRAWS if (draw.kind, draw.constituent) == ("menstruum", "resin"))
    strong = noted(constituents=("resin",), preparations=[("tincture", 90, "1:5")])[2]
    weak = noted(constituents=("resin",), preparations=[("tincture", 25, "1:5")])[2]
    other = noted(constituents=("tannin",), preparations=[("tincture", 90, "1:5")])[2]
    assert is_supported(resin, "resin", strong)
    assert not is_supported(resin, "resin", weak)
    assert not is_supported(resin, "resin", other)


def test_volatile_oil_is_asked_of_what_is_used_for_it_first():
    oil = next(draw for draw in DRAWS if (draw.kind, draw.constituent) == ("menstruum", "volatile-oil"))
    made = [("tincture", 60, "1:5")]
    assert is_supported(oil, "leaf", noted(constituents=("volatile-oil", "tannin"), preparations=made)[2])
    assert not is_supported(oil, "leaf", noted(constituents=("saponin", "volatile-oil"), preparations=made)[2])


@pytest.mark.parametrize("strength", [0, 3])
def test_tannin_is_asked_of_astringents_alone(strength):
    made_in = workshop(aster=noted(constituents=("tannin",), preparations=[("decoction", None, "1:20"), TINCTURE]))
    actions = {"astringent": ActionTerm("astringent", "astringent", "astringents", is_class=True)}
    (record,) = made_in.catalogue.rows
    record = PartRecord(
        "aster", record.label, record.latin, "root", "tea",
        (Statement("affinity", "place", 3.0, "a"), Statement("action", "astringent", float(strength), "a")),
    )  # fmt: skip
    graph = SiteGraph([Site("place", "place", "system")])
    catalogue = compile_catalogue([record], TeachingSet("t", (("a", "decides"),)), graph, actions, [], [], "t")
    drafts = drafts_of(replace(made_in, catalogue=catalogue))
    assert ("method" in {draft["subject"]["kind"] for draft in drafts}) is bool(strength)


def drafts_of(made_in):
    """Every case in words, several times over so that every stem is met."""
    cases = family.cases(made_in, Constraints())
    return [draft for case in cases for seed in range(12) if (draft := family.write(made_in, case, Random(seed)))]


def test_a_part_that_is_its_constituent_is_not_asked_about_the_resin_of_a_resin():
    made_in = workshop(aster=noted(constituents=("resin",), preparations=[("tincture", 90, "1:5")], part="resin"))
    drafts = drafts_of(made_in)
    stems = {draft["stem"] for draft in drafts if draft["subject"]["kind"] in STEMS_WHOLE}
    assert stems == {stem.format(herb="aster resin") for stems in STEMS_WHOLE.values() for stem in stems}


@pytest.mark.parametrize(
    "harmful",
    [
        noted(constituents=("mucilage",), preparations=[TINCTURE], marks=("toxic",)),
        noted(constituents=("mucilage",), preparations=[TINCTURE], marks=("restricted",)),
        noted(constituents=("mucilage", "pyrrolizidine-alkaloid"), preparations=[TINCTURE]),
    ],
)
def test_no_harmful_plant_is_prepared(harmful):
    assert drafts_of(workshop(aster=harmful)) == []


def test_no_dose_of_a_strong_herb_is_reckoned():
    strong = noted(constituents=("alkaloid",), preparations=[TINCTURE])
    thin = noted(constituents=("tannin",), preparations=[("tincture", 60, "1:20")])
    for told in (strong, thin):
        kinds = {draft["subject"]["kind"] for draft in drafts_of(workshop(aster=told))}
        assert kinds == {"ratio", "dilution"}


@pytest.fixture(params=KINDS)
def good(request):
    drafts = drafts_of(workshop(aster=SLIMY))
    return completed(family.NAME, next(draft for draft in drafts if draft["subject"]["kind"] == request.param))


def test_it_is_proved_and_opened_as_it_was(good):
    assert recheck(good) == []
    assert opened(json.loads(json.dumps(frozen(good)))) == good


def test_a_moved_key_is_noticed(good):
    good["key"] = (good["key"] + 1) % 4
    assert recheck(good)


def test_a_moved_key_and_fault_are_noticed(good):
    key, other = good["key"], (good["key"] + 1) % 4
    options = good["options"]
    options[key]["fault"], options[other]["fault"] = options[other]["fault"], None
    good["key"] = other
    assert recheck(good)


def test_changed_figures_are_noticed(good):
    subject = good["subject"]
    changed = copy.deepcopy(good)
    name = next((n for n in ("volume", "weight", "bottle", "dose") if n in subject), None)
    if name:
        changed["subject"][name] += 1
    else:
        changed["subject"]["constituent"] = "resin"
    assert recheck(changed)


def test_a_distractor_that_may_draw_it_too_is_noticed():
    drafts = drafts_of(workshop(aster=SLIMY))
    made = completed(family.NAME, next(draft for draft in drafts if draft["subject"]["kind"] == "menstruum"))
    made["options"][made["key"] - 1]["slug"] = "simmering-water"
    assert recheck(made)
