"""A month of one invented student's work in the demo school: simulated, and marked so wherever it is listed."""

import random
from datetime import datetime, timedelta
from uuid import uuid4

from django.utils import timezone

from lessons.engine import responses
from lessons.models import Course, User

from . import services
from .engine import reasons_for
from .engine.learner import confusion_of_fault
from .grading_schemes import Asks, change_scheme, scheme_of
from .models import Attempt, Question

DAYS_AGO = (27, 24, 20, 17, 12, 8, 5, 2)  # of each drill
LENGTH = 10
MIXED = ""
CONFUSION, TAKES_IT = "wrong-moisture", 0.7  # what the student is confused about, and how often that shows
KNOWS, GAINS = 0.45, 0.035  # how often an answer is right in the first drill, and what each drill adds
GIVES_THE_REASON = 0.7  # how often the reason of a right answer is the decisive one
SECONDS = (25, 95)  # from the page to the choice
MARK = "(simulated)"


def simulate_practice(*, course: Course, student: User) -> int:
    """Work a month's drills in the student's place, once; how many answers were given.

    The course gets a version of its grading that asks for the pattern now and then. Everything is written by the services that
    pages use, at times past.
    """
    if scheme_of(course) is None:
        owner = course.enrolments.get(role="owner").user
        change_scheme(
            course=course, by=owner, base=0, reading=25, choice=40, reason=35, confidence=0, asks_reading=Asks.SOME
        )
    if Attempt.objects.filter(student=student).exists():
        return 0
    chance, answers = random.Random(), 0
    for number, days in enumerate(DAYS_AGO):
        drill = services.start_attempt(
            student=student, code=uuid4(), action="", length=LENGTH, family=MIXED, course=course
        )
        begun = timezone.now() - timedelta(days=days, minutes=chance.randrange(300))
        Attempt.objects.filter(pk=drill.pk).update(title=f"{drill.title} {MARK}", started_at=begun)
        at = begun
        for question in Question.objects.for_panel().filter(attempt=drill).order_by("position"):
            services.mark_shown(question=question, at=at)
            at += timedelta(seconds=chance.randint(*SECONDS))
            _answer(question, chance, KNOWS + GAINS * number, at)
            at += timedelta(seconds=SECONDS[0] + chance.randint(*SECONDS))
            answers += 1
    return answers


def _answer(question: Question, chance: random.Random, knows: float, at: datetime) -> None:
    item = question.item.opened
    right = responses.right_response(item)
    if right is None:
        return
    if question.asks_reading:
        services.record_reading(question=question, signs=[chance.choice((-1, 0, 0, 1)) for _ in range(4)])
    tempting = [
        number
        for number, option in enumerate(item["options"])
        if option.get("fault") and confusion_of_fault(item["family"], option["fault"]) == CONFUSION
    ]
    if item["response"] == "choose" and tempting and chance.random() < TAKES_IT:
        choice = chance.choice(tempting)
    elif chance.random() < knows:
        choice = right
    else:
        choice = chance.randrange(responses.count(item))
    reasons = reasons_for(item, choice)
    decisive = next(number for number, reason in enumerate(reasons) if reason["status"] == "decisive")
    reason = decisive if chance.random() < GIVES_THE_REASON else chance.randrange(len(reasons))
    services.record_choice(question=question, choice=choice, at=at)
    services.record_reason(question=question, reason=reason, at=at + timedelta(seconds=SECONDS[0]))
