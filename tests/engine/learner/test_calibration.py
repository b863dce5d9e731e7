"""Difficulties fitted from answers whose truth is known, and against a general optimiser."""

import numpy as np
import pytest
from scipy.optimize import minimize

from quizzes.engine.learner import difficulties, fit, success

WEIGHTS = np.array([0.9, -0.6, 0.4])


def answers(count, *, models=60, spread=0.3, shift=0.0, seed=4):
    """Abilities, features, models, answers, floors, true weights and residuals."""
    rng = np.random.default_rng(seed)
    ability = rng.normal(0.0, 0.8, count)
    features = rng.normal(size=(count, len(WEIGHTS)))
    model = rng.integers(models, size=count)
    residuals = rng.normal(0.0, spread, models)
    floor = rng.choice([0.0, 0.25, 1 / 24], size=count)
    right = rng.random(count) < success(ability, features @ WEIGHTS + residuals[model] + shift, floor)
    return ability, features, model, right, floor, residuals


def test_planted_weights_and_residuals_are_recovered():
    ability, features, model, right, floor, residuals = answers(30_000, models=30)
    found = fit(ability, features, model, right, floor, weights=np.zeros(3))
    assert found.converged
    assert found.weights == pytest.approx(WEIGHTS, abs=0.06)
    assert np.corrcoef(found.residuals, residuals)[0, 1] > 0.9
    assert found.residuals.mean() == pytest.approx(0.0, abs=1e-12)
    assert found.answers == 30_000


def test_it_climbs_to_the_top_that_a_general_optimiser_finds():
    ability, features, model, right, floor, _ = answers(400, models=5)
    judged = np.array([0.5, 0.0, 0.0])

    def loss(x):
        w, r, shift = x[:3], x[3:8], x[8]
        chance = floor + (1 - floor) / (1 + np.exp(features @ w + r[model] + shift - ability))
        likelihood = np.log(np.where(right, chance, 1 - chance)).sum()
        return -likelihood + ((w - judged) ** 2).sum() / (2 * 0.4**2) + (r @ r) / (2 * 0.2**2) + 0.25 * shift**2 / 2

    best = minimize(loss, np.zeros(9), method="BFGS", options={"gtol": 1e-7}).x
    found = fit(ability, features, model, right, floor, weights=judged, weight_spread=0.4, residual_spread=0.2)
    assert found.weights == pytest.approx(best[:3], abs=1e-4)
    assert found.residuals == pytest.approx(best[3:8] - best[3:8].mean(), abs=1e-4)
    assert found.shift == pytest.approx(best[8], abs=1e-4)


def test_few_answers_leave_what_was_judged():
    ability, features, model, right, floor, _ = answers(3)
    found = fit(ability, features, model, right, floor, weights=WEIGHTS, models=60)
    assert found.weights == pytest.approx(WEIGHTS, abs=0.1)
    assert np.abs(found.residuals).max() < 0.1
    assert found.errors.max() <= 0.3


def test_a_common_shift_is_not_taken_for_difficulty():
    """Abilities that are all thought a logit too high must not make every item a logit harder."""
    ability, features, model, right, floor, _ = answers(20_000, shift=1.0)
    found = fit(ability, features, model, right, floor, weights=WEIGHTS)
    assert found.shift == pytest.approx(1.0, abs=0.1)
    assert difficulties(found, features, model).mean() == pytest.approx((features @ WEIGHTS).mean(), abs=0.05)


def test_a_model_without_answers_has_the_difficulty_of_its_features():
    ability, features, model, right, floor, _ = answers(500, models=5)
    found = fit(ability, features, model, right, floor, weights=WEIGHTS)
    told = difficulties(found, features[:3], np.array([-1, 99, 2]))
    plain = features[:3] @ found.weights
    assert told == pytest.approx([plain[0], plain[1], plain[2] + found.residuals[2]])


def test_no_answers_at_all():
    found = fit(
        np.zeros(0), np.zeros((0, 3)), np.zeros(0, dtype=int), np.zeros(0, dtype=bool), np.zeros(0), weights=WEIGHTS
    )
    assert found.weights.tolist() == WEIGHTS.tolist()
    assert found.answers == 0
