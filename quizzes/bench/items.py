"""How fast questions are made, against a matrix product of the same machine."""

import json
import time
from dataclasses import dataclass

import numpy as np

from lessons.bank import QuestionMaker
from lessons.engine import frozen

SIZE = 256


@dataclass(frozen=True)
class Speed:
    """Items a second in steady state (vignette, audit and JSON included), seconds of one 256 x 256 float64 product, and
    how many such products one item costs."""

    items_per_second: float
    product_seconds: float

    @property
    def ratio(self) -> float:
        """Cost of one item in matrix products."""
        return 1 / self.items_per_second / self.product_seconds


def measure(maker: QuestionMaker, warm: int = 1500, count: int = 1000) -> Speed:
    """Generate ``warm`` items, then time ``count`` more with other seeds; the product is the median of 200."""
    for seed in range(1, warm + 1):
        maker.make("best-fit", seed)
    start = time.perf_counter()
    for seed in range(warm + 1, warm + count + 1):
        json.dumps(frozen(maker.make("best-fit", seed)))
    spent = time.perf_counter() - start
    left = np.random.default_rng(1).random((SIZE, SIZE))
    times = []
    for _ in range(200):
        begin = time.perf_counter()
        left @ left
        times.append(time.perf_counter() - begin)
    return Speed(count / spent, float(np.median(times)))
