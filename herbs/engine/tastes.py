"""From taste to effect: what the tastes and constituents of a part lead one to expect, by a tradition's own rule."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .axes import AXES

EXCEPTION = 1.0  # a departure of more than one degree is an exception worth teaching


@dataclass(frozen=True)
class TasteRule:
    """What one taste, or one class of constituents, leads a tradition to expect: degrees by axis."""

    tradition: str
    subject: str
    is_taste: bool
    axes: Mapping[str, float]


def expected(rules: Iterable[TasteRule], tastes: Iterable[str], constituents: Iterable[str] = ()) -> dict[str, float]:
    """The expected degree on each axis that some taste speaks of: the mean over the tastes that do.

    Constituents speak only where no taste does. An axis that nobody speaks of is absent.
    """
    known = list(rules)
    found: dict[str, float] = {}
    for subjects, is_taste in ((set(tastes), True), (set(constituents), False)):
        speaking = [rule for rule in known if rule.is_taste == is_taste and rule.subject in subjects]
        for axis in AXES:
            degrees = [rule.axes[axis] for rule in speaking if axis in rule.axes]
            if degrees and axis not in found:
                found[axis] = sum(degrees) / len(degrees)
    return found


def exceptions(expectation: Mapping[str, float], degrees: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    """Axes on which a part departs from what its tastes lead one to expect: {axis: (expected, found)}."""
    return {
        axis: (degree, degrees[axis])
        for axis, degree in expectation.items()
        if axis in degrees and abs(degree - degrees[axis]) > EXCEPTION
    }
