"""Confidence in a choice, scored by a proper rule: nobody gains by saying other than what they think."""

from typing import Final

FULL: Final = 1000
# What can be said, in hundredths: the chance of being right, from sheer guessing upwards.
LEVELS: Final = (25, 40, 55, 70, 85, 100)
# The least weight, in hundredths, with which whole thousandths keep the rule proper for LEVELS: with 3 or less, rounding can
# make it pay to say more than one thinks. Checked for every full mark in the tests.
LEAST_WEIGHT: Final = 5


def mark_confidence(confidence: int, right: bool) -> int:
    """What a stated chance of being right earns, in thousandths: 1000 (1 - (o - p)^2), where o is 1 for right and 0 for wrong.

    The quadratic rule (G. W. Brier, Monthly Weather Review 78, 1950, 1-3, for two outcomes, turned so that more is better): it is
    greatest on average for the chance one holds. ``confidence`` is in hundredths, 0 to 100; ValueError beyond.
    """
    if not 0 <= confidence <= 100:
        raise ValueError("A chance lies between 0 and 100 in the hundred.")
    missed = 100 - confidence if right else confidence
    return FULL - missed * missed * FULL // 10_000
