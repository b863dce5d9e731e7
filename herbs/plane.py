"""The plane of temperature and moisture as coordinates for a server-drawn picture."""

from collections.abc import Sequence
from dataclasses import dataclass

CENTRE_X, CENTRE_Y, STEP = 180.0, 160.0, 34.0
NUDGE = 11.0
SHAPES = {1: "square", -1: "circle", 0: "diamond"}


@dataclass(frozen=True)
class Mark:
    """One herb on the plane: number, label, where it stands, its interval as a box, its shape by tone."""

    number: int
    label: str
    x: float
    y: float
    left: float
    top: float
    width: float
    height: float
    shape: str
    diamond: str


def marks(rows: Sequence[tuple[str, Sequence[float], Sequence[float], Sequence[float]]]) -> list[Mark]:
    """Marks for (label, value, low, high) rows of four axes each; marks that would coincide are moved a little apart."""
    placed: list[Mark] = []
    taken: dict[tuple[float, float], int] = {}
    for number, (label, value, low, high) in enumerate(rows, 1):
        spot = (value[0], value[1])
        repeat = taken.get(spot, 0)
        taken[spot] = repeat + 1
        # Herbs on one spot fan out along a spiral of eight directions.
        dx, dy = [(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1), (1, -1), (-1, 1)][repeat % 9]
        ring = 1.6 * (1 + repeat // 9)
        x = CENTRE_X + STEP * value[0] + dx * NUDGE * ring
        y = CENTRE_Y - STEP * value[1] + dy * NUDGE * ring
        tone = int(value[2] > 0) - int(value[2] < 0)
        left, top = CENTRE_X + STEP * low[0] - 5, CENTRE_Y - STEP * high[1] - 5
        placed.append(
            Mark(
                number, label, x, y, left, top, STEP * (high[0] - low[0]) + 10, STEP * (high[1] - low[1]) + 10,
                SHAPES[tone], f"M{x:g} {y - 10:g}L{x + 10:g} {y:g}L{x:g} {y + 10:g}L{x - 10:g} {y:g}Z",
            )
        )  # fmt: skip
    return placed


GRID = [
    (
        CENTRE_X + STEP * degree,
        CENTRE_Y - STEP * degree,
        f"{degree:+d}".replace("-", "−"),
        degree % 2 == 0 and degree != 0,
    )
    for degree in range(-4, 5)
]
