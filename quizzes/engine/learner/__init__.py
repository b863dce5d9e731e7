"""The learner model: abilities, memory, confusions, and the choice of the next item. Pure functions; clock and chance are
arguments."""

from .ability import (
    OVERALL,
    Ability,
    ability_from_json,
    ability_to_json,
    aged,
    on_item,
    prior,
    success,
    updated,
    with_facets,
)
from .calibration import Calibration, difficulties, fit
from .confusions import (
    BIT,
    CATALOGUE,
    CONFUSIONS,
    SLUGS,
    Confusion,
    confusion_of_fault,
    confusion_of_reason,
    events,
    offers,
)
from .evidence import (
    Evidence,
    cohort_rate,
    cohort_rates,
    evidence_from_json,
    evidence_to_json,
    probability,
    recorded,
    shown,
    suspected,
)
from .explaining import explain, reason_from_json, reason_to_json
from .memory import Memory, UnknownOutcomeError, is_due, memory_from_json, memory_to_json, recall, reviewed
from .pool import Pool, PoolItem, Served, build_pool, served
from .selection import Choice, EmptyPoolError, Reason, choose
from .skills import Skill, facets, mastered, reported_facets, reported_skills, skill, skill_values

__all__ = [
    "BIT", "CATALOGUE", "CONFUSIONS", "OVERALL", "SLUGS", "Ability", "Calibration", "Choice", "Confusion", "EmptyPoolError",
    "Evidence", "Memory", "Pool", "PoolItem", "Reason", "Served", "Skill", "UnknownOutcomeError", "ability_from_json",
    "ability_to_json", "aged", "build_pool", "choose", "cohort_rate", "cohort_rates", "confusion_of_fault",
    "confusion_of_reason", "difficulties", "events", "evidence_from_json", "evidence_to_json", "explain", "facets", "fit",
    "is_due", "mastered", "memory_from_json", "memory_to_json", "offers", "on_item", "prior", "probability",
    "reason_from_json", "reason_to_json", "recall", "recorded", "reported_facets", "reported_skills", "reviewed", "served",
    "shown", "skill", "skill_values", "success", "suspected", "updated", "with_facets",
]  # fmt: skip
