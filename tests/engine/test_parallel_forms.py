"""Parallel forms: disjoint where the bank allows it, with the fewest items in common where not."""

from itertools import combinations, combinations_with_replacement
from random import Random

import pytest

from lessons.engine.forms import MET, InfeasiblePlanError, assemble
from lessons.engine.parallel_forms import assemble_parallel
from lessons.engine.plans import Demand, DrillPlan
from quizzes.bench.forms import feasible_plan, synthetic

from .test_forms import PATIENT, faults_of_form, item, look_up


def repeated(forms) -> int:
    """Uses of items beyond the first."""
    return sum(len(codes) for codes in forms) - len({code for codes in forms for code in codes})


def fewest(plan, items, forms: int) -> int:
    """By trying all: the fewest repeated uses of any so many forms that meet a plan."""
    met = [
        frozenset(i.code for i in form)
        for form in combinations(items, plan.length)
        if not faults_of_form(plan, list(form))
    ]
    return min(repeated(chosen) for chosen in combinations_with_replacement(met, forms))


@pytest.mark.parametrize("number", range(3))
def test_forms_are_disjoint_and_alike_where_the_bank_suffices(number):
    items = synthetic(1600, Random(11))
    plan = feasible_plan(items, 15, Random(number))
    made = assemble_parallel(plan, items, forms=3, seed=number, time_limit=PATIENT)
    assert made.status == MET and made.repeated == 0 == repeated([form.codes for form in made.forms])
    for form in made.forms:
        assert faults_of_form(plan, look_up(items, form.codes)) == []
    means = [sum(i.difficulty for i in look_up(items, form.codes)) / 15 for form in made.forms]
    assert max(means) - min(means) == pytest.approx(made.apart) and made.apart <= 200


@pytest.mark.parametrize("seed", range(8))
def test_the_fewest_items_are_repeated_where_it_does_not(seed):
    rng = Random(seed)
    items = [
        item(n, action=rng.choice("abc"), skeleton=f"skeleton-{rng.randrange(6)}", state=rng.choice("xy"),
             difficulty=rng.randrange(-900, 900), key=f"herb-{n % 3}", key_position=rng.choice((None, 0, 1)))
        for n in range(8)
    ]  # fmt: skip
    plan = DrillPlan("", 3, demands=(Demand("classes", "a", 1, 2), Demand("states", "x", 1)), key_at_most=2)
    made = assemble_parallel(plan, items, forms=3, seed=seed, time_limit=PATIENT)
    assert made.repeated == repeated([form.codes for form in made.forms]) == fewest(plan, items, 3)
    assert made.status == MET and made.repeated > 0
    for form in made.forms:
        assert faults_of_form(plan, look_up(items, form.codes)) == []


def test_a_greedy_first_form_does_not_cost_the_second():
    """Two scarce items serve two forms, although one form could take both."""
    items = [item(n, state="dry" if n < 2 else "cold") for n in range(8)]
    plan = DrillPlan("", 4, demands=(Demand("states", "dry", 1),))
    for seed in range(6):
        assert assemble_parallel(plan, items, forms=2, seed=seed, time_limit=PATIENT).repeated == 0


def test_items_alike_in_everything_serve_different_forms():
    items = [item(n, skeleton=f"skeleton-{n % 3}") for n in range(6)]
    made = assemble_parallel(DrillPlan("", 3), items, forms=2, seed=1, time_limit=PATIENT)
    assert made.repeated == 0


def test_means_come_near_each_other_when_all_forms_are_made_at_once():
    hard = [item(n, state="dry", difficulty=3000) for n in range(2)]
    items = [*hard, *(item(n, difficulty=1000 * (n - 3)) for n in range(2, 6))]
    plan = DrillPlan("", 3, demands=(Demand("states", "dry", 1),))
    made = assemble_parallel(plan, items, forms=2, seed=1, time_limit=PATIENT)
    assert made.repeated == 0
    assert made.apart == pytest.approx(0)


def test_the_same_seed_gives_the_same_forms():
    items = synthetic(800, Random(2))
    plan = feasible_plan(items, 8, Random(1))
    made = [assemble_parallel(plan, items, forms=2, seed=4, time_limit=PATIENT) for _ in range(2)]
    assert made[0] == made[1]


def test_an_impossible_plan_and_no_forms_are_refused():
    with pytest.raises(InfeasiblePlanError):
        assemble_parallel(DrillPlan("", 3), [item(1)], forms=2, seed=1)
    with pytest.raises(ValueError, match="one form"):
        assemble_parallel(DrillPlan("", 1), [item(1)], forms=0, seed=1)
    assert assemble(DrillPlan("", 1), [item(1)], seed=1).codes == ("item-001",)
