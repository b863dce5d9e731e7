"""Practice: a session that grows by one question at a time, each chosen for the student, and that can stop anywhere."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from herbs.catalogue import EmptyMateriaMedicaError
from lessons.engine import NoValidItemError
from lessons.models import Course, Item, User
from lessons.services import freeze_items

from . import services
from .choosing import Candidate, Chosen, choose
from .engine import CURRENT
from .engine.learner.selection import LOT
from .grading_schemes import scheme_of
from .models import Attempt, Question

TITLE = "Practice"
MAY_BE_MET = (Item.Review.APPROVED, Item.Review.GENERATED)
FRESH_FOR = timedelta(hours=1)  # what was chosen longer ago is chosen anew: other things are due by then


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
    chosen = choose(attempt, focus)
    try:
        with transaction.atomic():
            attempt.save(force_insert=True)
            _add(attempt, chosen, 1, focus)
    except IntegrityError:
        winner = open_session(student) or Attempt.objects.filter(code=code, student=student).first()
        if winner is None or winner.state != Attempt.State.OPEN:
            raise services.CodeTakenError from None
        return winner
    return attempt


def next_question(*, attempt: Attempt, position: int, focus: str = "", shown_at: datetime | None = None) -> Question:
    """The question at a place of an open session: made when the one before is answered, and found again when asked for twice.

    Raises NoValidItemError when there is nothing to practise with.
    """
    latest, score = attempt.questions.order_by("-position").values_list("position", "answer__score")[0]
    # One at a time: what is begun is finished, or the session stopped.
    if position <= latest or attempt.state != Attempt.State.OPEN or score is None:
        return _asked(attempt, latest)
    chosen = _laid_ready(attempt, focus) or choose(attempt, focus)
    try:
        with transaction.atomic():
            return _add(attempt, chosen, latest + 1, focus, shown_at)
    except IntegrityError:
        if attempt.questions.filter(position__gt=latest).exists():
            return _asked(attempt, latest + 1)  # another device was first
    # What was laid ready had been asked in this session already.
    with transaction.atomic():
        return _add(attempt, choose(attempt, focus), latest + 1, focus, shown_at)


def _asked(attempt: Attempt, position: int) -> Question:
    found: Question = Question.objects.for_panel().get(attempt=attempt, position=position)
    return found


def choose_ahead(*, attempt: Attempt, focus: str = "") -> None:
    """Choose what an open session asks next, so that it is there when the student has read why. Nothing happens where nothing can
    be had: who asks for the next question is told then."""
    if attempt.kind != Attempt.Kind.PRACTICE or attempt.state != Attempt.State.OPEN:
        return
    try:
        chosen = choose(attempt, focus)
    except (NoValidItemError, EmptyMateriaMedicaError):
        return
    ahead = {"focus": focus, "item": _stored(chosen).pk, "why": chosen.why, "at": timezone.now().isoformat()}
    # Unless another device has gone on since: what is laid ready is for the place after the answer just given.
    Attempt.objects.filter(pk=attempt.pk, length=attempt.length).update(ahead=ahead)


def _laid_ready(attempt: Attempt, focus: str) -> Chosen | None:
    """What was chosen when the last answer came, unless it is stale, for another focus, or reviewed away since."""
    ahead = attempt.ahead
    if (
        "item" not in ahead
        or ahead["focus"] != focus
        or timezone.now() - datetime.fromisoformat(ahead["at"]) > FRESH_FOR
    ):
        return None
    row = Item.objects.filter(pk=ahead["item"], review__in=MAY_BE_MET).first()
    return Chosen(Candidate(row), ahead["why"]) if row else None


def stop_practice(*, attempt: Attempt) -> None:
    """End a session, wherever it stands; what was left unanswered is neither right nor wrong. Twice is once."""
    Attempt.objects.filter(pk=attempt.pk, kind=Attempt.Kind.PRACTICE, state=Attempt.State.OPEN).update(
        state=Attempt.State.FINISHED, finished_at=timezone.now()
    )


def _stored(chosen: Chosen) -> Item:
    fresh = chosen.candidate.fresh
    return chosen.candidate.row if fresh is None else freeze_items(contents=[fresh])[0]


def focus_of(attempt: Attempt) -> str:
    """The confusion that a session practises, or empty."""
    return str(attempt.ahead.get("focus", ""))


def _add(attempt: Attempt, chosen: Chosen, position: int, focus: str, shown_at: datetime | None = None) -> Question:
    question = services.add_questions(
        attempt=attempt,
        items=[_stored(chosen)],
        first=position,
        why=chosen.why,
        is_random=chosen.why[1] == LOT,
        shown_at=shown_at,
    )[0]
    Attempt.objects.filter(pk=attempt.pk).update(length=position, ahead={"focus": focus})
    attempt.length = position
    return question
