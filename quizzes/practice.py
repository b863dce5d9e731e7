"""Practice: a session that grows by one question at a time, each chosen for the student, and that can stop anywhere."""

import secrets
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

import numpy as np
from django.db import IntegrityError, transaction
from django.utils import timezone

from lessons.bank import QuestionMaker, question_maker
from lessons.engine import Constraints, NoValidItemError
from lessons.engine import Item as OpenedItem
from lessons.models import Course, Item, User
from lessons.services import freeze_items, item_row

from . import services
from .drawing import SEED_BITS, drill_families
from .engine import CURRENT
from .engine import learner as model
from .engine.learner.pool import Ints
from .engine.learner.selection import LOT, NOBODY
from .grading_schemes import scheme_of
from .learning import cohort_of, facets_of, names_of, rates_of, system_of, told
from .models import Attempt, Learner, Memory, Question
from .pool import approved_pool, pool_of_rows
from .presenting import answer_of

TITLE = "Practice"
MET_AT_MOST = 600  # questions looked back on: what was met before them may come again
DUE_AT_MOST = 20  # of what is due, the longest due
RECENT = 3  # questions before this one that it should differ from
ENOUGH = 60  # approved items not met yet; with fewer, fresh questions are made beside them
FRESH = 14  # fresh questions to choose from
NOTHING = (
    "There are no questions to practise with yet. Ask whoever teaches the course, or start a drill of your own choice."
)


@dataclass(frozen=True)
class State:
    """What is known of a student when the next item is chosen."""

    ability: model.Ability
    shown: tuple[str, ...] = ()
    suspected: tuple[str, ...] = ()
    due_herbs: list[str] = field(default_factory=list)
    due_pairs: list[tuple[str, str]] = field(default_factory=list)
    met: list[int] = field(default_factory=list)


def state_of(student: User, course: Course | None, at: datetime) -> State:
    """What is known of a student: four queries, whatever the length of the history."""
    found = Learner.objects.filter(student=student).values_list("ability", "confusions").first()
    ability, confusions = found or ({}, {})
    due = list(
        Memory.objects.filter(student=student, due_at__lte=at)
        .order_by("due_at")
        .values_list("first", "second")[: 2 * DUE_AT_MOST]
    )
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


def open_session(student: User) -> Attempt | None:
    """The practice session a student has open, if any."""
    sessions = Attempt.objects.filter(student=student, kind=Attempt.Kind.PRACTICE, state=Attempt.State.OPEN)
    return sessions.select_related("course", "scheme").first()


def start_practice(*, student: User, code: UUID, course: Course | None, focus: str = "") -> Attempt:
    """Begin a session with its first question, or go on with the one that is open.

    ``focus`` is the slug of a confusion to practise, or empty. Raises NoValidItemError when there is nothing to practise with,
    and CodeTakenError for a code that is somebody else's.
    """
    if (session := open_session(student)) is not None:
        return session
    attempt = Attempt(
        code=code, student=student, course=course, scheme=scheme_of(course), kind=Attempt.Kind.PRACTICE, title=TITLE,
        length=0, grading_version=CURRENT,
    )  # fmt: skip
    chosen = _choose(attempt, focus)
    try:
        with transaction.atomic():
            attempt.save(force_insert=True)
            _add(attempt, chosen, 1, None)
    except IntegrityError:
        winner = open_session(student) or Attempt.objects.filter(code=code, student=student).first()
        if winner is None:
            raise services.CodeTakenError from None
        return winner
    return attempt


def next_question(*, attempt: Attempt, position: int, focus: str = "", shown_at: datetime | None = None) -> Question:
    """The question at a place of an open session: made when the one before is answered, and found again when asked for twice.

    Raises NoValidItemError when there is nothing to practise with.
    """
    latest: Question | None = Question.objects.for_panel().filter(attempt=attempt).order_by("-position").first()
    if latest is not None:
        answer = answer_of(latest)
        # One at a time: what is begun is finished, or the session stopped.
        if position <= latest.position or attempt.state != Attempt.State.OPEN or answer is None or answer.score is None:
            return latest
    chosen = _choose(attempt, focus)
    place = latest.position + 1 if latest else 1
    try:
        with transaction.atomic():
            return _add(attempt, chosen, place, shown_at)
    except IntegrityError:
        found: Question = Question.objects.for_panel().get(attempt=attempt, position=place)
        return found


def stop_practice(*, attempt: Attempt) -> None:
    """End a session, wherever it stands; what was left unanswered is neither right nor wrong. Twice is once."""
    Attempt.objects.filter(pk=attempt.pk, kind=Attempt.Kind.PRACTICE, state=Attempt.State.OPEN).update(
        state=Attempt.State.FINISHED, finished_at=timezone.now()
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


def _choose(attempt: Attempt, focus: str) -> Chosen:
    maker = question_maker(attempt.course.teaching_set.slug if attempt.course else None)
    pool = approved_pool(maker)
    state = state_of(attempt.student, attempt.course, timezone.now())
    recent = _recent(attempt, state, pool, maker)
    shown = (focus, *(slug for slug in state.shown if slug != focus)) if focus else state.shown
    rng = np.random.Generator(np.random.PCG64(secrets.randbits(SEED_BITS)))

    def among(pool: model.Pool, met: Ints) -> model.Choice:
        return model.choose(
            pool, ability=state.ability, shown=shown, suspected=state.suspected, due_herbs=state.due_herbs,
            due_pairs=state.due_pairs, met=met, recent=recent, rng=rng,
        )  # fmt: skip

    met = pool.rows(state.met)
    unmet = np.setdiff1d(np.arange(len(pool)), met)
    if len(unmet) < ENOUGH:
        stored = Item.objects.filter(pk__in=pool.ids[unmet].tolist())
        candidates = [*(Candidate(row) for row in stored), *_fresh(maker, attempt.course)]
        if candidates:
            choice = among(pool_of_rows([candidate.row for candidate in candidates], maker), NOBODY)
            return Chosen(candidates[choice.row], told(choice.reason, names_of(maker)))
    if not len(pool):
        raise NoValidItemError(NOTHING)
    choice = among(pool, met)
    row = Item.objects.get(pk=int(pool.ids[choice.row]))
    return Chosen(Candidate(row), told(choice.reason, names_of(maker)))


def _recent(attempt: Attempt, state: State, pool: model.Pool, maker: QuestionMaker) -> list[model.Served]:
    """The last few items of the session, the latest last."""
    last = state.met[-min(RECENT, attempt.length) :] if attempt.length else []
    beside = {}
    if any(item not in pool.row_of for item in last):
        systems = system_of(maker)
        for row in Item.objects.filter(pk__in=last):
            beside[row.pk] = model.Served(facets_of(row, systems), row.key_part, tuple(row.herbs))
    return [beside[item] if item in beside else model.served(pool, pool.row_of[item]) for item in last]


def _fresh(maker: QuestionMaker, course: Course | None) -> list[Candidate]:
    """A few fresh questions of the families that students may meet unreviewed, not stored yet."""
    names = list(drill_families(course).trusted)
    found: list[Candidate] = []
    for number in range(FRESH if names else 0):
        try:
            made = maker.make(names[number % len(names)], secrets.randbits(SEED_BITS), Constraints())
        except NoValidItemError:
            continue
        found.append(Candidate(item_row(made), made))
    return found


def _add(attempt: Attempt, chosen: Chosen, position: int, shown_at: datetime | None) -> Question:
    fresh = chosen.candidate.fresh
    item = chosen.candidate.row if fresh is None else freeze_items(contents=[fresh])[0]
    question = services.add_questions(
        attempt=attempt,
        items=[item],
        first=position,
        why=chosen.why,
        is_random=chosen.why[1] == LOT,
        shown_at=shown_at,
    )[0]
    Attempt.objects.filter(pk=attempt.pk).update(length=position)
    attempt.length = position
    return question
