"""Graded answers with a reading of the pattern before them."""

from collections.abc import Callable, Sequence

from quizzes.engine import reading_number
from quizzes.engine.reading import true_signs
from quizzes.models import Reading
from tests import factories, people

Signs = Sequence[int]


def as_it_is(number: int, signs: Signs) -> Signs:
    """The pattern read right."""
    return signs


def read_patterns(count: int, misread: Callable[[int, Signs], Signs] = as_it_is) -> list[tuple[Signs, Signs]]:
    """Answers of Wenna's with a reading each, as ``misread`` makes it of the number from 1 and the truth; (read, true) signs."""
    drill = factories.attempt(people.student(), length=count)
    found = []
    for position in range(1, count + 1):
        asked = factories.question(drill, position)
        true = true_signs(asked.item.opened)
        read = misread(position, true)
        Reading.objects.create(question=asked, signs=reading_number(read))
        factories.answered(asked)
        found.append((read, true))
    return found
