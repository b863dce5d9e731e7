"""Forms against a counter that knows nothing of the program that made them."""

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from random import Random
from time import perf_counter

import pytest
import yaml

from lessons.engine.faults import FAULTS
from lessons.engine.form_order import in_order
from lessons.engine.forms import BEST_FOUND, MET, InfeasiblePlanError, assemble
from lessons.engine.integer_program import STOPPED, IntegerProgram
from lessons.engine.item_bank import Candidate, ItemBank
from lessons.engine.plan_reading import InvalidPlanError, plan_from_mapping, plan_to_mapping
from lessons.engine.plans import Band, Demand, DrillPlan
from quizzes.bench.forms import feasible_plan, synthetic

ROOT = Path(__file__).resolve().parents[2]
PLANS = sorted((ROOT / "lessons" / "data" / "plans").glob("*.yaml"))
PATIENT = 120.0  # seconds: enough for a busy machine, so that only the gap ends a solve
FIELD = {
    "families": "family",
    "classes": "action",
    "systems": "system",
    "sites": "site",
    "states": "state",
}


def item(number: int, **values) -> Candidate:
    """An item unlike every other, but for what is given."""
    plain = {
        "code": f"item-{number:03}", "family": "best-fit", "action": "expectorant", "site": "bronchi", "system": "respiratory",
        "state": "dry", "faults": (), "difficulty": 0, "key": "", "herbs": frozenset({f"herb-{number}"}),
        "skeleton": f"skeleton-{number}", "key_position": None,
    }  # fmt: skip
    return Candidate(**{**plain, **values})


def faults_of_form(plan: DrillPlan, form: list[Candidate]) -> list[str]:
    """Everything in which a form misses a plan, counted item by item."""
    wrong = []

    def within(what, count, least, most):
        if count < (least or 0) or (most is not None and count > most):
            wrong.append(f"{what}: {count}")

    within("length", len(form), plan.length, plan.length)
    within("codes", len({i.code for i in form}), plan.length, None)
    within("skeletons", len({i.skeleton for i in form}), plan.length, None)
    places = [sum(i.key_position == place for i in form) for place in range(4)]
    within("places", max(places) - min(places), 0, 1)
    for demand in plan.demands:
        if demand.kind == "faults":
            count = sum(demand.value in i.faults for i in form)
        else:
            count = sum(getattr(i, FIELD[demand.kind]) == demand.value for i in form)
        within(demand, count, demand.least, demand.most)
    for band in plan.bands:
        hard = [i for i in form if (band.low is None or i.difficulty >= band.low)]
        within(band, sum(band.high is None or i.difficulty < band.high for i in hard), band.least, band.most)
    keys = Counter(i.key for i in form if i.key)
    herbs = Counter(herb for i in form for herb in i.herbs)
    within("keys", max(keys.values(), default=0), 0, plan.key_at_most)
    within("herbs", max(herbs.values(), default=0), 0, plan.herb_at_most)
    if plan.scope is not None:
        within("out of scope", len(set(herbs) - plan.scope), 0, 0)
    total = sum(i.difficulty for i in form)
    if plan.mean_low is not None:
        within("mean", total - plan.mean_low * len(form), 0, None)
    if plan.mean_high is not None:
        within("mean", plan.mean_high * len(form) - total, 0, None)
    return wrong


def look_up(items, codes):
    by_code = {i.code: i for i in items}
    return [by_code[code] for code in codes]


@pytest.fixture(scope="module")
def items():
    return synthetic(2000, Random(11))


@pytest.mark.parametrize("number", range(30))
def test_a_feasible_plan_is_met_exactly(items, number):
    rng = Random(number)
    plan = feasible_plan(items, rng.choice((10, 20, 30)), rng)
    assembly = assemble(plan, items, seed=number, time_limit=PATIENT)
    assert faults_of_form(plan, look_up(items, assembly.codes)) == []
    assert (assembly.status, assembly.unmet, assembly.seconds) == (MET, (), None)
    assert 0 <= assembly.gap <= 0.05 + 1e-9


def test_the_counter_itself_sees_a_fault(items):
    plan = feasible_plan(items, 20, Random(3))
    form = look_up(items, assemble(plan, items, seed=1, time_limit=PATIENT).codes)
    assert faults_of_form(plan, form[:-1])
    assert faults_of_form(replace(plan, demands=(*plan.demands, Demand("classes", form[0].action, 0, 0))), form)
    assert faults_of_form(replace(plan, mean_low=4000), form)


def test_the_same_seed_gives_the_same_form_whatever_the_order_of_the_bank(items):
    plan = feasible_plan(items, 12, Random(6))
    first = assemble(plan, items, seed=1, time_limit=PATIENT)
    assert assemble(plan, items[::-1], seed=1, time_limit=PATIENT).codes == first.codes
    assert assemble(plan, items, seed=2, time_limit=PATIENT).codes != first.codes


def test_a_scarce_item_is_found_in_a_bank_too_large_for_the_sample(items):
    rare = [item(9000, state="rare", skeleton="one"), item(9001, state="rare", skeleton="two", difficulty=900)]
    plan = DrillPlan("Rare", 10, demands=(Demand("states", "rare", 2, 2),), mean_low=0, mean_high=10)
    codes = assemble(plan, [*items, *rare], seed=1, time_limit=PATIENT).codes
    assert {"item-9000", "item-9001"} <= set(codes)
    assert faults_of_form(plan, look_up([*items, *rare], codes)) == []


def test_less_exposed_items_are_preferred():
    bank = [item(n, exposure=20 if n % 2 else 0) for n in range(40)]
    codes = assemble(DrillPlan("Fresh", 20), bank, seed=3).codes
    assert {int(code[-3:]) % 2 for code in codes} == {0}


def test_equal_exposure_lets_states_vary():
    bank = [item(n, state="dry" if n < 90 else f"state-{n % 5}") for n in range(100)]
    codes = assemble(DrillPlan("Varied", 12), bank, seed=3).codes
    assert len({i.state for i in look_up(bank, codes)}) >= 5


def test_items_that_share_a_skeleton_do_not_meet():
    bank = [item(n, skeleton=f"skeleton-{n // 3}", state=f"state-{n % 2}") for n in range(15)]
    codes = assemble(DrillPlan("Five", 5), bank, seed=1, time_limit=PATIENT).codes
    assert len({i.skeleton for i in look_up(bank, codes)}) == 5
    with pytest.raises(InfeasiblePlanError):
        assemble(DrillPlan("Six", 6), bank, seed=1, time_limit=PATIENT)


@pytest.mark.parametrize("length", range(1, 13))
def test_key_positions_are_even_beside_items_without_one(length):
    bank = [item(n, key=f"herb-{n}", key_position=0 if n < 12 else n % 4) for n in range(24)]
    bank += [item(100 + n, family="kinds") for n in range(4)]
    plan = DrillPlan("Even", length, demands=(Demand("families", "kinds", 0, length // 3),))
    assert faults_of_form(plan, look_up(bank, assemble(plan, bank, seed=length).codes)) == []


def test_a_band_includes_its_low_end_and_not_its_high_one():
    bank = [item(n, difficulty=d) for n, d in enumerate((-500, -1, 0, 0, 499, 500))]
    plan = DrillPlan("Band", 3, bands=(Band(0, 500, 3, 3),))
    assert set(assemble(plan, bank, seed=1, time_limit=PATIENT).codes) == {"item-002", "item-003", "item-004"}


def test_time_that_runs_out_gives_the_best_found_with_its_gap(items):
    plan = feasible_plan(items, 30, Random(8))
    start = perf_counter()
    assembly = assemble(plan, items, seed=1, time_limit=0.001, clock=perf_counter)
    assert perf_counter() - start < 5
    assert assembly.status == BEST_FOUND and assembly.gap > 0
    assert assembly.seconds is not None and assembly.seconds > 0
    form = look_up(items, assembly.codes)
    assert len({i.skeleton for i in form}) == len(form) == 30
    assert bool(assembly.unmet) == bool(faults_of_form(plan, form))


def test_a_solve_that_is_stopped_does_not_call_its_program_infeasible():
    rng = Random(1)
    program = IntegerProgram()
    program.add_columns([1.0] * 400, [rng.random() for _ in range(400)])
    for _ in range(60):
        weights = [float(rng.randrange(100, 1000)) for _ in range(400)]
        program.add_rows(50_000, 50_400, 0, range(400), weights)
    for limit in (0.0, 0.01, 0.1):
        outcome = program.solve(limit)
        assert outcome.status == STOPPED
        assert outcome.gap > 0


def test_a_bank_with_one_code_twice_or_a_fifth_place_is_refused():
    with pytest.raises(ValueError, match="twice"):
        ItemBank([item(1), item(1)])
    with pytest.raises(ValueError, match="place"):
        ItemBank([item(1, key_position=4)])


@pytest.mark.parametrize("seed", range(20))
def test_neighbours_are_of_different_classes_where_that_can_be(seed):
    rng = Random(seed)
    length = rng.randint(1, 20)
    form = [item(n, action=rng.choice("abbbc"), family=rng.choice("xyz")) for n in range(length)]
    ordered = in_order(form, seed)
    assert sorted(i.code for i in ordered) == sorted(i.code for i in form)
    most = max(Counter(i.action for i in form).values())
    equal = sum(one.action == two.action for one, two in pairwise(ordered))
    assert equal == max(0, 2 * most - length - 1)


def test_families_are_interleaved():
    form = [item(n, action=f"class-{n % 4}", family="xy"[n // 6]) for n in range(12)]
    ordered = in_order(form, 1)
    assert sum(one.family == two.family for one, two in pairwise(ordered)) <= 2


def vocabulary(name):
    return [
        entry["slug"]
        for entry in yaml.safe_load((ROOT / "herbs/data/vocabulary" / f"{name}.yaml").read_text(encoding="utf-8"))
    ]


@pytest.fixture(scope="module")
def known():
    from lessons.engine.families import FAMILIES

    herbs = [yaml.safe_load(path.read_text(encoding="utf-8")) for path in (ROOT / "herbs/data/herbs").glob("*.yaml")]
    sites = vocabulary("sites")
    return {
        "families": list(FAMILIES), "classes": vocabulary("actions"), "sites": sites, "systems": sites, "faults": FAULTS,
        "states": [*vocabulary("states"), *vocabulary("mixed_patterns")],
        "parts": [f"{herb['slug']}-{part['part']}" for herb in herbs for part in herb["parts"]],
    }  # fmt: skip


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_the_plans_that_come_with_the_app_name_what_exists_and_survive_writing(path, known):
    plan = plan_from_mapping(yaml.safe_load(path.read_text(encoding="utf-8")), known)
    assert plan_from_mapping(plan_to_mapping(plan)) == plan


def test_three_plans_come_with_the_app():
    assert len(PLANS) == 3


def test_every_fault_of_a_plan_is_told_at_once():
    with pytest.raises(InvalidPlanError) as caught:
        plan_from_mapping(
            {
                "title": " ", "length": 0, "scope": [], "colour": "red", "key_at_most": True,
                "demands": {
                    "classes": {"expectorant": {"least": 5, "most": 2}, "purge": 1}, "moods": {}, "sites": {"bowel": -1},
                    "states": {"dry": {"exactly": 3}},
                },
                "difficulty": {"mean": {"low": 1, "high": 0}, "bands": [{"low": 1, "high": 1, "least": 500}, {"low": 0.00051}]},
            },
            {"classes": ["expectorant"]},
        )  # fmt: skip
    told = " ".join(caught.value.problems)
    for word in ("title", "length", "scope", "colour", "key_at_most", "at least 5 and at most 2", "purge", "moods", "from 0",
                 "dry", "low end lies above", "low end must lie below", "500", "three decimals"):  # fmt: skip
        assert word in told, word
    assert len(caught.value.problems) >= 14


@pytest.mark.parametrize("data", [None, [], "plan"])
def test_what_is_no_mapping_is_no_plan(data):
    with pytest.raises(InvalidPlanError, match="mapping"):
        plan_from_mapping(data)
