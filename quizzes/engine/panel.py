"""Marks against a panel: script concordance, where no answer is right but some are nearer to what practitioners say.

Aggregate scoring: B. Charlin, L. Roy, C. Brailovsky, F. Goulet and C. van der Vleuten, Teaching and Learning in Medicine 12
(2000) 189-195; J. P. Fournier, A. Demeester and B. Charlin, BMC Medical Informatics and Decision Making 8 (2008) 18.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import mean, stdev
from typing import Final

FULL: Final = 1000
COUNTED_FROM: Final = 10  # panellists from which on a mark counts
FORMATIVE_FROM: Final = 5  # from which on one is shown; below, the spread alone
# Standing of a panel's answers to one item.
COUNTED, FORMATIVE, UNSCORED, SPLIT = "counted", "formative", "unscored", "split"


def standing(votes: Sequence[int]) -> str:
    """Whether an item counts: by the number of panellists, and ``split`` where two answers that are not neighbours are both
    modal: such an item means two things, and is dropped. ``votes`` are counts by answer, in the order of the scale."""
    modal = [answer for answer, count in enumerate(votes) if count and count == max(votes)]
    if modal and modal[-1] - modal[0] >= len(modal):
        return SPLIT
    panellists = sum(votes)
    if panellists >= COUNTED_FROM:
        return COUNTED
    return FORMATIVE if panellists >= FORMATIVE_FROM else UNSCORED


def credits(votes: Sequence[int]) -> list[Fraction]:
    """Credit of each answer: its votes over the votes of the modal answer. ValueError for an empty panel."""
    if not any(votes):
        raise ValueError("No panellist has answered this item.")
    return [Fraction(count, max(votes)) for count in votes]


def mark_lean(votes: Sequence[int], answer: int) -> int | None:
    """The mark of an answer in thousandths; None where the panel is too small or split."""
    if standing(votes) not in (COUNTED, FORMATIVE):
        return None
    return int(FULL * credits(votes)[answer])


def panellist_score(answers: Sequence[int], panel: Sequence[Sequence[int]]) -> float:
    """A panellist's mean credit (0 to 1), each item scored by the votes of the *others*: nobody is their own measure.

    ``answers`` are the panellist's own by item; ``panel`` the counts by item, the panellist included.
    """
    earned = Fraction(0)
    for answer, votes in zip(answers, panel, strict=True):
        others = [count - (number == answer) for number, count in enumerate(votes)]
        earned += credits(others)[answer]
    return float(earned / len(answers))


@dataclass(frozen=True)
class Standardised:
    """A result beside the panel's: z, and on the scale on which the panel has mean 80 and standard deviation 5."""

    z: float
    scaled: float


def standardised(score: float, panel: Sequence[float]) -> Standardised:
    """A score in units of the panel's own scores (sample standard deviation; the scale of 80 and 5 is that of Charlin et al.,
    Teaching and Learning in Medicine 22 (2010) 180-186). ValueError below two panellists or where all have one score."""
    if len(set(panel)) < 2:
        raise ValueError("A panel needs two members with different scores to be a measure.")
    z = (score - mean(panel)) / stdev(panel)
    return Standardised(z, 80 + 5 * z)
