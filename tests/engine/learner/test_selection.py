"""Which item comes next, and the sentence that says why."""

from collections import Counter

import numpy as np
import pytest

from quizzes.engine.learner import (
    BIT,
    SLUGS,
    EmptyPoolError,
    PoolItem,
    Reason,
    build_pool,
    choose,
    explain,
    facets,
    on_item,
    prior,
    reason_from_json,
    reason_to_json,
    served,
    success,
    updated,
)
from quizzes.engine.learner.constants import AIM, REACH
from quizzes.engine.learner.pool import ABSENT, MOST_PARTS
from quizzes.engine.learner.selection import ANY, CONFUSION, HERB, LOT, PAIR, SKILL, gains

ACTIONS, AXES, SYSTEMS = (
    ("expectorant", "diuretic", "nervine", "bitter"),
    ("temperature", "moisture"),
    ("skin", "urinary"),
)
HERBS = 40
ROOT = "consequence-for-root"


def make_pool(size=1500, seed=8):
    rng = np.random.default_rng(seed)
    items = []
    for number in range(size):
        herbs = [f"herb-{herb}" for herb in rng.choice(HERBS, 4, replace=False)]
        names = facets(action=rng.choice(ACTIONS), axis=rng.choice(AXES), system=rng.choice(SYSTEMS))
        items.append(
            PoolItem(
                10_000 + number, float(rng.normal(-0.5, 1.2)), 0.25, names, herbs[0], tuple(herbs),
                BIT[rng.choice(SLUGS)], "best-fit", f"model-{number // 5}",
            )
        )  # fmt: skip
    return build_pool(items)


POOL = make_pool()


def chosen(times=400, seed=1, ability=None, **state):
    rng = np.random.default_rng(seed)
    return [choose(POOL, ability=ability or prior(POOL.facet_names), rng=rng, **state) for _ in range(times)]


def of(choices, code):
    return [choice for choice in choices if choice.reason.code == code]


def test_a_tenth_comes_by_lot_from_the_whole_pool():
    choices = chosen(3000)
    lots = of(choices, LOT)
    assert 0.08 < len(lots) / 3000 < 0.12
    assert np.mean(POOL.difficulty[[choice.row for choice in lots]]) == pytest.approx(POOL.difficulty.mean(), abs=0.3)
    assert len({choice.row for choice in lots}) > 200


def test_other_items_are_about_as_hard_as_suits():
    ability = prior(POOL.facet_names)
    for choice in chosen():
        mean, _ = on_item(ability, POOL.facets_of(choice.row))
        assert choice.success == pytest.approx(success(mean, POOL.difficulty[choice.row], 0.25))
        assert choice.reason.code == LOT or abs(choice.success - AIM) <= REACH


def test_what_was_met_does_not_come_again():
    ability, met, rng = prior(POOL.facet_names), np.empty(0, dtype=np.int64), np.random.default_rng(2)
    for _ in range(300):
        choice = choose(POOL, ability=ability, met=met, rng=rng)
        assert choice.row not in met
        met = np.append(met, choice.row)


def test_when_all_were_met_those_met_longest_ago_may_come():
    order = np.random.default_rng(3).permutation(len(POOL))
    older = set(order[: (len(POOL) + 1) // 2].tolist())
    assert {choice.row for choice in chosen(200, met=order)} <= older
    again = np.append(order, order[:10])  # ten of them met once more, a moment ago
    assert not {choice.row for choice in chosen(200, met=again)} & set(order[:10].tolist())


def test_a_shown_confusion_is_offered_by_about_every_second_item():
    choices = chosen(1000, shown=[ROOT])
    treated = of(choices, CONFUSION)
    assert 0.38 < len(treated) / 1000 < 0.52
    assert all(POOL.offers[choice.row] & BIT[ROOT] and choice.reason.about == (ROOT,) for choice in treated)


def test_a_suspected_confusion_is_offered_more_often():
    def share(**state):
        return np.mean([bool(POOL.offers[choice.row] & BIT[ROOT]) for choice in chosen(400, **state)])

    assert share(suspected=[ROOT]) > 2 * share()


def test_a_due_pair_stands_whole_in_the_item():
    pairs = [("herb-1", "herb-2"), ("herb-3", "no-such-herb")]
    found = of(chosen(600, due_pairs=pairs), PAIR)
    assert len(found) > 50
    for choice in found:
        assert choice.reason.about == pairs[0]
        assert set(pairs[0]) <= set(POOL.parts_of(choice.row))


def test_a_due_herb_stands_in_the_item():
    found = of(chosen(600, due_herbs=["herb-9"]), HERB)
    assert len(found) > 60
    assert all("herb-9" in POOL.parts_of(choice.row) for choice in found)


def test_pairs_go_before_herbs_and_neither_starves_skills():
    counts = Counter(
        choice.reason.code
        for choice in chosen(1000, due_herbs=["herb-1", "herb-2"], due_pairs=[("herb-1", "herb-2")], shown=[ROOT])
    )
    assert set(counts) == {LOT, CONFUSION, PAIR, HERB, SKILL}
    assert counts[PAIR] > counts[HERB]
    assert counts[SKILL] > 150


def test_neighbours_differ_and_touch():
    last = served(POOL, 5)
    choices = [choice for choice in chosen(500, recent=[last]) if choice.reason.code != LOT]
    names = [POOL.facets_of(choice.row) for choice in choices]
    assert not [one for one in names if set(last.facets[1:3]) <= set(one)]
    assert last.key_part not in {POOL.parts_of(choice.row)[0] for choice in choices}
    touching = np.mean([bool(set(last.facets[1:3]) & set(one)) for one in names])
    assert touching > 0.7


def test_a_confusion_may_be_met_several_times_running():
    names = facets(action="bitter", axis="moisture")
    same = build_pool(
        [PoolItem(n, -0.9, 0.25, names, f"herb-{n}", (f"herb-{n}",), BIT[ROOT], "best-fit", "one") for n in range(30)]
    )
    rng, last = np.random.default_rng(4), [served(same, 0)]
    codes = Counter(choose(same, ability=prior(), shown=[ROOT], recent=last, rng=rng).reason.code for _ in range(300))
    assert codes[CONFUSION] > 90
    assert set(codes) == {
        CONFUSION,
        LOT,
        ANY,
    }  # no item of the pool differs, so that none comes for the sake of a skill


def test_a_mastered_skill_gives_way():
    ability = prior(POOL.facet_names)
    item = facets(action="bitter", axis="temperature")
    for _ in range(150):
        ability = updated(ability, item, right=True, difficulty=1.5, floor=0.25)
    weak = prior(POOL.facet_names)
    worth = dict(zip(POOL.facet_names, gains(POOL, ability), strict=False))
    assert worth["action:bitter"] == worth["axis:temperature"] == 0.0
    assert sorted(gains(POOL, weak)[[POOL.facet_names.index(f"action:{name}") for name in ACTIONS]]) == [0.2, 1, 1, 1]
    about = Counter(choice.reason.about for choice in of(chosen(300, ability=weak), SKILL))
    assert len(about) > 1


def test_every_reason_is_told_in_a_sentence():
    reasons = [
        Reason(LOT), Reason(CONFUSION, (ROOT,)), Reason(PAIR, ("inula-root", "thyme-leaf")), Reason(HERB, ("inula-root",)),
        Reason(SKILL, ("axis:moisture",)), Reason(SKILL, ("action:bitter",)), Reason(ANY),
    ]  # fmt: skip
    told = [explain(reason, {"inula-root": "elecampane root", "bitter": "bitters"}) for reason in reasons]
    assert all(sentence.startswith("You see this because ") and sentence.endswith(".") for sentence in told)
    assert "elecampane root and thyme leaf" in told[2]
    assert "the action class of bitters" in told[5]
    assert "the consequence taken for the root" in told[1]
    for reason in reasons:
        assert reason_from_json(reason_to_json(reason)) == reason
    assert reason_from_json([]) is None
    assert reason_from_json(["of-old", "x"]) is None


def test_a_pool_keeps_what_it_was_made_of():
    few = build_pool(
        [
            PoolItem(7, 0.5, 0.25, facets(action="bitter"), "", (), 0, "caution", "one"),
            PoolItem(3, -0.5, 0.04, facets(axis="tone", system="skin"), "b", ("a", "b", "a"), 5, "kinds", "two"),
        ]
    )
    assert few.rows([3, 99, 7]).tolist() == [1, 0]
    assert few.facets_of(0) == ("overall", "action:bitter")
    assert few.facets_of(1) == ("overall", "axis:tone", "site:skin")
    assert few.parts_of(1) == ("a", "b")
    assert few.rows_with("a").tolist() == [1]
    assert few.rows_with("b").tolist() == [1]
    assert few.rows_with("c").tolist() == []
    assert few.parts.shape == (2, MOST_PARTS)
    assert few.key_part.tolist() == [ABSENT, few.part_at["b"]]
    choice = choose(few, ability=prior(), rng=np.random.default_rng(1), due_herbs=["a"], due_pairs=[("a", "b")])
    assert choice.row in (0, 1)


def test_an_empty_pool_says_so():
    with pytest.raises(EmptyPoolError):
        choose(build_pool([]), ability=prior(), rng=np.random.default_rng(1))
