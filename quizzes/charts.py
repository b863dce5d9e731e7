"""Pictures of figures as coordinates for server-drawn SVG: intervals on one scale, a line over days, shares of a whole.

Pure functions from numbers to plain mappings; the drawings stand in ``templates/quizzes/charts/``. Coordinates are written out
here, so that no locale changes a decimal point. A picture is never alone: ``text`` tells it in words, and the page has its table.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

WIDTH = 360.0
LEFT, RIGHT = 6.0, 354.0  # a mark at an end is not cut
ROW = 40.0  # height of one row of intervals: its words above its line
FOOT = 34.0  # room for the ticks
STRIP_WIDTH, STRIP_HEIGHT = 320.0, 108.0
STRIP_LEFT, STRIP_RIGHT, STRIP_TOP, STRIP_BOTTOM = 34.0, 308.0, 10.0, 84.0
BAR_GAP = 2.0


@dataclass(frozen=True)
class Scale:
    """A straight scale from figures (``low`` to ``high``) to coordinates (``start`` to ``end``); beyond lies the end."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """The coordinate of a figure."""
        inside = min(max(value, self.low), self.high)
        return self.start + (self.end - self.start) * (inside - self.low) / (self.high - self.low)


def coordinate(value: float) -> str:
    """A coordinate to a tenth, with a point whatever the locale."""
    return f"{value:.1f}"


def intervals(
    rows: Sequence[tuple[str, float, float, float]],
    *,
    low: float,
    high: float,
    ticks: Sequence[tuple[float, str]],
    level: float | None = None,
) -> dict[str, Any]:
    """(label, value, low, high) rows as marks with their intervals, one above another on one scale.

    ``ticks`` are (figure, word) under the scale, ``level`` a figure to draw a broken line at. ``text`` lists every row.
    """
    scale = Scale(low, high, LEFT, RIGHT)
    bottom = ROW * len(rows) + 6
    drawn = []
    for number, (label, value, least, most) in enumerate(rows):
        left, right = scale.at(least), scale.at(most)
        drawn.append(
            {
                "label": label,
                "said": f"{value:g}",
                "text_y": coordinate(ROW * number + 20),
                "y": coordinate(ROW * number + 34),
                "box_y": coordinate(ROW * number + 29),
                "x": coordinate(scale.at(value)),
                "left": coordinate(left),
                "width": coordinate(right - left),
            }
        )
    return {
        "width": f"{WIDTH:g}",
        "height": f"{bottom + FOOT:g}",
        "rows": drawn,
        "left": coordinate(LEFT),
        "right": coordinate(RIGHT),
        "bottom": coordinate(bottom + 6),
        "ticks": [(coordinate(scale.at(at)), word, _anchor(scale.at(at))) for at, word in ticks],
        "tick_y": coordinate(bottom + 24),
        "level": None if level is None else coordinate(scale.at(level)),
        "text": "; ".join(f"{label}: {value:g}, from {least:g} to {most:g}" for label, value, least, most in rows)
        + ".",
    }


def _anchor(x: float) -> str:
    """Words at an end of the scale keep within the picture."""
    if x <= LEFT + 1:
        return "start"
    return "end" if x >= RIGHT - 1 else "middle"


def strip(
    points: Sequence[tuple[date, float, float, float]], *, low: float, high: float, ticks: Sequence[float]
) -> dict[str, Any]:
    """(day, value, low, high) points in order of days as a line with a band of doubt about it.

    Days lie as far apart as they are; a single day is a mark in the middle. ValueError without points.
    """
    if not points:
        raise ValueError("A line over days needs a day.")
    up = Scale(low, high, STRIP_BOTTOM, STRIP_TOP)
    first, last = points[0][0], points[-1][0]
    span = (last - first).days
    across = Scale(0, span, STRIP_LEFT, STRIP_RIGHT) if span else None
    xs = [across.at((day - first).days) if across else (STRIP_LEFT + STRIP_RIGHT) / 2 for day, *_ in points]
    line = [(x, up.at(value)) for x, (_, value, _, _) in zip(xs, points, strict=True)]
    above = [(x, up.at(most)) for x, (_, _, _, most) in zip(xs, points, strict=True)]
    below = [(x, up.at(least)) for x, (_, _, least, _) in zip(xs, points, strict=True)]
    return {
        "width": f"{STRIP_WIDTH:g}",
        "height": f"{STRIP_HEIGHT:g}",
        "line": _path(line),
        "band": _path([*above, *reversed(below)]) + "Z",
        "end": (coordinate(line[-1][0]), coordinate(line[-1][1])),
        "left": coordinate(STRIP_LEFT),
        "right": coordinate(STRIP_RIGHT),
        "ticks": [(coordinate(up.at(tick)), coordinate(up.at(tick) + 4), f"{tick:g}") for tick in ticks],
        "first": first,
        "last": last,
        "middle": coordinate((STRIP_LEFT + STRIP_RIGHT) / 2),
        "is_one_day": span == 0,
        "from": f"{points[0][1]:g}",
        "to": f"{points[-1][1]:g}",
    }


def _path(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{coordinate(x)} {coordinate(y)}" for x, y in points)


def shares(counts: Sequence[tuple[str, str, int]]) -> dict[str, Any]:
    """(slug, label, count) as parts of one bar, those of nothing left out. ValueError where there is nothing at all."""
    total = sum(count for *_, count in counts)
    if total <= 0:
        raise ValueError("A bar needs something to divide.")
    full, x, drawn = RIGHT - LEFT, LEFT, []
    for slug, label, count in counts:
        if count:
            width = full * count / total
            shown = max(width - BAR_GAP, 0.8)  # of many one is still seen
            drawn.append({"slug": slug, "label": label, "count": count, "x": coordinate(x), "width": coordinate(shown)})
            x += width
    return {
        "width": f"{WIDTH:g}",
        "parts": drawn,
        "text": ", ".join(f"{count} {label}" for _, label, count in counts) + ".",
    }
