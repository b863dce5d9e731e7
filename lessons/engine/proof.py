"""Which herbs are provably right, and which provably not, for a presentation without cautions."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from herbs.engine import MARGIN, VERDICTS, Bounds, Catalogue, FitTable, Pattern, Presentation, bounds, score, shifted

SLACK = 1e-6  # no key and no distractor may rest on a figure closer to a threshold than this
POOL = 128  # rows proved at once
SUITS, PARTLY = VERDICTS.index("suits"), VERDICTS.index("partly")
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Proof:
    """For one presentation without person words, over all rows (P,): working fit, exact bounds over the intervals and
    under half a degree of doubt, and what follows for keys and distractors.

    ``sure`` suits over everything; ``never`` suits nowhere. ``listed`` claims the action at some site.
    """

    catalogue: Catalogue
    table: FitTable
    doubted: Bounds
    sure: Bools
    never: Bools
    listed: Bools

    @cached_property
    def faults(self) -> dict[int, str]:
        """A place to keep the fault of each row, once it was looked for; "" where none can be named."""
        return {}

    @cached_property
    def plain(self) -> Bounds:
        """Bounds over the intervals alone; worked out for proofs that items are made from."""
        _, low, high = self.catalogue.effects(self.table.presentation.site)
        return bounds(low, high, self.catalogue, self.table.presentation)

    def clear_of(self, key: int) -> Bools:
        """(P,) rows that are valid distractors beside a key: nowhere suiting, and below the key by the margin at the
        same weights wherever they partly suit."""
        gap = self.doubted.corner_low[:, key][:, None] - self.doubted.corner_high
        below = gap.min(axis=0) >= MARGIN + SLACK
        return self.listed & self.never & (below | ~self.doubted.possible[:, PARTLY])


def prove(catalogue: Catalogue, presentation: Presentation) -> Proof:
    """Proof for every row, by the exact bounds of ``herbs.engine.interval``."""
    _, low, high = catalogue.effects(presentation.site)
    doubted = bounds(*shifted(low, high), catalogue, presentation, slack=SLACK)
    only_suits = doubted.possible[:, SUITS] & (doubted.possible.sum(axis=1) == 1)
    action = catalogue.action_number(presentation.action)
    return Proof(
        catalogue=catalogue,
        table=score(catalogue, presentation),
        doubted=doubted,
        sure=only_suits,
        never=~doubted.possible[:, SUITS],
        listed=catalogue.claims_action[:, action],
    )


class Prover:
    """Proofs of one catalogue, each computed once: the same presentation returns for many seeds.

    A proof looks only at parts that have the action asked. A class larger than POOL is proved in pools, and the options of
    an item come from one of them, so that the cost of an item does not grow with the materia medica.
    """

    def __init__(self, catalogue: Catalogue, keep: int = 4096) -> None:
        self.catalogue = catalogue
        self._prove = lru_cache(maxsize=keep)(self._compute)
        self._pools: dict[str, tuple[Catalogue, ...]] = {}

    def pools(self, action: str) -> tuple[Catalogue, ...]:
        """The parts that have an action, in catalogues of at most POOL rows; at least one, which may be empty."""
        if action not in self._pools:
            number = self.catalogue.action_number(action)
            has = self.catalogue.claims_action[:, number] | self.catalogue.strength[:, number, :].any(axis=1)
            rows = [int(row) for row in np.flatnonzero(has)]
            count = max(1, -(-len(rows) // POOL))
            # Every count-th row: neighbours in the alphabet, often one plant's parts, fall into different pools.
            self._pools[action] = tuple(self.catalogue.only(rows[first::count]) for first in range(count))
        return self._pools[action]

    def _compute(self, site: str, action: str, pattern: Pattern, constitution: tuple[float, ...], pool: int) -> Proof:
        presentation = Presentation(site, action, pattern, constitution)  # type: ignore[arg-type]
        return prove(self.pools(action)[pool], presentation)

    def __call__(
        self, site: str, action: str, pattern: Pattern, constitution: tuple[float, ...], pool: int = 0
    ) -> Proof:
        """The proof for a site, an action, a pattern and a constitution, over one pool of the action's parts."""
        return self._prove(site, action, pattern, constitution, pool)
