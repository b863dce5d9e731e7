"""What practice asks a student next: what is known of them, the items there are, and the choice among these."""

import secrets
from collections.abc import Container
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from django.utils import timezone

from lessons.bank import QuestionMaker, question_maker
from lessons.engine import Constraints, NoValidItemError
from lessons.engine import Item as OpenedItem
from lessons.models import Course, Item, User
from lessons.services import item_row

from .drawing import SEED_BITS, drill_families
from .engine import learner as model
from .engine.learner.pool import Ints
from .engine.learner.selection import NOBODY
from .learning import cohort_of, facets_of, names_of, rates_of, system_of, told
from .models import Attempt, Learner, Memory, Question
from .pool import approved_pool, offers_of, pool_of_rows

MET_AT_MOST = 600  # questions looked back on: what was met before them may come again
DUE_LOOKED_AT = 500
DUE_AT_MOST = 20  # of what is due, the longest due
RECENT = 3  # questions before this one that it should differ from
ENOUGH = 60  # approved items not met yet; with fewer, fresh questions are made beside them
FRESH = 14  # fresh questions to choose from
TRIES = 120  # and at most so many, where a confusion is to be practised that few questions offer
NOTHING = (
    "There are no questions to practise with yet. Ask whoever teaches the course, or start a drill of your own choice."
)
ALL_MET = "You have met every question there is. Stop here; another day they may come again."


@dataclass(frozen=True)
class State:
    """What is known of a student when the next item is chosen."""

    ability: model.Ability
    shown: tuple[str, ...] = ()
    suspected: tuple[str, ...] = ()
    due_herbs: list[str] = field(default_factory=list)
    due_pairs: list[tuple[str, str]] = field(default_factory=list)
    met: list[int] = field(default_factory=list)


def state_of(student: User, course: Course | None, at: datetime, known: Container[str]) -> State:
    """What is known of a student: four queries, whatever the length of the history.

    ``known`` are the parts there are: what is due of others can never be met, and must not stand before the rest.
    """
    found = Learner.objects.filter(student=student).values_list("ability", "confusions").first()
    ability, confusions = found or ({}, {})
    due = list(
        Memory.objects.filter(student=student, due_at__lte=at)
        .order_by("due_at")
        .values_list("first", "second")[:DUE_LOOKED_AT]
    )
    due = [(first, second) for first, second in due if first in known and (not second or second in known)]
    met = list(
        Question.objects.filter(attempt__student=student)
        .order_by("-pk")
        .values_list("item_id", flat=True)[:MET_AT_MOST]
    )
    met.reverse()
    record = model.evidence_from_json(confusions)
    rates = rates_of(cohort_of(course), record)
    return State(
        ability=model.ability_from_json(ability),
        shown=model.shown(record, rates),
        suspected=model.suspected(record, rates),
        due_herbs=[first for first, second in due if not second][:DUE_AT_MOST],
        due_pairs=[(first, second) for first, second in due if second][:DUE_AT_MOST],
        met=met,
    )


@dataclass(frozen=True)
class Candidate:
    """An item that could come next: its row, and the opened item where it is not stored yet."""

    row: Item
    fresh: OpenedItem | None = None


@dataclass(frozen=True)
class Chosen:
    """What comes next, and why."""

    candidate: Candidate
    why: list[str]


def choose(attempt: Attempt, focus: str) -> Chosen:
    """What an attempt asks next. NoValidItemError when there is nothing to practise with."""
    maker = question_maker(attempt.course.teaching_set.slug if attempt.course else None)
    pool = approved_pool(maker)
    state = state_of(attempt.student, attempt.course, timezone.now(), maker.materia_medica.rows)
    recent = _recent(attempt, pool, maker)
    rng = np.random.Generator(np.random.PCG64(secrets.randbits(SEED_BITS)))

    def among(pool: model.Pool, met: Ints) -> model.Choice:
        return model.choose(
            pool, ability=state.ability, shown=state.shown, suspected=state.suspected, focus=focus, due_herbs=state.due_herbs,
            due_pairs=state.due_pairs, met=met, recent=recent, rng=rng,
        )  # fmt: skip

    met = pool.rows(state.met)
    unmet = np.setdiff1d(np.arange(len(pool)), met, assume_unique=False)
    wanted = focus or next(iter(state.shown), "")
    is_served = not wanted or bool(np.any(pool.offers[unmet] & model.BIT[wanted]))
    if len(unmet) >= ENOUGH and is_served:
        choice = among(pool, met)
        row = Item.objects.get(pk=int(pool.ids[choice.row]))
        return Chosen(Candidate(row), told(choice.reason, names_of(maker)))
    stored = [int(number) for number in pool.ids[rng.permutation(unmet)[:ENOUGH]]]
    candidates = _beside_the_pool(attempt, state, pool, stored, wanted, maker)
    choice = among(pool_of_rows([candidate.row for candidate in candidates], maker), NOBODY)
    return Chosen(candidates[choice.row], told(choice.reason, names_of(maker)))


def _beside_the_pool(
    attempt: Attempt, state: State, pool: model.Pool, unmet: list[int], wanted: str, maker: QuestionMaker
) -> list[Candidate]:
    """What there is where the bank has little left, or nothing that offers the confusion ``wanted``: some of its items not met
    yet and fresh ones; else those met longest ago, but for this session's. NoValidItemError when there is none."""
    stored = [Candidate(row) for row in Item.objects.filter(pk__in=unmet)]
    fresh = _fresh(maker, attempt.course, wanted)
    hashes = [candidate.row.content_hash for candidate in fresh]
    known = set(
        Item.objects.filter(content_hash__in=hashes, questions__attempt__student=attempt.student).values_list(
            "content_hash", flat=True
        )
    )
    found = stored + [candidate for candidate in fresh if candidate.row.content_hash not in known]
    if not found:
        here = set(attempt.questions.values_list("item_id", flat=True)) if attempt.pk else set()
        # What still stands open in a drill is not explained beforehand.
        waiting = Question.objects.filter(attempt__student=attempt.student, attempt__state=Attempt.State.OPEN)
        here |= set(waiting.filter(answer__score__isnull=True).values_list("item_id", flat=True))
        older = [item for item in dict.fromkeys(state.met) if item in pool.row_of and item not in here]
        found = [Candidate(row) for row in Item.objects.filter(pk__in=older[:ENOUGH])]
    if not found:
        raise NoValidItemError(ALL_MET if attempt.length else NOTHING)
    return found


def _recent(attempt: Attempt, pool: model.Pool, maker: QuestionMaker) -> list[model.Served]:
    """The last few items of the session, the latest last."""
    own = attempt.questions.order_by("-position").values_list("item_id", flat=True)[:RECENT] if attempt.pk else ()
    last = list(own)[::-1]
    beside = {}
    if any(item not in pool.row_of for item in last):
        systems = system_of(maker)
        for row in Item.objects.filter(pk__in=last):
            beside[row.pk] = model.Served(facets_of(row, systems), row.key_part, tuple(row.herbs), row.family)
    return [beside[item] if item in beside else model.served(pool, pool.row_of[item]) for item in last]


def _fresh(maker: QuestionMaker, course: Course | None, wanted: str) -> list[Candidate]:
    """A few fresh questions of the families that students may meet unreviewed, not stored yet; more are tried while none of
    them offers the confusion ``wanted``."""
    names = list(drill_families(course).trusted)
    found: list[Candidate] = []
    offering = 0
    for number in range(TRIES if names else 0):
        if number >= FRESH and (not wanted or offering):
            break
        try:
            made = maker.make(names[number % len(names)], secrets.randbits(SEED_BITS), Constraints())
        except NoValidItemError:
            continue
        row = item_row(made)
        offering += bool(wanted and offers_of(row.family, row.faults) & model.BIT[wanted])
        found.append(Candidate(row, made))
    return found
