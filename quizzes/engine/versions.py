"""Versions of the grading: each stored mark keeps the version that made it."""

from typing import Final

CURRENT: Final = "1"

# Share of a full mark for what is asked, by version: reading of the pattern, choice, reason. A course may set its own
# later; what is not asked drops out and the rest is renormalised.
WEIGHTS: Final = {"1": {"reading": 0.25, "choice": 0.40, "reason": 0.35}}
FULL: Final = 1000  # scores are integers, in thousandths


def parts(version: str, asked: tuple[str, ...]) -> dict[str, int]:
    """Full points (thousandths) of each part asked; they sum to 1000."""
    weights = WEIGHTS[version]
    total = sum(weights[part] for part in asked)
    points = {part: int(FULL * weights[part] / total + 0.5) for part in asked}
    points[asked[-1]] = FULL - sum(points[part] for part in asked[:-1])
    return points
