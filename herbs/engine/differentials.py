"""Differentials: parts that do the same work in the same places and push another way."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from .axes import AXES, HERB_POLES, ROUNDING
from .profiles import Catalogue
from .sites import STRONGEST
from .words import joined, pole

APART: Final = 2.0  # degrees from which two parts on one side of temperate are told apart
PLAIN: Final = 2 / STRONGEST  # share of the greatest strength from which an action counts as shared
LEAST_LIKENESS: Final = 0.25  # below it two parts share a class and little else


@dataclass(frozen=True)
class Contrast:
    """An axis on which another part differs from one's own: working degrees (-4..+4) of both."""

    axis: str
    own: float
    other: float

    @property
    def distance(self) -> float:
        """Degrees between the two."""
        return abs(self.own - self.other)

    @property
    def says(self) -> str:
        """What the other part does instead, as a verb: "warms", "dries more", "neither tightens nor relaxes"."""
        if not self.other:
            return "neither {} nor {}".format(*HERB_POLES[self.axis])
        word = pole(self.axis, self.other)
        if self.own * self.other <= 0:
            return word
        return f"{word} {'more' if abs(self.other) > abs(self.own) else 'less'}"


@dataclass(frozen=True)
class Differential:
    """A row that is like another but for some axes: ``shared`` leading classes, ``likeness`` of action and place (0..1)."""

    row: int
    shared: tuple[str, ...]
    likeness: float
    contrasts: tuple[Contrast, ...]

    @property
    def says(self) -> str:
        """What it does instead: "warms and dries"."""
        return contrast_words(self.contrasts)


def contrast_words(apart: Sequence[Contrast]) -> str:
    """Contrasts in words, what the other part does before what it leaves alone: "cools, and neither stirs nor quiets"."""
    verbs = [contrast.says for contrast in apart if contrast.other]
    neither = [contrast.says for contrast in apart if not contrast.other]
    return ", and ".join(joined(words) for words in (verbs, neither) if words)


def contrasts(own: Sequence[float], other: Sequence[float]) -> tuple[Contrast, ...]:
    """Axes on which four degrees differ in sign (temperate is a sign of its own) or by two degrees, the widest apart first."""
    found = [
        Contrast(axis, float(mine), float(theirs))
        for axis, mine, theirs in zip(AXES, own, other, strict=True)
        if np.sign(mine) != np.sign(theirs) or abs(mine - theirs) >= APART
    ]
    return tuple(sorted(found, key=lambda contrast: (-contrast.distance, AXES.index(contrast.axis))))


def leading_classes(catalogue: Catalogue, number: int) -> tuple[str, ...]:
    """The action classes in which a row is strongest, at whatever place; none when it has no class action."""
    strongest = {
        slug: float(catalogue.strength[number, catalogue.action_index[slug]].max())
        for slug, term in catalogue.actions.items()
        if term.is_class
    }
    top = max(strongest.values(), default=0.0)
    if not top:
        return ()
    return tuple(slug for slug, strength in strongest.items() if round(top - strength, ROUNDING) <= 0)


def differentials(catalogue: Catalogue, number: int, limit: int = 5) -> list[Differential]:
    """The parts (in their usual form) nearest to a row in action and place that differ from it in quality, nearest first.

    A candidate has a leading class of the row at least plainly (or as strongly as the row, where that is less). Likeness
    is the cosine of the strengths over every class and site. Of several that differ in the same way only the nearest is
    told, so that each line teaches another contrast.
    """
    leading = leading_classes(catalogue, number)
    if not leading:
        return []
    columns = [catalogue.action_index[slug] for slug in leading]
    has = catalogue.strength[:, columns, :].max(axis=2)
    wanted = min(PLAIN, float(has[number].max()))
    candidates = np.flatnonzero((np.round(has - wanted, ROUNDING) >= 0).any(axis=1))
    classes = [catalogue.action_index[slug] for slug, term in catalogue.actions.items() if term.is_class]
    mine = catalogue.strength[number, classes].ravel()
    theirs = catalogue.strength[candidates][:, classes].reshape(len(candidates), -1)
    likeness = theirs @ mine / (np.linalg.norm(theirs, axis=1) * np.linalg.norm(mine))
    found = []
    for candidate, like in zip(candidates, likeness, strict=True):
        row = catalogue.rows[candidate]
        if not row.is_usual or row.part_slug == catalogue.rows[number].part_slug or like < LEAST_LIKENESS:
            continue
        apart = contrasts(catalogue.value[number], catalogue.value[candidate])
        if apart:
            shared = tuple(
                slug
                for slug, strength in zip(leading, has[candidate], strict=True)
                if round(float(strength) - wanted, ROUNDING) >= 0
            )
            found.append(Differential(int(candidate), shared, float(like), apart))
    found.sort(key=lambda d: (-round(d.likeness, ROUNDING), catalogue.rows[d.row].slug))
    kinds: dict[frozenset[str], Differential] = {}
    for differential in found:
        kinds.setdefault(frozenset(contrast.says for contrast in differential.contrasts), differential)
    return list(kinds.values())[:limit]
