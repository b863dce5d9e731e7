"""Difficulties fitted again from the answers to items drawn by lot."""

from io import StringIO

import numpy as np
import pytest
from django.core.management import call_command

from lessons.engine import Constraints
from lessons.models import Item
from lessons.services import freeze_items
from quizzes import calibrating
from quizzes.calibrating import NAMES, calibrate, features_of, judged
from quizzes.engine.learner import success
from quizzes.models import Answer, Attempt, Question
from tests import people

pytestmark = pytest.mark.django_db
FAMILIES = ("best-fit", "point-of-difference", "taste-to-effect", "preparation")


@pytest.fixture
def items(maker) -> list[Item]:
    return freeze_items(contents=[maker.make(FAMILIES[seed % 4], seed, Constraints()) for seed in range(60)])


def test_the_judged_weights_give_the_prior_of_every_item(items):
    """The same sum by another route: what the engine wrote into the item when it was made."""
    for item in items:
        assert 1000 * float(np.dot(features_of(item), judged())) == pytest.approx(item.difficulty, abs=1)


def answered_by_lot(items: list[Item], count: int, harder: str, by: float) -> None:
    """Answers of students of all abilities to items drawn by lot, one family of which is harder than was judged."""
    rng = np.random.default_rng(5)
    student = people.student()
    drill = Attempt.objects.create(student=student, title="By lot", length=count, grading_version="2", state="finished")
    for number in range(count):
        item = items[int(rng.integers(len(items)))]
        ability = float(rng.normal(0, 1))
        chance = success(ability, item.difficulty / 1000 + by * (item.family == harder), 0.25)
        right = rng.random() < chance
        attempt = drill if number < 1 else Attempt.objects.create(
            student=student, title="By lot", length=1, grading_version="2", state="finished"
        )  # fmt: skip
        question = Question.objects.create(attempt=attempt, position=1, item=item, is_random=True)
        Answer.objects.create(
            question=question, choice=0, reason=0, reasoned_at=question.attempt.started_at, score=0,
            outcome="both-right" if right else "both-wrong", ability_before=round(1000 * ability),
        )  # fmt: skip


def test_below_two_hundred_answers_nothing_is_changed(items):
    answered_by_lot(items, 20, "best-fit", 1.0)
    assert calibrate() is None
    out = StringIO()
    call_command("calibrate", stdout=out)
    assert "Fewer than 200 answers" in out.getvalue()


def test_a_family_that_is_harder_than_judged_is_found_so(items, monkeypatch):
    before = {item.pk: item.difficulty for item in items}
    answered_by_lot(items, 900, "preparation", 1.2)
    out = StringIO()
    call_command("calibrate", "--dry-run", stdout=out)
    assert {item.pk: item.difficulty for item in Item.objects.filter(pk__in=before)} == before
    fitted = calibrate()
    moved = {name: found - was for name, (was, found) in fitted.weights.items()}
    families = {name: moved[name] for name in FAMILIES}
    assert max(families, key=families.__getitem__) == "preparation"
    assert moved["preparation"] > 0.4
    now = Item.objects.in_bulk(before)
    rise = {
        name: np.mean([now[pk].difficulty - was for pk, was in before.items() if now[pk].family == name])
        for name in FAMILIES
    }
    assert rise["preparation"] > 400
    assert abs(rise["best-fit"]) < 350
    assert "900 answers" in out.getvalue()
    assert set(NAMES) == set(fitted.weights)
    assert fitted.items and fitted.answers >= calibrating.LEAST
