"""Reading of a pattern: on each axis the sign a student read from the findings, as one number, and its mark."""

from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any, Final

from herbs.engine import AXES

FULL: Final = 1000
SIGNS: Final[Sequence[tuple[int, ...]]] = tuple(product((-1, 0, 1), repeat=len(AXES)))
# Families whose answer does not itself name the state, so that the pattern can be asked first.
ASKED_OF: Final = frozenset({"best-fit", "would-aggravate", "order-by-fit", "what-would-have-to-change", "caution"})
INVENTED: Final = 1  # degrees that a quality costs of which no finding speaks


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

    A needed axis weighs its degree: read right it earns that, missed nothing, and read the contrary way it costs as much. What
    no finding speaks for costs one degree. The sum is taken as a share of all degrees needed, never below nothing, so
    that to name every quality, or none, earns nothing.
    """
    total = earned = 0
    for degree, read in zip(degrees(item), signs, strict=True):
        if not degree:
            earned -= INVENTED * abs(read)
            continue
        total += abs(degree)
        earned += read * degree
    return max(0, FULL * earned // total) if total else 0
