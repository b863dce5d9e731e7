"""Words for degrees and poles, said in one place."""

from collections.abc import Mapping, Sequence
from math import floor

from .axes import HERB_POLES, LIMIT


def pole(axis: str, value: float, poles: Mapping[str, tuple[str, str]] = HERB_POLES) -> str:
    """The word for a side of an axis: "warms", or with the poles of states "dry". ``value`` is not 0."""
    return poles[axis][0 if value > 0 else 1]


def degree_number(value: float) -> int:
    """A degree as the whole number it is told by, from 1 to 4, halves upwards; 0 only for temperate."""
    return 0 if not value else int(min(LIMIT, max(1, floor(abs(value) + 0.5))))


def joined(items: Sequence[str]) -> str:
    """Items joined with commas and *and*."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"


def capital(text: str) -> str:
    """The text with its first letter in upper case, the rest as it is: "St John's wort herb"."""
    return text[:1].upper() + text[1:]
