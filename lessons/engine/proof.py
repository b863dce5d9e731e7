"""Which herbs are provably right, and which provably not, for a presentation without cautions."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from herbs.engine import MARGIN, VERDICTS, Bounds, Catalogue, FitTable, Pattern, Presentation, bounds, score, shifted

SLACK = 1e-6  # no key and no distractor may rest on a figure closer to a threshold than this
SUITS, PARTLY = VERDICTS.index("suits"), VERDICTS.index("partly")
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Proof:
    """For one presentation without person words, over all rows (P,): working fit, exact bounds over the intervals and
    under half a degree of doubt, and what follows for keys and distractors.

    ``sure`` suits over everything; ``never`` suits nowhere. ``listed`` claims the action at some site.
    """

    table: FitTable
    plain: Bounds
    doubted: Bounds
    sure: Bools
    never: Bools
    listed: Bools

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
        table=score(catalogue, presentation),
        plain=bounds(low, high, catalogue, presentation),
        doubted=doubted,
        sure=only_suits,
        never=~doubted.possible[:, SUITS],
        listed=catalogue.claims_action[:, action],
    )


class Prover:
    """Proofs of one catalogue, each computed once: the same presentation returns for many seeds."""

    def __init__(self, catalogue: Catalogue, keep: int = 1024) -> None:
        self.catalogue = catalogue
        self._prove = lru_cache(maxsize=keep)(self._compute)

    def _compute(self, site: str, action: str, pattern: Pattern, constitution: tuple[float, ...]) -> Proof:
        presentation = Presentation(site, action, pattern, constitution)  # type: ignore[arg-type]
        return prove(self.catalogue, presentation)

    def __call__(self, site: str, action: str, pattern: Pattern, constitution: tuple[float, ...]) -> Proof:
        """The proof for a site, an action, a pattern and a constitution."""
        return self._prove(site, action, pattern, constitution)
