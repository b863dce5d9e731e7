"""A drill looks on for a new skeleton, and says so only when a family has none."""

from itertools import count

import pytest

from lessons.engine import NoValidItemError
from quizzes.drawing import LOOKS, Families, draw


class FewSkeletons:
    """A maker whose items show each skeleton ``times`` times before the next, ``most`` skeletons in all."""

    def __init__(self, times: int, most: int = 1000) -> None:
        self.times, self.most, self.made = times, most, count()

    def make(self, family, seed, constraints):
        number = min(next(self.made) // self.times, self.most - 1)
        return {"skeleton": f"{family}-{number}", "response": "rank", "presentation": None}


def test_it_looks_on_until_a_skeleton_is_new():
    maker = FewSkeletons(times=8 * LOOKS)
    drawn = draw(maker, families=Families(("best-fit",)), action="", length=20)
    assert len({place["skeleton"] for place in drawn.places}) == 20


def test_the_other_kinds_fill_the_drill_when_one_has_no_more():
    maker = FewSkeletons(times=1, most=1)
    drawn = draw(maker, families=Families(("best-fit", "caution", "kinds")), action="", length=3)
    assert len({place["skeleton"] for place in drawn.places}) == 3


def test_a_family_without_a_further_skeleton_is_refused_in_a_sentence():
    with pytest.raises(NoValidItemError, match="fewer questions"):
        draw(FewSkeletons(times=1, most=3), families=Families(("best-fit",)), action="", length=5)
