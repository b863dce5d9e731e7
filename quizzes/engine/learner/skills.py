"""Facets of an item, and the few broad skills that are made of them: overall + one facet, with its standard error."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXES

from .ability import ACTION, AXIS, OVERALL, SITE, Ability, Floats, with_facets
from .constants import LEVEL, MOST_ACTIONS, MOST_SKILLS, SURE

LEAST_VARIANCE = 1e-6  # rounding may leave less
SURE_AWAY: Final = NormalDist().inv_cdf(SURE)  # standard errors above the level at which a skill is mastered


@dataclass(frozen=True)
class Skill:
    """A skill as it is reported: facet, value and standard error in logits, answers that exercised it, mastered or not."""

    facet: str
    value: float
    error: float
    answers: int

    @property
    def probability(self) -> float:
        """Probability that the skill is at the level of mastery or above."""
        return NormalDist().cdf((self.value - LEVEL) / self.error)

    @property
    def is_mastered(self) -> bool:
        """Whether that is sure enough to be said."""
        return self.probability >= SURE


def facets(*, action: str = "", axis: str = "", system: str = "") -> tuple[str, ...]:
    """Facets of an item about an action class, chiefly turning on an axis, in a body system; what is empty is left out."""
    named = ((ACTION, action), (AXIS, axis), (SITE, system))
    return (OVERALL, *(f"{kind}{name}" for kind, name in named if name))


def skill_values(ability: Ability, facets: Sequence[str]) -> tuple[Floats, Floats]:
    """Values (k,) and standard errors (k,) of skills, whether met or not; that of "overall" is overall itself."""
    ability = with_facets(ability, facets)
    at = np.array([ability.places[facet] for facet in facets], dtype=np.int64)
    covariance, beside = ability.covariance, at > 0
    variance = covariance[at, at] + beside * (covariance[0, 0] + 2.0 * covariance[0, at])
    return ability.mean[at] + beside * ability.mean[0], np.sqrt(np.maximum(variance, LEAST_VARIANCE))


def mastered(ability: Ability, facets: Sequence[str]) -> NDArray[np.bool_]:
    """(k,) which skills are at the level of mastery with the probability that makes it sayable."""
    values, errors = skill_values(ability, facets)
    return np.asarray((values - LEVEL) / errors >= SURE_AWAY)


def skill(ability: Ability, facet: str) -> Skill:
    """One skill of a student."""
    values, errors = skill_values(ability, [facet])
    place = ability.places.get(facet)
    return Skill(facet, float(values[0]), float(errors[0]), 0 if place is None else int(ability.answers[place]))


def reported_facets(ability: Ability) -> tuple[str, ...]:
    """Facets of the skills that are reported, 12 at most: the four axes, and the action classes most answered."""
    met = [
        (-int(answers), facet)
        for facet, answers in zip(ability.facets, ability.answers, strict=True)
        if facet.startswith(ACTION) and answers
    ]
    found = (*(f"{AXIS}{axis}" for axis in AXES), *(facet for _, facet in sorted(met)[:MOST_ACTIONS]))
    return found[:MOST_SKILLS]


def reported_skills(ability: Ability) -> tuple[Skill, ...]:
    """The skills reported to a student."""
    return tuple(skill(ability, facet) for facet in reported_facets(ability))
