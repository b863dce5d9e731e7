"""When an herb, or a pair of herbs easily taken for one another, should be met again: the mapping to the ``fsrs`` library.

The library asks how well something was recalled on a scale of four. Nobody is asked here: the four-way outcome of a graded
answer decides. Its fourth step (recalled without effort) is never used, since no answer shows that. Intervals are whole days
without chance, and there are no repetitions within minutes. The clock is an argument.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from fsrs import Card, Rating, Scheduler, State

from quizzes.engine.grading import BOTH_RIGHT, BOTH_WRONG, RIGHT_FOR_WRONG_REASON, UNSAFE, WRONG_FOR_RIGHT_REASON

RECALLED: Final[Mapping[str, Rating]] = {
    BOTH_RIGHT: Rating.Good,
    RIGHT_FOR_WRONG_REASON: Rating.Hard,
    WRONG_FOR_RIGHT_REASON: Rating.Again,
    BOTH_WRONG: Rating.Again,
    UNSAFE: Rating.Again,
}
SCHEDULER: Final = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)


class UnknownOutcomeError(ValueError):
    """An outcome that no grade has."""


@dataclass(frozen=True)
class Memory:
    """What is kept of one herb or pair: stability in days, difficulty from 1 to 10, the library's state and step, due, last
    met."""

    stability: float
    difficulty: float
    state: int
    step: int | None
    due: datetime
    last_review: datetime


def _in_utc(at: datetime) -> datetime:
    if at.tzinfo is None:
        raise ValueError("A time without its zone says nothing; pass an aware one.")
    return at.astimezone(UTC)


def reviewed(memory: Memory | None, outcome: str, at: datetime) -> Memory:
    """The memory after a graded answer. A time before the last one (a clock was set back) counts as the last one.

    Raises UnknownOutcomeError for an outcome that is not one of ``grading.OUTCOMES``.
    """
    if outcome not in RECALLED:
        raise UnknownOutcomeError(f"There is no outcome {outcome!r}.")
    at = _in_utc(at)
    if memory is not None:
        at = max(at, memory.last_review)
    after, _ = SCHEDULER.review_card(_as_kept(memory, at), RECALLED[outcome], at)
    if after.stability is None or after.difficulty is None:  # never so after a review; for the type's sake
        raise ValueError("The library kept no memory.")
    return Memory(after.stability, after.difficulty, int(after.state), after.step, after.due, at)


def _as_kept(memory: Memory | None, at: datetime) -> Card:
    # A number is always given: without one the library takes the time of day and waits.
    if memory is None:
        return Card(card_id=0, due=at)
    return Card(
        card_id=0,
        state=State(memory.state),
        step=memory.step,
        stability=memory.stability,
        difficulty=memory.difficulty,
        due=memory.due,
        last_review=memory.last_review,
    )


def is_due(memory: Memory, at: datetime) -> bool:
    """Whether it is time to meet it again."""
    return memory.due <= _in_utc(at)


def recall(memory: Memory, at: datetime) -> float:
    """Probability that it would be recalled at a time, 1 on the day it was met."""
    return float(SCHEDULER.get_card_retrievability(_as_kept(memory, at), max(_in_utc(at), memory.last_review)))


def memory_to_json(memory: Memory) -> dict[str, Any]:
    """The memory as plain numbers and ISO 8601 times."""
    return {
        "stability": round(memory.stability, 4),
        "difficulty": round(memory.difficulty, 4),
        "state": memory.state,
        "step": memory.step,
        "due": memory.due.isoformat(),
        "last_review": memory.last_review.isoformat(),
    }


def memory_from_json(stored: Mapping[str, Any]) -> Memory:
    """The memory that was stored."""
    return Memory(
        float(stored["stability"]),
        float(stored["difficulty"]),
        int(stored["state"]),
        stored["step"],
        datetime.fromisoformat(stored["due"]).astimezone(UTC),
        datetime.fromisoformat(stored["last_review"]).astimezone(UTC),
    )
