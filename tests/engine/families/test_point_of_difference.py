"""point-of-difference: which pairs are asked about, and falsified items are noticed."""

import copy

import pytest

from lessons.engine import Constraints, recheck
from lessons.engine.families import point_of_difference as family
from tests.engine.families.handmade import item, part, workshop

ANY = Constraints()
WARM, COOL = part("aster", 2, -1, 1, 0), part("briony", -1, -1, 1, 0)


def pairs(*parts, constraints=ANY):
    made_in = workshop(*parts)
    return [
        (tuple(made_in.catalogue.rows[row].slug for row in case.rows), case.axis)
        for case in family.cases(made_in, constraints)
    ]


def test_a_pair_that_parts_on_one_axis_is_asked_about():
    assert pairs(WARM, COOL) == [(("aster", "briony"), 0)]


@pytest.mark.parametrize(
    "other",
    [
        part("briony", 1, -1, 1, 0),  # on one side of temperate
        part("briony", 0, -1, 1, 0),  # temperate: it does not cool
        part("briony", -1, 1, 1, 0),  # parts on a second axis too
        part("briony", -1, -1.5, 1, 0),  # does not meet on a second axis, though within a degree
        part("briony", (-1, 1.5), -1, 1, 0),  # a second source comes within a degree
        part("briony", -1, -1, 1, 0, strength=1),  # hardly of the class
        part("briony", -1, -1, 1, 0, latin="Aster"),  # of one species
        part("briony", -1, -1, 1, 0, marks=("toxic",)),
        part("briony", -1, -1, 1, 0, marks=("restricted",)),
    ],
)
def test_a_pair_that_falls_short_is_not(other):
    assert pairs(WARM, other) == []


def test_working_values_stand_two_degrees_apart():
    near = part("aster", 0.9, -1, 1, 0)
    assert pairs(near, COOL) == []
    assert pairs(part("aster", 1, -1, 1, 0), COOL) == [(("aster", "briony"), 0)]


def test_one_other_axis_must_part_them_in_neither_way():
    # On moisture, tone and movement one of them may be the contrary of the other.
    wide = part("aster", 2, (-1, 1), (1, -1), (1, -1)), part("briony", -1, -1, 1, 1)
    assert pairs(*wide) == []
    assert pairs(part("aster", 2, (-1, 1), (1, -1), 1), part("briony", -1, -1, 1, 1)) == [(("aster", "briony"), 0)]


def test_scope_and_class_are_honoured():
    parts = WARM, COOL, part("cicely", -2, -1, 1, 0)
    assert len(pairs(*parts)) == 2
    assert pairs(*parts, constraints=Constraints(scope=frozenset({"aster", "cicely"}))) == [(("aster", "cicely"), 0)]
    assert pairs(*parts, constraints=Constraints(action="soother")) == []


@pytest.fixture
def good():
    made_in = workshop(WARM, COOL)
    return item(family.NAME, made_in, family.cases(made_in, ANY)[0])


def test_a_good_item_is_proved_and_says_what_it_means(good):
    assert recheck(good) == []
    first = good["subject"]["herbs"][0]["label"]
    key = good["options"][good["key"]]
    assert key["label"].startswith(f"{first} {'warms' if first == 'aster root' else 'cools'} and ")
    decisive = next(reason["text"] for reason in good["because"][0] if reason["status"] == "decisive")
    assert {"Cold tissue calls for aster root", "hot tissue for briony root"} <= set(decisive[:-1].split(", ")) or {
        "Hot tissue calls for briony root", "cold tissue for aster root"
    } <= set(decisive[:-1].split(", "))  # fmt: skip


def test_options_and_reasons_are_two_pairs_and_one_statement_is_true_whatever_is_drawn():
    made_in = workshop(part("aster", 2, (-1, 1), 1, 0), part("briony", -1, (1, 0), 1, 0))
    (case,) = family.cases(made_in, ANY)
    asked = set()
    for seed in range(60):
        made = item(family.NAME, made_in, case, seed)
        slugs = {option["slug"] for option in made["options"]}
        assert len(slugs) == 4
        assert {family.turned(slug) for slug in slugs} == slugs
        assert {f"calls:{slug}" for slug in slugs} < {reason["code"] for reason in made["because"][0]}
        asked |= {slug[:-1] for slug in slugs}
        for option in made["options"]:
            assert family.possible(made["certificate"]["rows"], option["slug"]) == (option["fault"] is None)
    assert asked == {"temperature", "tone", "movement"}  # on moisture they may part


def test_an_axis_that_the_name_of_the_class_speaks_for_is_passed_over(monkeypatch):
    made_in = workshop(WARM, COOL)
    (case,) = family.cases(made_in, ANY)

    def asked():
        slugs = {o["slug"] for seed in range(40) for o in item(family.NAME, made_in, case, seed)["options"]}
        return {slug[:-1] for slug in slugs}

    assert asked() == {"temperature", "moisture", "tone", "movement"}
    monkeypatch.setitem(family.MEANT, case.action, {"moisture"})
    assert asked() == {"temperature", "tone", "movement"}
    monkeypatch.setitem(family.MEANT, case.action, {"moisture", "tone", "movement"})
    assert asked() == {"temperature", "moisture", "tone", "movement"}  # for want of another


def _figure(part_slug, end, axis, value):
    def change(made):
        row = next(row for row in made["certificate"]["rows"] if row["part"] == part_slug)
        row[end][axis] = value

    return change


def _unpaired(made):
    # A statement that is untrue too, of a third axis.
    option = next(o for o in made["options"] if (o["fault"] or "").startswith("wrong"))
    axis = next(a for a in ("moisture", "tone", "movement") if a != option["slug"][:-1])
    labels = [shown["label"] for shown in made["subject"]["herbs"]]
    option |= {"slug": f"{axis}+", "label": family.statement(f"{axis}+", *labels), "fault": f"wrong {axis}"}


def _key(made):
    made["key"] = (made["key"] + 1) % 4


def _fault(made):
    next(o for o in made["options"] if o["fault"] == "reversed")["fault"] = "wrong tone"


def _label(made):
    one, other = made["options"][:2]
    one["label"], other["label"] = other["label"], one["label"]


def _pair(made):
    made["subject"]["pair"].reverse()


def _decisive(made):
    reasons = made["because"][0]
    chosen = next(r for r in reasons if r["status"] == "decisive")
    other = next(r for r in reasons if r["status"] == "false")
    chosen["status"], other["status"] = "false", "decisive"


def _true_elsewhere(made):
    axis = next(family.AXES.index(o["slug"][:-1]) for o in made["options"] if (o["fault"] or "").startswith("wrong"))
    slug = next(o["slug"] for o in made["options"] if (o["fault"] or "").startswith("wrong"))
    plus, minus = made["certificate"]["rows"][:: 1 if slug.endswith("+") else -1]
    plus["high"][axis], minus["low"][axis] = 3.0, -3.0
    plus["low"][axis], minus["high"][axis] = -3.0, 3.0


@pytest.mark.parametrize(
    "falsify",
    [_key, _unpaired, _fault, _label, _pair, _decisive, _true_elsewhere,
     _figure("aster", "low", 0, -2.0), _figure("aster", "value", 0, 0.0), _figure("briony", "high", 1, -3.0),
     _figure("briony", "value", 0, -4.0)],
)  # fmt: skip
def test_falsifications_are_noticed(good, falsify):
    false = copy.deepcopy(good)
    falsify(false)
    assert false != good
    assert recheck(false)
