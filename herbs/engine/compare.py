"""Two teaching sets side by side: which profiles move."""

from dataclasses import dataclass

from .axes import AXES
from .profiles import Catalogue


@dataclass(frozen=True)
class Moved:
    """An axis of a row whose working value or interval differs: (value, low, high) under each set."""

    slug: str
    label: str
    axis: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]

    @property
    def changes_sign(self) -> bool:
        """Whether the working value passes to the other side of temperate, or to or from it."""
        sides = [(value > 0) - (value < 0) for value in (self.before[0], self.after[0])]
        return sides[0] != sides[1]


def moved(before: Catalogue, after: Catalogue) -> list[Moved]:
    """Every (row, axis) that differs, changes of sign first, then the larger moves."""
    found = []
    for number, row in enumerate(before.rows):
        other = after.row_number(row.slug)
        for column, axis in enumerate(AXES):
            first = tuple(float(array[number, column]) for array in (before.value, before.low, before.high))
            second = tuple(float(array[other, column]) for array in (after.value, after.low, after.high))
            if first != second:
                found.append(Moved(row.slug, row.label, axis, first, second))  # type: ignore[arg-type]
    return sorted(found, key=lambda m: (not m.changes_sign, -abs(m.before[0] - m.after[0]), m.slug, m.axis))
