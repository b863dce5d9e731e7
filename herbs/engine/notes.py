"""What is told of a part beside its energetics: tastes and constituents by tradition, and preparations."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class PreparationNote:
    """One way of taking a part: method and menstruum by slug, alcohol in per cent by volume, ratio such as "1:5"."""

    method: str
    menstruum: str
    alcohol: float | None
    ratio: str
    source: str


@dataclass(frozen=True)
class PartNotes:
    """Tastes and degrees of a part by tradition slug, constituent classes, and preparations."""

    tastes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    constituents: tuple[str, ...] = ()
    preparations: tuple[PreparationNote, ...] = ()
    degrees: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    sources: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
