"""Plans that cannot be met: the conflict named is one, no part of it is, and the nearest plan can be met."""

from itertools import combinations
from random import Random

import pytest

from lessons.engine.forms import assemble, holds
from lessons.engine.item_bank import ItemBank
from lessons.engine.plan_conflicts import NoConflictError, explain, feasible
from lessons.engine.plans import Band, Demand, DrillPlan, requirements_of
from quizzes.bench.forms import infeasible_plan, synthetic

from .test_forms import PATIENT, faults_of_form, item, look_up

DRAWN = 5


def possible(requirements, items) -> bool:
    """By trying every form there is: whether one satisfies the requirements."""
    return any(
        all(holds(wanted, form) for wanted in requirements)
        for length in range(len(items) + 1)
        for form in combinations(items, length)
    )


def few_items():
    """Nine items: dry ones of the airways are scarce, two share a skeleton, and herbs come again."""
    return [
        item(
            n,
            action=("expectorant", "diuretic", "nervine")[n % 3],
            state="dry" if n in (0, 4) else "cold",
            faults=("wrong tone",) if n < 4 else ("too weak",),
            key=f"herb-{n % 4}",
            herbs=frozenset({f"herb-{n % 4}", f"herb-{(n + 1) % 5}"}),
            skeleton="same" if n in (0, 3) else f"own-{n}",
            difficulty=300 * (n - 4),
            key_position=n % 4,
        )
        for n in range(9)
    ]


TINY = {
    "a value that is scarce": DrillPlan("", 4, demands=(Demand("states", "dry", 3),)),
    "a value that is absent": DrillPlan("", 4, demands=(Demand("states", "hot", 1), Demand("classes", "nervine", 1))),
    "classes beyond the length": DrillPlan("", 4, demands=(Demand("classes", "nervine", 3), Demand("classes", "diuretic", 2))),
    "two sides of a fault": DrillPlan("", 4, demands=(Demand("faults", "wrong tone", 0, 1), Demand("faults", "too weak", 0, 2))),
    "a skeleton shared": DrillPlan("", 3, demands=(Demand("classes", "expectorant", 3),)),
    "keys used once": DrillPlan("", 5, key_at_most=1),
    "herbs shown once": DrillPlan("", 5, herb_at_most=1),
    "a mean out of reach": DrillPlan("", 4, bands=(Band(None, 0, 3),), mean_low=700),
    "a band that is empty": DrillPlan("", 2, bands=(Band(2000, None, 1),)),
    "a scope too narrow": DrillPlan("", 3, scope=frozenset({"herb-0", "herb-1"})),
    "a form longer than the bank": DrillPlan("", 12),
    "places that cannot be even": DrillPlan("", 2, scope=frozenset({"herb-0", "herb-1", "herb-2"}),
                                            demands=(Demand("states", "dry", 2),)),
}  # fmt: skip


@pytest.mark.parametrize("plan", TINY.values(), ids=TINY.keys())
def test_the_conflict_is_one_and_no_part_of_it_is(plan):
    items = few_items()
    conflict = explain(plan, items, time_limit=PATIENT)
    assert conflict.proved and conflict.requirements
    assert set(conflict.requirements) <= set(requirements_of(plan))
    assert not possible(conflict.requirements, items)
    for left_out in conflict.requirements:
        assert possible([other for other in conflict.requirements if other != left_out], items), left_out.sentence
    assert len(conflict.sentences) == len(conflict.requirements)
    assert all(sentence.endswith(".") for sentence in (*conflict.sentences, *conflict.changes))


@pytest.mark.parametrize("plan", TINY.values(), ids=TINY.keys())
def test_the_nearest_plan_assembles(plan):
    items = few_items()
    conflict = explain(plan, items, time_limit=PATIENT)
    assert conflict.nearest is not None and conflict.nearest != plan and conflict.nearest_proved
    assert len(conflict.changes) >= 1
    form = look_up(items, assemble(conflict.nearest, items, seed=1, time_limit=PATIENT).codes)
    assert faults_of_form(conflict.nearest, form) == []
    assert faults_of_form(plan, form)


def test_two_conflicts_apart_need_two_changes_and_no_more():
    plan = DrillPlan(
        "", 4, demands=(Demand("states", "hot", 1), Demand("sites", "bowel", 2), Demand("classes", "nervine", 1))
    )
    conflict = explain(plan, few_items(), time_limit=PATIENT)
    assert len(conflict.requirements) == 1 and len(conflict.changes) == 2
    assert conflict.nearest is not None and conflict.nearest.demands == (Demand("classes", "nervine", 1),)


def test_the_smallest_change_is_chosen():
    plan = DrillPlan("", 6, demands=(Demand("classes", "nervine", 3, 3), Demand("classes", "diuretic", 4, 4)))
    conflict = explain(plan, few_items(), time_limit=PATIENT)
    assert conflict.nearest is not None
    assert conflict.changes == ("Exactly 3 instead of 4 items of the class diuretic.",)
    assert conflict.nearest.demands == (Demand("classes", "nervine", 3, 3), Demand("classes", "diuretic", 3, 3))


def test_sentences_tell_the_supply_and_what_the_others_leave():
    conflict = explain(TINY["a value that is scarce"], few_items(), time_limit=PATIENT)
    assert conflict.sentences == ("At least 3 items in the state dry. The bank has 2 such items.",)
    assert conflict.reason == "The bank allows at most 2 items in the state dry."


def test_an_empty_scope_has_no_nearest_plan():
    conflict = explain(DrillPlan("", 1, scope=frozenset({"elsewhere"})), few_items(), time_limit=PATIENT)
    assert conflict.nearest is None
    assert conflict.sentences[0] == "Only the one herb in scope may be shown."


def test_a_plan_that_can_be_met_has_no_conflict():
    with pytest.raises(NoConflictError, match="can be met"):
        explain(DrillPlan("", 4), few_items(), time_limit=PATIENT)


def test_drawn_plans_are_explained_on_a_bank_beyond_the_sample():
    items = synthetic(1800, Random(4))
    bank = ItemBank(items)
    seen = 0
    for number in range(60):
        plan, _ = infeasible_plan(items, 12, Random(number))
        if feasible(bank, requirements_of(plan), PATIENT):
            continue
        conflict = explain(plan, bank, time_limit=PATIENT)
        assert feasible(bank, conflict.requirements, PATIENT) is False
        for left_out in conflict.requirements:
            assert feasible(bank, [other for other in conflict.requirements if other != left_out], PATIENT)
        assert conflict.nearest is not None
        form = look_up(items, assemble(conflict.nearest, items, seed=1, time_limit=PATIENT).codes)
        assert faults_of_form(conflict.nearest, form) == []
        seen += 1
        if seen == DRAWN:
            break
    assert seen == DRAWN
