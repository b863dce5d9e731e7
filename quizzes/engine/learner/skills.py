"""Facets of an item, and the few broad skills that are made of them: overall + one facet, with its standard error."""

from dataclasses import dataclass
from math import erf, sqrt

from herbs.engine import AXES

from .ability import OVERALL, Ability, with_facets
from .constants import LEVEL, MOST_ACTIONS, MOST_SKILLS, SURE

ACTION, AXIS, SITE = "action:", "axis:", "site:"


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
        return 0.5 * (1.0 + erf((self.value - LEVEL) / (self.error * sqrt(2.0))))

    @property
    def is_mastered(self) -> bool:
        """Whether that is sure enough to be said."""
        return self.probability >= SURE


def facets(*, action: str = "", axis: str = "", system: str = "") -> tuple[str, ...]:
    """Facets of an item about an action class, chiefly turning on an axis, in a body system; what is empty is left out."""
    named = ((ACTION, action), (AXIS, axis), (SITE, system))
    return (OVERALL, *(f"{kind}{name}" for kind, name in named if name))


def skill(ability: Ability, facet: str) -> Skill:
    """One skill of a student, whether met or not."""
    ability = with_facets(ability, [facet])
    place = ability.places[facet]
    if place == 0:
        return Skill(facet, float(ability.mean[0]), sqrt(ability.covariance[0, 0]), int(ability.answers[0]))
    variance = ability.covariance[0, 0] + ability.covariance[place, place] + 2.0 * ability.covariance[0, place]
    return Skill(
        facet,
        float(ability.mean[0] + ability.mean[place]),
        sqrt(max(float(variance), 1e-6)),
        int(ability.answers[place]),
    )


def reported_facets(ability: Ability) -> tuple[str, ...]:
    """Facets of the skills that are reported, 12 at most: the four axes, and the action classes most answered."""
    met = [
        (-int(answers), facet)
        for facet, answers in zip(ability.facets, ability.answers, strict=True)
        if facet.startswith(ACTION) and answers
    ]
    found = (*(f"{AXIS}{axis}" for axis in AXES), *(facet for _, facet in sorted(met)[:MOST_ACTIONS]))
    return found[:MOST_SKILLS]


def skills(ability: Ability) -> tuple[Skill, ...]:
    """The skills reported to a student."""
    return tuple(skill(ability, facet) for facet in reported_facets(ability))
