"""The step of the ability against posterior moments integrated on a grid; storage; skills."""

import json
from dataclasses import replace

import numpy as np
import pytest

from quizzes.engine.learner import (
    ability_from_json,
    ability_to_json,
    aged,
    facets,
    mastered,
    on_item,
    prior,
    reported_facets,
    reported_skills,
    skill,
    skill_values,
    success,
    updated,
)
from quizzes.engine.learner.constants import ANSWER_DRIFT, OVERALL_DRIFT, PACE_MEAN, SURE

ITEM = facets(action="expectorant", axis="moisture", system="respiratory")
STEP = 0.02
GRID = np.arange(-6.0, 6.0, STEP)


def grid_moments(ability, names, right, difficulty, floor):
    """Posterior mean (2,) and covariance (2, 2) of two facets by plain summation over a plane, with an own logistic curve."""
    at = [ability.places[name] for name in names]
    mean, covariance = ability.mean[at], ability.covariance[np.ix_(at, at)]
    x, y = np.meshgrid(GRID, GRID, indexing="ij")
    points = np.stack([x.ravel(), y.ravel()])
    away = points - mean[:, None]
    density = np.exp(-0.5 * np.einsum("ip,ij,jp->p", away, np.linalg.inv(covariance), away))
    chance = floor + (1 - floor) / (1 + np.exp(-(points.sum(axis=0) - difficulty)))
    density *= chance if right else 1 - chance
    density /= density.sum()
    centre = points @ density
    away = points - centre[:, None]
    return centre, (away * density) @ away.T


@pytest.mark.parametrize("right", [True, False])
@pytest.mark.parametrize(("difficulty", "floor"), [(0.0, 0.25), (1.5, 0.0), (-2.0, 0.25), (0.7, 1 / 24)])
def test_one_answer_gives_the_moments_of_the_exact_posterior(right, difficulty, floor):
    names = facets(axis="moisture")
    ability = prior(names)
    at = [ability.places[name] for name in names]
    correlated = ability.covariance.copy()
    correlated[np.ix_(at, at)] = [[0.5, -0.12], [-0.12, 0.3]]
    ability = replace(ability, covariance=correlated, mean=np.array([0.4, 0.0, -0.3]))  # at a pace of nothing
    mean, covariance = grid_moments(ability, names, right, difficulty, floor)
    after = updated(ability, names, right=right, difficulty=difficulty, floor=floor)
    assert after.mean[at] == pytest.approx(mean, abs=1e-6)
    pace = ability.covariance[1, 1] / 100**2  # what not knowing the pace adds
    drift = np.array([[OVERALL_DRIFT, 0], [0, ANSWER_DRIFT + pace]])
    assert after.covariance[np.ix_(at, at)] == pytest.approx(covariance + drift, abs=1e-6)


def test_a_right_answer_to_a_hard_item_raises_more_than_one_to_an_easy_item():
    rises = [
        on_item(updated(prior(), ITEM, right=True, difficulty=difficulty, floor=0.25), ITEM)[0]
        for difficulty in (-2.0, 0.0, 1.0)
    ]
    assert 0 < rises[0] < rises[1] < rises[2]
    falls = [
        on_item(updated(prior(), ITEM, right=False, difficulty=difficulty, floor=0.25), ITEM)[0]
        for difficulty in (-2.0, 0.0)
    ]
    assert falls[0] < falls[1] < 0.1


def test_a_facet_that_was_not_asked_moves_by_overall_alone():
    ability = prior([*ITEM, "action:diuretic"])
    after = updated(ability, ITEM, right=False, difficulty=0.0, floor=0.25)
    place = after.places["action:diuretic"]
    assert after.mean[place] == 0.0
    assert after.answers[place] == 0
    assert skill(after, "action:diuretic").value == after.mean[0] < 0
    assert ability.mean.tolist() == prior([*ITEM, "action:diuretic"]).mean.tolist()  # the old state is as it was


@pytest.mark.parametrize("learning", [0.0, 2.0, 4.0])
def test_the_pace_of_learning_is_learned(learning):
    """Students who stand still, and who gain two or four logits in a hundred answers on each skill."""
    rng = np.random.default_rng(11)
    paces = []
    for _ in range(25):
        ability, truth = prior(), float(rng.normal(0, 0.4))
        for _ in range(150):
            estimate, _ = on_item(ability, ITEM)
            right = rng.random() < success(truth, estimate - 1.0, 0.25)
            ability = updated(ability, ITEM, right=bool(right), difficulty=estimate - 1.0, floor=0.25)
            truth += 2 * learning / 100
        paces.append(float(ability.mean[1]))
    assert np.mean(paces) == pytest.approx(learning, abs=0.6)
    assert PACE_MEAN == 1.0  # none of the three is what was thought beforehand


def test_days_widen_the_error_and_move_nothing():
    ability = updated(prior(), ITEM, right=True, difficulty=0.0, floor=0.25)
    later = aged(ability, 30.0)
    assert later.mean.tolist() == ability.mean.tolist()
    assert (skill_values(later, ITEM)[1] > skill_values(ability, ITEM)[1]).all()
    assert later.covariance[1, 1] == ability.covariance[1, 1]
    assert aged(ability, -3.0).covariance.tolist() == ability.covariance.tolist()


def test_the_state_is_a_few_kilobytes_of_json():
    rng = np.random.default_rng(3)
    systems, axes = [f"system-{n:02}" for n in range(12)], ("temperature", "moisture", "tone", "movement")
    actions = [f"expectorant-{n:02}" for n in range(27)]
    ability = prior()
    for _ in range(300):
        item = facets(action=rng.choice(actions), axis=rng.choice(axes), system=rng.choice(systems))
        ability = updated(ability, item, right=bool(rng.random() < 0.8), difficulty=float(rng.normal()), floor=0.25)
    assert len(ability.facets) == 45
    text = json.dumps(ability_to_json(ability), separators=(",", ":"))
    assert len(text) < 5000
    again = ability_from_json(json.loads(text))
    assert again.facets == ability.facets
    assert again.mean == pytest.approx(ability.mean, abs=1e-4)
    assert again.covariance == pytest.approx(ability.covariance, abs=1e-4)
    assert again.covariance.tolist() == again.covariance.T.tolist()
    assert ability_from_json({}).facets == prior().facets


def test_skills_reported_are_the_axes_and_the_actions_most_answered():
    ability = prior()
    for number in range(10):
        for _ in range(number):
            ability = updated(ability, facets(action=f"action-{number}"), right=True, difficulty=0.0, floor=0.25)
    found = reported_facets(ability)
    assert found[:4] == ("axis:temperature", "axis:moisture", "axis:tone", "axis:movement")
    assert found[4:] == tuple(f"action:action-{number}" for number in range(9, 1, -1))
    assert [one.facet for one in reported_skills(ability)] == list(found)


def test_a_skill_is_mastered_when_that_is_sure():
    ability = prior(ITEM)
    assert not skill(ability, "axis:moisture").is_mastered
    for _ in range(120):
        ability = updated(ability, ITEM, right=True, difficulty=1.0, floor=0.25)
    sure = skill(ability, "axis:moisture")
    assert sure.is_mastered
    assert sure.probability >= SURE
    assert sure.answers == 120
    assert mastered(ability, ["axis:moisture", "axis:tone"]).tolist()[0]


def test_facets_left_out_are_left_out():
    assert facets(action="diuretic") == ("overall", "action:diuretic")
    assert facets() == ("overall",)
