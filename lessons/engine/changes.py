"""Changes of a presentation on one axis: which there are, what an herb makes of each, and how findings tell of it."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXES, SUITS_LEADING, Pattern, Presentation, fit_of, score

from .findings import SIGNS_ELSEWHERE, Shown, instead
from .proof import SUITS
from .scenery import Asking, Scenery
from .vignette import listing
from .workshop import Workshop

DEGREES = (-3, -2, 0, 2, 3)  # two findings show two degrees at least
WRONG_AXIS, NOT_FAR, WRONG_WAY = "wrong axis", "not far enough", "wrong way"
REPLACED, ADDED, DROPPED = "{new} in place of {old}", "besides all that, {new}", "the same picture without {old}"
LESSENED = re.compile(r"(?:less|fewer|little|hardly|no|nothing)\b")  # "without less wind" is hard to read
KEPT = "changed"  # under which proofs of changed patterns are kept in the workshop
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Change:
    """A new degree of the state on one axis (its number)."""

    axis: int
    degree: int

    @property
    def slug(self) -> str:
        """Such as "moisture+2"."""
        return f"{AXES[self.axis]}{self.degree:+d}"

    def kind(self, pattern: Pattern) -> str:
        """The form of words for it: something replaced, added or gone."""
        if not pattern.degrees[self.axis]:
            return ADDED
        return REPLACED if self.degree else DROPPED


def changed(pattern: Pattern, axis: int, degree: float) -> Pattern:
    """The pattern with another degree on one axis; its links stay."""
    degrees = list(pattern.degrees)
    degrees[axis] = float(degree)
    return replace(pattern, degrees=tuple(degrees))  # type: ignore[arg-type]


def unlinked(pattern: Pattern) -> list[int]:
    """Axes that neither follow another nor are followed."""
    linked = {axis for axis, root in enumerate(pattern.follows) if root is not None}
    linked |= {root for root in pattern.follows if root is not None}
    return [axis for axis in range(len(AXES)) if axis not in linked]


def possible(scenery: Scenery, asking: Asking, pattern: Pattern) -> Iterator[Change]:
    """Every change on one unlinked axis that leaves a state, and leads to no quality that makes no sense with the complaint."""
    poles = {
        (axis, degree > 0)
        for form in scenery.patterns
        if form.slug not in asking.left_out
        for axis, degree in enumerate(form.pattern.degrees)
        if degree
    }
    for axis in unlinked(pattern):
        alone = not any(degree for other, degree in enumerate(pattern.degrees) if other != axis)
        for degree in DEGREES:
            if degree == pattern.degrees[axis] or (not degree and alone):
                continue
            if degree and ((axis, degree > 0) not in poles or not tellable(scenery, asking, axis, degree)):
                continue
            yield Change(axis, degree)


def tellable(scenery: Scenery, asking: Asking, axis: int, degree: int) -> bool:
    """Whether the vocabulary has two findings that show a degree exactly, not both ambiguous, not two tongues or two pulses."""
    local, supporting = scenery.single[asking.slug][(axis, degree > 0)]
    return any(
        one.evidence[axis] + other.evidence[axis] == degree
        and not (one.ambiguous and other.ambiguous)
        and not (one.kind == other.kind and one.kind in SIGNS_ELSEWHERE)
        for one, other in combinations((*local, *supporting), 2)
    )


def fault_of(pattern: Pattern, key: Change, other: Change) -> str | None:
    """What is wrong with another change beside the right one; None where it goes at least as far."""
    if other.axis != key.axis:
        return WRONG_AXIS
    now = pattern.degrees[key.axis]
    if (other.degree - now) * (key.degree - now) < 0:
        return WRONG_WAY
    return NOT_FAR if abs(other.degree - now) < abs(key.degree - now) else None


def obstacle(row: Mapping[str, Any], presentation: Presentation) -> int | None:
    """The axis on which an herb (a certificate's row) fails a presentation: a leading one unmet, else one it works against."""
    fit = fit_of(tuple(row["value"]), row["affinity"], row["action"], presentation, opposed=row["opposed"])
    pattern = presentation.pattern
    unmet = [axis for axis in pattern.leading if fit.raw[axis] < SUITS_LEADING]
    against = [axis for axis, need in enumerate(pattern.need) if need and fit.match[axis] < 0]
    return min(unmet or against, key=lambda axis: fit.raw[axis], default=None)


def proved(workshop: Workshop, asking: Asking, pattern: Pattern, pool: int) -> tuple[Bools, Bools]:
    """(P,) rows of a pool that are sure to suit a pattern, and that never do; kept once worked out."""
    key = (KEPT, asking.site, asking.action, pattern, pool)
    if key not in workshop.kept:
        proof = workshop.prover(asking.site, asking.action, pattern, (0.0, 0.0, 0.0, 0.0), pool)
        workshop.kept[key] = proof.sure, proof.never
    found: tuple[Bools, Bools] = workshop.kept[key]
    return found


def judged_after(workshop: Workshop, asking: Asking, pattern: Pattern, pool: int) -> tuple[Bools, Bools]:
    """(P,) rows of a pool that suit a pattern by their working figures, and that have an obstacle in it; kept once worked out."""
    key = ("judged", asking.site, asking.action, pattern, pool)
    if key not in workshop.kept:
        table = score(workshop.prover.pools(asking.action)[pool], Presentation(asking.site, asking.action, pattern))
        needed = [axis for axis, need in enumerate(pattern.need) if need]
        unmet = (table.raw[:, list(pattern.leading)] < SUITS_LEADING).any(axis=1)
        workshop.kept[key] = table.verdict == SUITS, unmet | (table.match[:, needed] < 0).any(axis=1)
    found: tuple[Bools, Bools] = workshop.kept[key]
    return found


@dataclass(frozen=True)
class Telling:
    """A change in words: the label, and the findings that go and that come."""

    label: str
    gone: Sequence[Shown]
    come: Sequence[Shown]


def tell_change(
    scenery: Scenery, asking: Asking, pattern: Pattern, change: Change, findings: Sequence[Shown], rng: Random
) -> Telling | None:
    """A change told by findings beside those of the vignette; None where the vocabulary has none, or one speaks for two axes."""
    axis = AXES[change.axis]
    gone = [finding for finding in findings if axis in finding.evidence]
    if any(len(finding.evidence) > 1 for finding in gone):
        return None
    if gone and sum(finding.evidence[axis] for finding in gone) == change.degree:
        return None  # other words for the same degree would be no change
    kept = [finding for finding in findings if axis not in finding.evidence]
    if not change.degree and any(LESSENED.match(finding.text) for finding in gone):
        return None
    come: list[Shown] | None = []
    if change.degree:
        come = instead(scenery, asking, changed(pattern, change.axis, change.degree), change.axis, kept, gone, rng)
    if come is None:
        return None
    old, new = (listing([finding.text for finding in some]) if some else "" for some in (gone, come))
    return Telling(change.kind(pattern).format(old=old, new=new), gone, come)
