"""The mapping to the spacing library: which outcome is which of its steps, and a clock that may be set back."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from fsrs import Card, Rating, Scheduler

from quizzes.engine import OUTCOMES
from quizzes.engine.learner import (
    UnknownOutcomeError,
    is_due,
    memory_from_json,
    memory_to_json,
    recall,
    reviewed,
)

START = datetime(2025, 3, 1, 9, 30, tzinfo=UTC)
STEP_OF = {
    "both-right": Rating.Good,
    "right-for-a-wrong-reason": Rating.Hard,
    "wrong-for-a-right-reason": Rating.Again,
    "both-wrong": Rating.Again,
    "unsafe": Rating.Again,
}
WAYS = [(one, other, third) for one in OUTCOMES for other in OUTCOMES for third in ("both-right", "both-wrong")]


def test_every_outcome_of_a_grade_is_mapped():
    assert set(STEP_OF) == set(OUTCOMES)


@pytest.mark.parametrize("way", WAYS)
def test_a_way_of_outcomes_is_the_librarys_own_way(way):
    """The library called with the step that the outcome stands for, at the same times, without chance and without minutes."""
    library = Scheduler(learning_steps=[], relearning_steps=[], enable_fuzzing=False)
    card, memory = Card(card_id=7, due=START), None
    for number, outcome in enumerate(way):
        at = START + timedelta(days=5 * number, hours=number)
        card, _ = library.review_card(card, STEP_OF[outcome], at)
        memory = reviewed(memory, outcome, at)
        assert (memory.stability, memory.difficulty, memory.due) == (card.stability, card.difficulty, card.due)
    assert memory.due - memory.last_review >= timedelta(days=1)
    assert recall(memory, memory.due) == library.get_card_retrievability(card, card.due)


def test_better_outcomes_come_back_later():
    dues = [reviewed(None, outcome, START).due for outcome in ("both-wrong", "right-for-a-wrong-reason", "both-right")]
    assert dues == sorted(dues)
    assert dues[0] < dues[2]


def test_a_clock_set_back_does_no_harm():
    first = reviewed(None, "both-right", START)
    assert reviewed(first, "both-right", START - timedelta(days=400)) == reviewed(first, "both-right", START)
    assert recall(first, START - timedelta(days=9)) == 1.0


def test_another_zone_is_the_same_time():
    there = START.astimezone(timezone(timedelta(hours=-7)))
    assert reviewed(None, "both-wrong", there) == reviewed(None, "both-wrong", START)
    with pytest.raises(ValueError, match="zone"):
        reviewed(None, "both-wrong", START.replace(tzinfo=None))


def test_an_unknown_outcome_is_refused():
    with pytest.raises(UnknownOutcomeError):
        reviewed(None, "good", START)


def test_it_is_due_when_its_time_has_come():
    memory = reviewed(None, "both-right", START)
    assert not is_due(memory, START)
    assert is_due(memory, memory.due)
    assert recall(memory, memory.due) < recall(memory, START)


def test_it_is_stored_as_plain_numbers():
    memory = reviewed(reviewed(None, "both-right", START), "unsafe", START + timedelta(days=3))
    again = memory_from_json(memory_to_json(memory))
    assert (again.due, again.last_review, again.state, again.step) == (
        memory.due,
        memory.last_review,
        memory.state,
        memory.step,
    )
    assert again.stability == pytest.approx(memory.stability, abs=1e-4)
    assert memory_to_json(again) == memory_to_json(memory)
