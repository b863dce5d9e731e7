"""Builders for tests of how a course grades: versions of its weights, drills answered in a known way, regrades."""

import uuid
from typing import Any

from lessons.models import User
from quizzes import services
from quizzes.engine import reasons_for
from quizzes.engine.reading import true_signs
from quizzes.grading_schemes import change_scheme, scheme_of
from quizzes.models import Answer, Attempt, GradingScheme, Question, Regrade
from quizzes.regrading import regrade
from tests import factories, people

Asks = GradingScheme.Asks
HALVES = {"reading": 0, "choice": 50, "reason": 50, "confidence": 0, "asks_reading": Asks.NEVER}
ANSWERS = {"reading": 0, "choice": 80, "reason": 20, "confidence": 0, "asks_reading": Asks.NEVER}
ALL_FOUR = {"reading": 20, "choice": 40, "reason": 30, "confidence": 10, "asks_reading": Asks.ALWAYS}


def set_weights(values: dict[str, Any], course: Any = None) -> GradingScheme:
    """The next version of a course, with these weights."""
    course = course or people.course()
    latest = scheme_of(course)
    return change_scheme(course=course, by=people.owner(), base=latest.number if latest else 0, **values)


def regraded(scheme: GradingScheme, code: uuid.UUID | None = None, **values: Any) -> Regrade:
    """A regrade of a scheme's course."""
    told = {"course": scheme.course, "scheme": scheme, "by": people.instructor(), "reason": "A test."}
    return regrade(**told | {"code": code or uuid.uuid4()} | values)


def work(student: User, *answers: tuple[bool, bool], course: Any = None) -> Attempt:
    """A drill with an answer for each pair of (right answer, decisive reason), and with what else it asks read and said right."""
    drill = services.start_attempt(
        student=student, code=uuid.uuid4(), action="", length=len(answers), course=course or people.course()
    )
    for position, (right, decisive) in enumerate(answers, 1):
        asked = factories.question(drill, position)
        if asked.asks_reading:
            services.record_reading(question=asked, signs=true_signs(asked.item.opened))
        choice = factories.key_of(asked) if right else safe_wrong_choice(asked)
        services.record_choice(question=asked, choice=choice, confidence=70)
        statuses = [reason["status"] for reason in reasons_for(asked.item.opened, choice)]
        reason = (
            statuses.index("decisive")
            if decisive
            else next(n for n, s in enumerate(statuses) if s not in ("decisive", "true"))
        )
        services.record_reason(question=asked, reason=reason)
    drill.refresh_from_db()
    return drill


def safe_wrong_choice(asked: Question) -> int:
    """The first wrong option that is not unsafe."""
    content = asked.item.opened
    return next(
        number
        for number, option in enumerate(content["options"])
        if number != content["key"] and option["verdict"] != "unsafe"
    )


def marks(**lookups: Any) -> list[dict[str, Any]]:
    """Every answer with all its columns, in order."""
    return list(Answer.objects.filter(**lookups).order_by("pk").values())


def scores(drill: Attempt) -> list[int | None]:
    """The marks of a drill in order."""
    return list(
        Answer.objects.filter(question__attempt=drill).order_by("question__position").values_list("score", flat=True)
    )
