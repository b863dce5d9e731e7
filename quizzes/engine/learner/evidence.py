"""Evidence of a student's confusions: how often each was offered and taken, and which are shown.

A student's rate of taking a confusion has a beta distribution about the cohort's rate, moved by counts that fade with every
further offer. What is asked is whether that rate is above twice the cohort's: confusions that everybody has are the
cohort's, not the student's.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from .beta import beta_tail
from .confusions import SLUGS
from .constants import (
    CLEARED_BELOW,
    COHORT_CONCENTRATION,
    CONCENTRATION,
    DEFAULT_RATE,
    HALF_LIFE,
    LEAST_OFFERS,
    SHOWN_FROM,
    SUSPECTED_FROM,
    TIMES_COHORT,
)

FADES = 0.5 ** (1.0 / HALF_LIFE)


@dataclass(frozen=True)
class Evidence:
    """Of one confusion: faded counts, plain totals ("4 of the 6 times it was offered"), offers since it was last cleared,
    shown."""

    taken: float = 0.0
    offered: float = 0.0
    times_taken: int = 0
    times_offered: int = 0
    since_cleared: int = 0
    is_shown: bool = False


NONE = Evidence()
Record = Mapping[str, Evidence]  # by slug; those never offered are left out


def cohort_rate(taken: float, offered: float) -> float:
    """How often a cohort takes a confusion where it is offered, drawn towards the default while it has few answers."""
    return (DEFAULT_RATE * COHORT_CONCENTRATION + taken) / (COHORT_CONCENTRATION + offered)


def cohort_rates(records: Collection[Record]) -> dict[str, float]:
    """The rate of each confusion in a cohort, from the plain totals of its students."""
    rates = {}
    for slug in SLUGS:
        found = [record[slug] for record in records if slug in record]
        rates[slug] = cohort_rate(sum(e.times_taken for e in found), sum(e.times_offered for e in found))
    return rates


def threshold(rate: float) -> float:
    """The rate above which a student's own counts as a confusion: twice the cohort's, never above halfway from there to 1."""
    return min(TIMES_COHORT * rate, (1.0 + rate) / 2.0)


def probability(evidence: Evidence, rate: float = DEFAULT_RATE) -> float:
    """Probability that a student's rate is above the threshold, given the cohort's rate (0 to 1, both excluded)."""
    a = CONCENTRATION * rate + evidence.taken
    b = CONCENTRATION * (1.0 - rate) + evidence.offered - evidence.taken
    return beta_tail(a, b, threshold(rate))


def recorded(
    record: Record, offered: Collection[str], taken: Collection[str], rates: Mapping[str, float] | None = None
) -> dict[str, Evidence]:
    """The record after one answer; ``rates`` are the cohort's. Shown from .90 after four offers, until below .30."""
    rates = rates or {}
    new = dict(record)
    for slug in offered:
        old = record.get(slug, NONE)
        took = slug in taken
        evidence = Evidence(
            old.taken * FADES + took,
            old.offered * FADES + 1.0,
            old.times_taken + took,
            old.times_offered + 1,
            old.since_cleared + 1,
            old.is_shown,
        )
        chance = probability(evidence, rates.get(slug, DEFAULT_RATE))
        if old.is_shown and chance < CLEARED_BELOW:
            evidence = replace(evidence, is_shown=False, since_cleared=0)
        elif not old.is_shown and chance > SHOWN_FROM and evidence.since_cleared >= LEAST_OFFERS:
            evidence = replace(evidence, is_shown=True)
        new[slug] = evidence
    return new


def shown(record: Record, rates: Mapping[str, float] | None = None) -> tuple[str, ...]:
    """Slugs of the confusions that are shown, the surest first."""
    rates = rates or {}
    found = [slug for slug, evidence in record.items() if evidence.is_shown]
    return tuple(sorted(found, key=lambda slug: (-probability(record[slug], rates.get(slug, DEFAULT_RATE)), slug)))


def suspected(record: Record, rates: Mapping[str, float] | None = None) -> tuple[str, ...]:
    """Slugs of the confusions that are likely, and neither shown nor ruled out."""
    rates = rates or {}
    return tuple(
        slug
        for slug, evidence in record.items()
        if not evidence.is_shown and probability(evidence, rates.get(slug, DEFAULT_RATE)) > SUSPECTED_FROM
    )


def evidence_to_json(record: Record) -> dict[str, list[Any]]:
    """The record as plain numbers, by slug."""
    return {
        slug: [round(e.taken, 4), round(e.offered, 4), e.times_taken, e.times_offered, e.since_cleared, int(e.is_shown)]
        for slug, e in record.items()
    }


def evidence_from_json(stored: Mapping[str, Any]) -> dict[str, Evidence]:
    """The record that was stored; confusions that are no longer in the catalogue are dropped."""
    return {
        slug: Evidence(float(row[0]), float(row[1]), int(row[2]), int(row[3]), int(row[4]), bool(row[5]))
        for slug, row in stored.items()
        if slug in SLUGS
    }
