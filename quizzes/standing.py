"""Where a student stands, for the page: rows in, plain mappings out. Nothing of any other student but a course's sums."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from herbs.catalogue import MateriaMedica
from herbs.engine import AXES, capital
from herbs.engine.agreement import Z_95, weighted_kappa
from herbs.models import Term
from lessons.models import Course, Enrolment, User

from . import charts
from .engine import reading_signs
from .engine.learner import (
    CATALOGUE,
    CONFUSIONS,
    Ability,
    ability_from_json,
    aged,
    cohort_rate,
    evidence_from_json,
    memory_from_json,
    reported_facets,
    skill,
    success,
)
from .engine.learner.constants import LEAST_OFFERS, LEVEL
from .learning import UNIT, cohort_of
from .models import CohortConfusion, FoundConfusion, Learner, Memory, Reading, Standing

FLOOR = 0.25  # an ordinary question has four answers
GUESSED = 25.0  # in 100: the least chance there is
ENOUGH_FOR_SKILL = 10  # with fewer answers the interval is hardly narrower than before any
ENOUGH_FOR_READINGS = 10  # with fewer a kappa says nothing
ENOUGH_DAYS = 2  # two points make a line
LATEST_READINGS = 200  # how the pattern is read now, not a year ago
HELD_DAYS = 21  # days until nine in ten are still known: three weeks away and back
LONGEST_LIST = 12  # what is named outside a table
DAYS_DRAWN = 366
FEWEST_IN_COURSE = 5  # in a smaller course a rate would tell of single people
TICKS = ((25.0, "25 guessing"), (50.0, "50"), (75.0, "75"), (100.0, "100"))
DUE, LEARNING, HELD = "due", "learning", "held"
MEMORY_WORDS = {DUE: "due", LEARNING: "being learned", HELD: "well held"}
SIGNS = (-1, 0, 1)


def chance_in_100(value: float, error: float = 0.0) -> tuple[int, int, int]:
    """Chance of a right answer on an ordinary question (difficulty 0, four answers), with its interval of 95 %, in 100.

    ``value`` and ``error`` in logits. The interval is carried over end by end, since the curve only rises.
    """
    middle, low, high = (
        round(100 * float(success(at, 0.0, FLOOR))) for at in (value, value - Z_95 * error, value + Z_95 * error)
    )
    return middle, low, high


@dataclass(frozen=True)
class Student:
    """Whose picture is drawn: the student, the course whose cohort is compared with, the names of things, and when."""

    user: User
    course: Course | None
    medica: MateriaMedica
    now: datetime

    def title(self, facet: str) -> str:
        """A facet in words: "Moisture", "Expectorants"."""
        kind, _, slug = facet.partition(":")
        if kind == "action":
            term = self.medica.terms[Term.Kind.ACTION].get(slug)
            return capital(term["plural"] if term and "plural" in term else slug.replace("-", " "))
        return capital(slug)


def where_i_stand(student: Student) -> dict[str, Any]:
    """Everything the page shows. Eight queries at most, whatever the number of answers."""
    learner = Learner.objects.filter(student=student.user).first() or Learner(student=student.user)
    ability = ability_from_json(learner.ability)
    if learner.changed_at:
        ability = aged(ability, (student.now - learner.changed_at).total_seconds() / 86400)
    told = skills_told(student, ability)
    return {
        "answers": learner.answers,
        "skills": told,
        "confusions": confusions_told(student, learner.confusions),
        **remembered(student),
        "readings": readings_told(student.user),
        "over_time": over_time(student, learner, [row["facet"] for row in told["known"]]),
    }


def together(ability: Ability) -> tuple[float, float]:
    """Mean and standard error (logits) of the ability on the mixture of questions that were answered.

    Overall alone is the ability on facets never met; each facet counts as often as it was exercised.
    """
    weights = ability.answers / max(1, int(ability.answers[0]))
    weights[0] = 1.0
    return float(weights @ ability.mean), math.sqrt(float(weights @ ability.covariance @ weights))


def skills_told(student: Student, ability: Ability) -> dict[str, Any]:
    """Everything together, and at most 12 skills, as chances in 100, with a picture of those that are known."""
    rows: list[dict[str, Any]] = []
    for found in (skill(ability, facet) for facet in reported_facets(ability)):
        value, low, high = chance_in_100(found.value, found.error)
        rows.append(
            {
                "facet": found.facet,
                "title": student.title(found.facet),
                "action": found.facet.removeprefix("action:") if found.facet.startswith("action:") else "",
                "value": value,
                "low": low,
                "high": high,
                "answers": found.answers,
                "missing": max(0, ENOUGH_FOR_SKILL - found.answers),
                "is_firm": found.is_mastered,
            }
        )
    known = [row for row in rows if not row["missing"]]
    drawn = [(row["title"], row["value"], row["low"], row["high"]) for row in known]
    value, low, high = chance_in_100(*together(ability))
    level = chance_in_100(LEVEL)[0]
    return {
        "together": {"value": value, "low": low, "high": high},
        "missing": max(0, ENOUGH_FOR_SKILL - int(ability.answers[0])),
        "rows": rows,
        "known": known,
        "level": level,
        "enough": ENOUGH_FOR_SKILL,
        "chart": charts.intervals(drawn, low=GUESSED, high=100, ticks=TICKS, level=level) if drawn else None,
    }


def confusions_told(student: Student, stored: Mapping[str, Any]) -> dict[str, Any]:
    """Confusions that are found with their evidence, those cleared, and how many are not known yet."""
    evidence = evidence_from_json(stored)
    rows = [row for row in FoundConfusion.objects.filter(student=student.user) if row.confusion in CONFUSIONS]
    current = [row for row in rows if row.cleared_at is None]
    usual = _usual(student, [row.confusion for row in current])
    found = []
    for row in current:
        held = evidence.get(row.confusion)
        found.append(
            {
                "confusion": CONFUSIONS[row.confusion],
                "shown_at": row.shown_at,
                "taken": held.times_taken if held else 0,
                "offered": held.times_offered if held else 0,
                "usual": usual.get(row.confusion),
            }
        )
    gone = [(row.cleared_at, row) for row in rows if row.cleared_at]
    gone.sort(key=lambda pair: pair[0], reverse=True)
    cleared = [{"confusion": CONFUSIONS[row.confusion], "row": row} for _, row in gone]
    seldom = [c for c in CATALOGUE if c.slug not in evidence or evidence[c.slug].times_offered < LEAST_OFFERS]
    return {
        "found": found,
        "cleared": cleared,
        "total": len(CATALOGUE),
        "unknown": len(seldom),
        "least": LEAST_OFFERS,
        "in_course": student.course is not None,
    }


def _usual(student: Student, slugs: Sequence[str]) -> dict[str, int]:
    """Of 100 offers, how many are taken in the student's course; nothing where the course is too small to hide anybody."""
    if student.course is None or not slugs:
        return {}
    learning = Enrolment.objects.filter(course=student.course, role=Enrolment.Role.STUDENT).count()
    if learning < FEWEST_IN_COURSE:
        return {}
    sums = CohortConfusion.objects.filter(cohort=cohort_of(student.course), confusion__in=slugs)
    return {row.confusion: round(100 * cohort_rate(row.taken, row.offered)) for row in sums}


def remembered(student: Student) -> dict[str, Any]:
    """Herbs and pairs by memory: due, being learned, well held. What left the materia medica is passed over."""
    herbs: list[dict[str, Any]] = []
    pairs: list[dict[str, Any]] = []
    for row in Memory.objects.filter(student=student.user).order_by("due_at", "first", "second"):
        parts = [student.medica.rows.get(slug) for slug in (row.first, row.second) if slug]
        if None in parts:
            continue
        held = memory_from_json(row.state)
        standing = DUE if row.due_at <= student.now else HELD if held.stability >= HELD_DAYS else LEARNING
        entry = {
            "parts": parts,
            "standing": standing,
            "words": MEMORY_WORDS[standing],
            "due_at": row.due_at,
            "met_at": held.last_review,
            "slugs": ",".join(part.slug for part in parts if part),
        }
        (pairs if row.second else herbs).append(entry)
    return {"herbs": _memory_told(herbs), "pairs": _memory_told(pairs)}


def _memory_told(rows: list[dict[str, Any]]) -> dict[str, Any]:
    by_standing = {name: [row for row in rows if row["standing"] == name] for name in MEMORY_WORDS}
    counts = [(name, MEMORY_WORDS[name], len(found)) for name, found in by_standing.items()]
    return {
        "rows": rows,
        "chart": charts.shares(counts) if rows else None,
        "due": by_standing[DUE][:LONGEST_LIST],
        "more_due": max(0, len(by_standing[DUE]) - LONGEST_LIST),
        "next": next((row for row in rows if row["standing"] != DUE), None),
    }


def true_signs_in(pattern: Any) -> tuple[int, ...]:
    """Signs of the four axes in a stored pattern: a list of degrees, or of [degree, root]; or, of old items, by axis."""
    if isinstance(pattern, Mapping):
        degrees = [pattern[axis]["degree"] for axis in AXES]
    else:
        degrees = [entry[0] if isinstance(entry, list) else entry for entry in pattern]
    return tuple((degree > 0) - (degree < 0) for degree in degrees)


def readings_told(user: User) -> dict[str, Any]:
    """The latest readings of graded questions against the true patterns, axis by axis, with weighted kappa from ten on.

    A reading of a question that has no mark yet is left out: its count would tell whether it was right.
    """
    graded = Reading.objects.filter(question__attempt__student=user, question__answer__score__isnull=False)
    columns = graded.order_by("-read_at").values_list("signs", "question__item__content__presentation__pattern")
    pairs = [(reading_signs(signs), true_signs_in(pattern)) for signs, pattern in columns[:LATEST_READINGS] if pattern]
    rows = [
        {"title": capital(axis)} | axis_told([(read[n], true[n]) for read, true in pairs])
        for n, axis in enumerate(AXES)
    ]
    return {
        "rows": rows,
        "total": len(pairs),
        "missing": max(0, ENOUGH_FOR_READINGS - len(pairs)),
        "enough": ENOUGH_FOR_READINGS,
        "is_latest": len(pairs) == LATEST_READINGS,
        "latest": LATEST_READINGS,
    }


def axis_told(pairs: Sequence[tuple[int, int]]) -> dict[str, Any]:
    """(read, true) signs on one axis counted: right, missed, invented, contrary; kappa where it can be told."""
    kappa = None
    if len(pairs) >= ENOUGH_FOR_READINGS:
        try:
            kappa = weighted_kappa([read for read, _ in pairs], [true for _, true in pairs], SIGNS)
        except ValueError:  # both said one thing throughout
            kappa = None
    return {
        "right": sum(read == true for read, true in pairs),
        "missed": sum(bool(true and not read) for read, true in pairs),
        "invented": sum(bool(read and not true) for read, true in pairs),
        "contrary": sum(read * true < 0 for read, true in pairs),
        "kappa": kappa
        and {"value": _signed(kappa.value), "low": _signed(kappa.low), "high": _signed(min(kappa.high, 1))},
    }


def _signed(value: float) -> str:
    """Two decimals with a true minus sign."""
    return f"{value:.2f}".replace("-", "\u2212")


def over_time(student: Student, learner: Learner, facets: Sequence[str]) -> dict[str, Any]:
    """A line for each skill that is known now, by groups, from the days kept and the last day of work; from two days on."""
    newest = Standing.objects.filter(student=student.user).order_by("-day")[:DAYS_DRAWN]
    days = list(newest)[::-1]
    if learner.changed_at and learner.answers:
        # The last day of work is kept only when another one begins.
        day = learner.changed_at.astimezone(UTC).date()
        days = [row for row in days if row.day < day]
        told = (skill(ability_from_json(learner.ability), facet) for facet in facets)
        figures = {found.facet: [found.value * UNIT, found.error * UNIT] for found in told}
        days.append(Standing(day=day, skills=figures, answers=learner.answers))
    groups = []
    if len(days) >= ENOUGH_DAYS:
        for slug, heading, wanted in (
            ("axes", "The four axes", [f for f in facets if f.startswith("axis:")]),
            ("classes", "Action classes", [f for f in facets if f.startswith("action:")]),
        ):
            strips = [found for facet in wanted if (found := _strip(student, facet, days))]
            if strips:
                groups.append({"slug": slug, "heading": heading, "strips": strips, "table": _days_table(strips, days)})
    return {"groups": groups, "days": len(days), "missing": max(0, ENOUGH_DAYS - len(days))}


def _strip(student: Student, facet: str, days: Sequence[Standing]) -> dict[str, Any] | None:
    points = {
        row.day: chance_in_100(row.skills[facet][0] / UNIT, row.skills[facet][1] / UNIT)
        for row in days
        if facet in row.skills
    }
    if not points:
        return None
    drawn = [(day, *figures) for day, figures in points.items()]
    return {
        "slug": facet.replace(":", "-"),
        "title": student.title(facet),
        "points": points,
        "chart": charts.strip(drawn, low=GUESSED, high=100, ticks=(25, 50, 75, 100)),
    }


def _days_table(strips: Sequence[Mapping[str, Any]], days: Sequence[Standing]) -> list[dict[str, Any]]:
    """(day, answers, (value, low, high) or None for each skill) rows, the latest first."""
    return [
        {"day": row.day, "answers": row.answers, "cells": [strip["points"].get(row.day) for strip in strips]}
        for row in reversed(days)
    ]
