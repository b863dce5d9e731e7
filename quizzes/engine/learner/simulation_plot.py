"""The simulation as a picture: three panels of plain SVG, readable without colour."""

from collections.abc import Sequence

import numpy as np

from .calibration import Floats
from .simulation_report import HIGH, LOW, Study

WIDE, TALL, LEFT, TOP, GAP = 300, 240, 50, 50, 70
DOTS = 600
STEPS = 60  # points of a line


def plot(found: Study) -> str:
    """Estimated against true skills; skills mastered by answer, practice and in turn; true success by answer."""
    practised, in_turn = (
        (history.claimed & history.mastered).sum(axis=2).mean(axis=0) for history in (found.long, found.robin)
    )
    success = found.clean.chance.mean(axis=0)
    size = max(1, len(success) // STEPS)
    smooth = success[: len(success) // size * size].reshape(-1, size).mean(axis=1)
    panels = [
        _scatter(0, found.clean.true.ravel(), found.clean.estimated.ravel()),
        _lines(1, "Skills mastered, by model and truth", [practised, in_turn], (0.0, 12.0), len(practised), ()),
        _lines(2, "True success of items served", [smooth], (0.5, 1.0), len(success), (LOW, HIGH)),
    ]
    width, height = 3 * (WIDE + GAP) + LEFT, TALL + 2 * TOP + 20
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" font-family="sans-serif" '
        f'font-size="12"><title>Simulated students: skills recovered, skills mastered, success served</title>'
        f'<rect width="{width}" height="{height}" fill="white"/>{"".join(panels)}</svg>\n'
    )


def _frame(place: int, title: str, x: tuple[float, float], y: tuple[float, float], below: str) -> str:
    left, bottom = LEFT + place * (WIDE + GAP), TOP + TALL
    parts = [
        f'<text x="{left}" y="{TOP - 18}" font-size="14">{title}</text>',
        f'<rect x="{left}" y="{TOP}" width="{WIDE}" height="{TALL}" fill="none" stroke="#555"/>',
        f'<text x="{left + WIDE / 2}" y="{bottom + 36}" text-anchor="middle">{below}</text>',
    ]
    for share in (0.0, 0.5, 1.0):
        parts += [
            f'<text x="{left + share * WIDE:g}" y="{bottom + 16}" text-anchor="middle">{x[0] + share * (x[1] - x[0]):.4g}</text>',
            f'<text x="{left - 6}" y="{bottom - share * TALL + 4:g}" text-anchor="end">{y[0] + share * (y[1] - y[0]):.3g}</text>',
        ]
    return "".join(parts)


def _at(place: int, x: float, y: float) -> tuple[float, float]:
    """Where a point of a panel stands, both from 0 to 1 within it."""
    return LEFT + place * (WIDE + GAP) + x * WIDE, TOP + TALL - min(1.0, max(0.0, y)) * TALL


def _scatter(place: int, true: Floats, estimated: Floats) -> str:
    low, high = float(np.floor(min(true.min(), estimated.min()))), float(np.ceil(max(true.max(), estimated.max())))
    shown = np.linspace(0, len(true) - 1, min(DOTS, len(true))).astype(int)
    dots = []
    for number in shown:
        x, y = _at(place, (true[number] - low) / (high - low), (estimated[number] - low) / (high - low))
        dots.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2" fill="#246" fill-opacity="0.4"/>')
    (x1, y1), (x2, y2) = _at(place, 0, 0), _at(place, 1, 1)
    line = f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="#a40"/>'
    frame = _frame(place, "Estimated over true skills, logits", (low, high), (low, high), "true skill")
    return frame + "".join(dots) + line


def _lines(
    place: int, title: str, rows: Sequence[Floats], y: tuple[float, float], answers: int, bounds: Sequence[float]
) -> str:
    parts = [_frame(place, title, (0, answers), y, "answers")]
    for bound in bounds:
        (x1, height), (x2, _) = (_at(place, end, (bound - y[0]) / (y[1] - y[0])) for end in (0.0, 1.0))
        parts.append(
            f'<line x1="{x1}" y1="{height:.1f}" x2="{x2}" y2="{height:.1f}" stroke="#777" stroke-dasharray="2 4"/>'
        )
    for number, row in enumerate(rows):
        places = np.linspace(0, len(row) - 1, min(STEPS, len(row))).astype(int)
        points = [_at(place, at / max(1, len(row) - 1), (row[at] - y[0]) / (y[1] - y[0])) for at in places]
        path = " ".join(f"{x:.1f},{height:.1f}" for x, height in points)
        dashes = ' stroke-dasharray="6 4"' if number else ""
        parts.append(f'<polyline points="{path}" fill="none" stroke="#246" stroke-width="2"{dashes}/>')
        if len(rows) > 1:
            x, height = points[len(points) // 2]
            if number:
                parts.append(f'<text x="{x + 8:.1f}" y="{height + 14:.1f}">in turn</text>')
            else:
                parts.append(f'<text x="{x - 8:.1f}" y="{height:.1f}" text-anchor="end">practice</text>')
    return "".join(parts)
