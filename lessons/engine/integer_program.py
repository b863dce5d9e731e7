"""A mixed-integer linear program, built column by column and solved by HiGHS.

HiGHS: Huangfu & Hall, Parallelizing the dual revised simplex method, Mathematical Programming Computation 10 (2018).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Vector = NDArray[np.float64]

PRESOLVED = 3000  # columns; beyond, the solver's presolve takes longer than it saves, and no time limit stops it
RELAXED_SHARE = 0.2  # of the time limit, at most, for a look without whole numbers
OPTIMAL, STOPPED, INFEASIBLE = "optimal", "stopped", "infeasible"


@dataclass(frozen=True)
class Outcome:
    """How a solve ended: optimal (within the gap asked), stopped by the time limit, or infeasible.

    ``values``: (columns,) or None when no solution is known. ``gap``: relative distance of the solution's cost from the
    bound, and ``cost`` its cost, both infinite without a solution.
    """

    status: str
    values: Vector | None
    gap: float
    cost: float = np.inf


class IntegerProgram:
    """Minimise cost over columns within bounds, rows within bounds; every column has both bounds."""

    def __init__(self) -> None:
        self.width = 0
        self.height = 0
        self._cost: list[Vector] = []
        self._upper: list[Vector] = []
        self._whole: list[Vector] = []
        self._entries: list[tuple[NDArray[np.int64], NDArray[np.int64], Vector]] = []
        self._bounds: list[tuple[Vector, Vector]] = []

    def add_columns(self, upper: ArrayLike, cost: ArrayLike = 0.0, *, whole: bool = True) -> int:
        """Columns from 0 to ``upper``; the number of the first."""
        upper = np.atleast_1d(np.asarray(upper, dtype=float))
        self._upper.append(upper)
        self._cost.append(np.broadcast_to(np.asarray(cost, dtype=float), upper.shape))
        self._whole.append(np.full(upper.shape, float(whole)))
        self.width += len(upper)
        return self.width - len(upper)

    def add_rows(
        self, low: ArrayLike, high: ArrayLike, row: ArrayLike, column: ArrayLike, value: ArrayLike = 1.0
    ) -> int:
        """Rows that lie between ``low`` and ``high``; entries name rows from 0 within those added. The number of the first."""
        low, high = np.broadcast_arrays(
            np.atleast_1d(np.asarray(low, dtype=float)), np.atleast_1d(np.asarray(high, dtype=float))
        )
        column = np.asarray(column, dtype=np.int64)
        row = np.broadcast_to(np.asarray(row, dtype=np.int64), column.shape)
        self._bounds.append((low, high))
        self._entries.append((row + self.height, column, np.broadcast_to(np.asarray(value, dtype=float), column.shape)))
        self.height += len(low)
        return self.height - len(low)

    def solve(self, time_limit: float, gap: float = 0.0) -> Outcome:
        """Solve to a relative gap, or as far as ``time_limit`` seconds go."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        if not self.width:
            possible = all((low <= 0).all() and (high >= 0).all() for low, high in self._bounds)
            return Outcome(OPTIMAL, np.zeros(0), 0.0, 0.0) if possible else Outcome(INFEASIBLE, None, np.inf)
        if not self.height:
            self.add_rows(-np.inf, np.inf, 0, [0])  # the solver wants a row
        row, column, value = (np.concatenate(part) for part in zip(*self._entries, strict=True))
        matrix = csr_array((value, (row, column)), shape=(self.height, self.width))
        low, high = (np.concatenate(part) for part in zip(*self._bounds, strict=True))
        cost, whole = np.concatenate(self._cost), np.concatenate(self._whole)
        bounds, rows = Bounds(0, np.concatenate(self._upper)), LinearConstraint(matrix, low, high)
        # Most infeasible programs are so without the whole numbers too, which is seen at once.
        limit = max(time_limit, 1e-3)
        relaxed = milp(
            np.zeros_like(cost), bounds=bounds, constraints=rows, options={"time_limit": limit * RELAXED_SHARE}
        )
        if _infeasible(relaxed):
            return Outcome(INFEASIBLE, None, np.inf)
        result = milp(
            cost,
            integrality=whole.astype(np.int64),
            bounds=bounds,
            constraints=rows,
            options={
                "time_limit": limit * (1 - RELAXED_SHARE),
                "mip_rel_gap": gap,
                "presolve": self.width <= PRESOLVED,
            },
        )
        if _infeasible(result):
            return Outcome(INFEASIBLE, None, np.inf)
        if result.x is None:
            return Outcome(STOPPED, None, np.inf)
        values = np.where(whole > 0, np.round(result.x), result.x)
        left = 0.0 if result.mip_gap is None else float(result.mip_gap)
        return Outcome(OPTIMAL if result.status == 0 else STOPPED, values, left, float(result.fun))


def _infeasible(result: Any) -> bool:
    """Columns have bounds, so that "unbounded or infeasible" is infeasible; a solve that was stopped is neither."""
    return bool(result.status == 2 or "unbounded or infeasible" in str(result.message).lower())
