"""The bench on which items are judged: the data files read once, and the surveys kept between items."""

import zlib
from collections import OrderedDict
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from tests.oracle.claims import Vocabulary, rows
from tests.oracle.solver import VERDICTS, Array, Candidate, Question, Survey, survey, weight_table

Item = Mapping[str, Any]
Found = tuple[Candidate, Survey]

TOLERANCE = 1e-9
MARGIN = 0.10
KEPT = 60_000  # surveys; one takes about 2 kB


def differ(one: float, other: float) -> bool:
    """Whether two figures are further apart than rounding explains."""
    return abs(one - other) > TOLERANCE


def sign(degree: float) -> int:
    """-1, 0 or 1."""
    return (degree > 0) - (degree < 0)


def names(result: Survey) -> str:
    """The verdicts possible, in words."""
    return " or ".join(VERDICTS[code] for code in sorted(result.possible))


def number_of(ask: Question) -> int:
    """A number that stands for a question, so that its random weights are the same in every run."""
    return zlib.crc32(repr((ask.site, ask.action, ask.pattern, ask.follows, ask.constitution)).encode())


@lru_cache(maxsize=4096)
def weights_for(ask: Question) -> Array:
    """The weightings tried for a question: the same for every part, so that fits may be compared row by row."""
    return weight_table(number_of(ask))


class Bench:
    """Vocabulary and rows under one teaching set, and what brute force found of parts before questions."""

    def __init__(self, folder: Path, teaching_set: str | None = None) -> None:
        self.words = Vocabulary(folder, teaching_set)
        self.rows = rows(folder, self.words)
        self.kept: OrderedDict[tuple[str, Question], Found] = OrderedDict()

    def found(self, part: str, ask: Question) -> Found:
        """The candidate's figures and its survey, from the store if it was asked before."""
        known = self.kept.get((part, ask))
        if known is None:
            candidate = Candidate.of(self.rows[part], ask)
            known = candidate, survey(candidate, weights_for(ask), number_of(ask))
            self.kept[part, ask] = known
            if len(self.kept) > KEPT:
                self.kept.popitem(last=False)
        return known
