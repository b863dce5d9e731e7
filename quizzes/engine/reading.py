"""Reading of a pattern: on each axis the sign a student read from the findings, as one number, and its mark."""

from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any, Final

from herbs.engine import AXES

FULL: Final = 1000
SIGNS: Final[Sequence[tuple[int, ...]]] = tuple(product((-1, 0, 1), repeat=len(AXES)))
# Families whose answer does not itself name the state, so that the pattern can be asked first.
ASKED_OF: Final = frozenset({"best-fit", "would-aggravate", "order-by-fit", "what-would-have-to-change", "caution"})


def may_ask(item: Mapping[str, Any]) -> bool:
    """Whether a pattern can be asked of an item before its choice."""
    return item["family"] in ASKED_OF and bool(item["presentation"])


def reading_number(signs: Sequence[int]) -> int:
    """The number, 0 to 80, of a reading: -1, 0 or +1 on each axis in order. ValueError for anything else."""
    return SIGNS.index(tuple(signs))


def reading_signs(number: int) -> tuple[int, ...]:
    """The reading of a number: -1, 0 or +1 on each axis in order."""
    return SIGNS[number]


def degrees(item: Mapping[str, Any]) -> tuple[int, ...]:
    """Degree of the state on each axis, -4 to +4."""
    return tuple(int(item["presentation"]["pattern"][axis]["degree"]) for axis in AXES)


def true_signs(item: Mapping[str, Any]) -> tuple[int, ...]:
    """The right reading: the sign of the state on each axis."""
    return tuple((degree > 0) - (degree < 0) for degree in degrees(item))


def mark_reading(item: Mapping[str, Any], signs: Sequence[int]) -> int:
    """What a reading earns of the reading's points, in thousandths.

    A needed axis weighs its degree: read right it earns that, missed nothing, and read the contrary way it costs as much. The sum
    is taken as a share of all degrees needed; from it goes the share of the other axes on which a quality was named of which no
    finding speaks. Never below nothing. So to name every quality, or none, earns nothing: hits less false alarms, the index of
    W. J. Youden, Cancer 3 (1950) 32-35, with hits weighted by degree.
    """
    needed = degrees(item)
    total, spare = sum(map(abs, needed)), needed.count(0)
    hits = sum(degree * read for degree, read in zip(needed, signs, strict=True))
    alarms = sum(abs(read) for degree, read in zip(needed, signs, strict=True) if not degree)
    if not total:
        return 0
    # hits / total - alarms / spare, in whole numbers; where every axis is needed there is nothing to invent.
    return max(0, FULL * (hits * spare - alarms * total) // (total * spare) if spare else FULL * hits // total)
