"""The one thing to remember after an answer: one sentence about this very item, and what was made of it.

It speaks of the fault that was taken; or of the reason, where the answer was right and its reason was not; or else of the
principle on which the item turns.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from lessons.engine import responses

from . import lessons_apart, lessons_of_cases, lessons_of_states
from .phrases import sentence

Wrong = Callable[[Mapping[str, Any], int], str]
Reasoned = Callable[[Mapping[str, Any], int, Mapping[str, str]], str]
Principle = Callable[[Mapping[str, Any]], str]


@dataclass(frozen=True)
class Lesson:
    """What a family teaches after a wrong answer, after a wrong reason for the right one, and after both were right."""

    wrong: Wrong
    reason: Reasoned
    principle: Principle


LESSONS: Mapping[str, Lesson] = {
    "best-fit": Lesson(lessons_of_cases.fault, lessons_of_cases.best_fit_reason, lessons_of_cases.best_fit),
    "would-aggravate": Lesson(lessons_of_cases.no_harm, lessons_of_cases.harm_reason, lessons_of_cases.harmful),
    "order-by-fit": Lesson(lessons_of_cases.out_of_order, lessons_of_cases.order_reason, lessons_of_cases.ranked),
    "name-the-state": Lesson(
        lessons_of_states.other_state, lessons_of_states.state_reason, lessons_of_states.state_named
    ),
    "what-would-have-to-change": Lesson(
        lessons_of_states.other_change, lessons_of_states.change_reason, lessons_of_states.what_stood_in_the_way
    ),
    "caution": Lesson(lessons_of_states.other_person, lessons_of_states.caution_reason, lessons_of_states.gives_way),
    "point-of-difference": Lesson(lessons_apart.other_point, lessons_apart.point_reason, lessons_apart.point),
    "kinds": Lesson(lessons_apart.mismatched, lessons_apart.kinds_reason, lessons_apart.told_apart),
    "place-on-the-plane": Lesson(lessons_apart.misplaced, lessons_apart.place_reason, lessons_apart.placed),
    "taste-to-effect": Lesson(lessons_apart.other_effect, lessons_apart.taste_reason, lessons_apart.by_taste),
    "preparation": Lesson(lessons_apart.other_amount, lessons_apart.preparation_reason, lessons_apart.prepared),
    "new-finding": Lesson(lessons_of_states.leaned, lessons_of_states.finding_reason, lessons_of_states.finding_bears),
}


def remember(item: Mapping[str, Any], choice: int, reason: int | None = None) -> str:
    """One sentence to keep, from an answer (its number) and the reason given for it (its place among those offered).

    ``reason`` may be None where none was asked: then a right answer counts as rightly reasoned. Every herb, quality and figure
    in the sentence is the item's own.
    """
    lesson = LESSONS[item["family"]]
    if item["response"] != "lean" and responses.mark(item, choice) < responses.FULL:
        return sentence(lesson.wrong(item, choice))
    lists = item["because"]
    given = None if reason is None else lists[choice if len(lists) > 1 else 0][reason]
    if given is None or given["status"] == "decisive" or "code" not in given:
        return sentence(lesson.principle(item))
    return sentence(lesson.reason(item, choice, given))
