"""A student's ability: one Gaussian over additive facets, moved a step by every answer.

The ability on an item is the sum of its facets (overall, action class, axis, site group), each a random walk: a dynamic
generalised linear model, filtered as by L. Fahrmeir, Journal of the American Statistical Association 87, 1992, 501-509. An
answer bears on that sum alone, so the step is one-dimensional: the mean and variance of the sum given the answer are worked
out by quadrature, as R. J. Owen, ibid. 70, 1975, 351-356, matches moments under guessing, and the gain of the Kalman filter
carries them to the facets. Exact moments are used instead of one step of a gradient because with a guessing floor a right
answer does not have a concave likelihood.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import pi, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .constants import (
    ANSWER_DRIFT,
    DAY_DRIFT,
    FACET_VARIANCE,
    FARTHEST,
    OVERALL_DRIFT,
    OVERALL_VARIANCE,
    PACE_MEAN,
    PACE_VARIANCE,
    QUADRATURE,
    WIDEST_VARIANCE,
)

Floats = NDArray[np.float64]
OVERALL = "overall"
PACE = "pace"  # logits that a hundred answers add to a skill they exercise
ACTION, AXIS, SITE = "action:", "axis:", "site:"  # how the other facets begin
TAUGHT = (ACTION, AXIS)
UNIT = 10_000  # stored figures are whole ten-thousandths
NODES, NODE_WEIGHTS = np.polynomial.hermite.hermgauss(QUADRATURE)
NODE_WEIGHTS = NODE_WEIGHTS / sqrt(pi)


@dataclass(frozen=True)
class Ability:
    """Means (F,), covariance (F, F) and numbers of answers (F,) of the facets a student has met. Overall is the first; the
    second is no facet of items but the student's pace of learning."""

    facets: tuple[str, ...]
    mean: Floats
    covariance: Floats
    answers: NDArray[np.int64]

    @cached_property
    def places(self) -> dict[str, int]:
        """Where each facet stands."""
        return {facet: place for place, facet in enumerate(self.facets)}


def prior(facets: Sequence[str] = ()) -> Ability:
    """The ability of somebody of whom nothing is known; overall alone, or with some facets beside it."""
    names = (OVERALL, PACE, *(facet for facet in dict.fromkeys(facets) if facet != OVERALL))
    mean, spread = np.zeros(len(names)), np.full(len(names), FACET_VARIANCE)
    spread[:2], mean[1] = (OVERALL_VARIANCE, PACE_VARIANCE), PACE_MEAN
    return Ability(names, mean, np.diag(spread), np.zeros(len(names), dtype=np.int64))


def with_facets(ability: Ability, facets: Sequence[str]) -> Ability:
    """The ability with room for facets it does not hold yet, at their prior."""
    if ability.places.keys() >= set(facets):
        return ability
    new = [facet for facet in dict.fromkeys(facets) if facet not in ability.places]
    held, added = len(ability.facets), len(new)
    covariance = np.zeros((held + added, held + added))
    covariance[:held, :held] = ability.covariance
    covariance[range(held, held + added), range(held, held + added)] = FACET_VARIANCE
    return Ability(
        (*ability.facets, *new),
        np.concatenate([ability.mean, np.zeros(added)]),
        covariance,
        np.concatenate([ability.answers, np.zeros(added, dtype=np.int64)]),
    )


def on_item(ability: Ability, facets: Sequence[str]) -> tuple[float, float]:
    """Mean and variance of the ability on an item with these facets."""
    ability = with_facets(ability, facets)
    at = [ability.places[facet] for facet in facets]
    return float(ability.mean[at].sum()), float(ability.covariance[np.ix_(at, at)].sum())


def success(ability: float | Floats, difficulty: float | Floats, floor: float | Floats) -> Any:
    """Probability of a right answer: a guessing floor, and a logistic curve above it (A. Birnbaum 1968, slope 1)."""
    return floor + (1.0 - floor) / (1.0 + np.exp(difficulty - ability))


def updated(ability: Ability, facets: Sequence[str], *, right: bool, difficulty: float, floor: float) -> Ability:
    """The ability after one answer to an item with these facets (overall among them), and ready for the next.

    ``difficulty`` in logits, ``floor`` the chance of guessing right. Once the answer is weighed, the skills it exercised
    (action class and axis) move by the student's pace, which is itself learned: who does not learn is not credited with it.
    """
    ability = with_facets(ability, facets)
    at = np.array([ability.places[facet] for facet in facets])
    mean, covariance = ability.mean.copy(), ability.covariance.copy()
    along = covariance[:, at].sum(axis=1)
    centre, variance = float(mean[at].sum()), float(along[at].sum())
    posterior_centre, posterior_variance = _moments(centre, variance, right, difficulty, floor)
    mean += along * ((posterior_centre - centre) / variance)
    covariance += np.outer(along, along) * ((posterior_variance - variance) / variance**2)
    answers = ability.answers.copy()
    answers[at] += 1
    taught = [ability.places[facet] for facet in facets if facet.startswith(TAUGHT)]
    mean[taught] += mean[1] / 100.0
    covariance[taught] += covariance[1] / 100.0
    covariance[:, taught] += covariance[:, 1:2] / 100.0
    covariance[at, at] += np.where(at > 0, ANSWER_DRIFT, OVERALL_DRIFT)
    # Answers that can no longer tell anything, all right or all wrong, must not carry the figures off.
    narrowed = np.minimum(1.0, np.sqrt(WIDEST_VARIANCE / np.maximum(covariance.diagonal(), WIDEST_VARIANCE)))
    covariance *= np.outer(narrowed, narrowed)
    return replace(ability, mean=np.clip(mean, -FARTHEST, FARTHEST), covariance=covariance, answers=answers)


def _moments(centre: float, variance: float, right: bool, difficulty: float, floor: float) -> tuple[float, float]:
    """Mean and variance of a Gaussian ability once an answer is known."""
    points = centre + sqrt(2.0 * variance) * NODES
    chance = success(points, difficulty, floor)
    weights = NODE_WEIGHTS * (chance if right else 1.0 - chance)
    total = weights.sum()
    if total <= 0:  # an answer that the model holds to be impossible teaches nothing
        return centre, variance
    weights /= total
    mean = float(weights @ points)
    return mean, float(weights @ (points - mean) ** 2)


def aged(ability: Ability, days: float) -> Ability:
    """The ability after days without an answer: as it was, less surely. Negative days count as none."""
    spread = np.full(len(ability.facets), DAY_DRIFT * max(0.0, days))
    spread[1] = 0.0
    return replace(ability, covariance=ability.covariance + np.diag(spread))


def ability_to_json(ability: Ability) -> dict[str, Any]:
    """Plain numbers in ten-thousandths: below 5 kB for all 45, about 1 kB for a student of one course."""
    upper = ability.covariance[np.triu_indices(len(ability.facets))]
    return {
        "facets": list(ability.facets),
        "mean": [round(value * UNIT) for value in ability.mean.tolist()],
        "covariance": [round(value * UNIT) for value in upper.tolist()],
        "answers": ability.answers.tolist(),
    }


def ability_from_json(stored: Mapping[str, Any]) -> Ability:
    """The ability that was stored; of an empty record that of somebody unknown."""
    if not stored:
        return prior()
    size = len(stored["facets"])
    covariance = np.zeros((size, size))
    covariance[np.triu_indices(size)] = np.array(stored["covariance"], dtype=float) / UNIT
    covariance = np.triu(covariance) + np.triu(covariance, 1).T
    return Ability(
        tuple(stored["facets"]),
        np.array(stored["mean"], dtype=float) / UNIT,
        covariance,
        np.array(stored["answers"], dtype=np.int64),
    )
