"""Kinds of state: what states and mixed patterns are told apart by, whatever their severity."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from herbs.engine import AXES, Pattern, capital

from .faults import WRONG
from .scenery import PatternForm

Degrees = tuple[float, ...]
Follows = tuple[int | None, ...]
# The quality of a state as a thing, + and -.
NOUNS = {
    "temperature": ("heat", "cold"),
    "moisture": ("damp", "dryness"),
    "tone": ("tension", "laxity"),
    "movement": ("excitement", "torpor"),
}
MIXED = "mixed"


@dataclass(frozen=True)
class Kind:
    """Signs by axis and what follows what; ``degrees`` at every severity; the label names both, root first."""

    slug: str
    name: str
    degrees: tuple[Degrees, ...]
    follows: Follows

    @property
    def signs(self) -> tuple[int, ...]:
        """-1, 0 or +1 on each axis."""
        return signs_of(self.degrees[0])

    @property
    def label(self) -> str:
        """ "Lax damp: laxity, and damp that follows from it", "Mixed: dryness with cold"."""
        return f"{capital(self.name)}: {plainly_said(self.degrees[-1], self.follows)}"

    def is_of(self, pattern: Pattern) -> bool:
        """Whether a pattern is of this kind."""
        return signs_of(pattern.degrees) == self.signs and pattern.follows == self.follows


def signs_of(degrees: Sequence[float]) -> tuple[int, ...]:
    """-1, 0 or +1 on each axis."""
    return tuple((degree > 0) - (degree < 0) for degree in degrees)


def noun(axis: int, degree: float) -> str:
    """A quality as a thing: "heat", "laxity"."""
    return NOUNS[AXES[axis]][degree < 0]


def plainly_said(degrees: Sequence[float], follows: Sequence[int | None]) -> str:
    """A state in words, root first: "dryness alone", "damp with torpor", "cold, and tension that follows from it"."""
    axes = [axis for axis, degree in enumerate(degrees) if degree]
    leading = sorted((a for a in axes if follows[a] is None), key=lambda a: (a not in follows, -abs(degrees[a]), a))
    following = [axis for axis in axes if follows[axis] is not None]
    first = " with ".join(noun(axis, degrees[axis]) for axis in leading)
    if not following:
        return first if len(leading) > 1 else f"{first} alone"
    rest = []
    for axis in following:
        root = follows[axis]
        source = f"the {noun(root, degrees[root])}" if root is not None and len(leading) > 1 else "it"
        rest.append(f"{noun(axis, degrees[axis])} that follows from {source}")
    return f"{first}, and {' and '.join(rest)}"


def kinds_of(forms: Sequence[PatternForm], names: Mapping[str, str]) -> tuple[Kind, ...]:
    """Every kind among some forms, in order of first appearance. ``names`` by slug are those of the simple states."""
    found: dict[tuple[tuple[int, ...], Follows], list[PatternForm]] = {}
    for form in forms:
        found.setdefault((signs_of(form.pattern.degrees), form.pattern.follows), []).append(form)
    kinds = []
    for same in found.values():
        named = next((form.slug for form in same if form.slug in names), None)
        slug = named or same[0].slug
        degrees = tuple(dict.fromkeys(form.pattern.degrees for form in same))
        kinds.append(Kind(slug, names.get(slug, MIXED), degrees, same[0].pattern.follows))
    return tuple(kinds)


def exchanged(kind: Kind, kinds: Sequence[Kind]) -> Kind | None:
    """The kind with root and consequence exchanged: a known one, or else one of the same degrees; None without one root."""
    pairs = [(axis, root) for axis, root in enumerate(kind.follows) if root is not None]
    if len(pairs) != 1:
        return None
    axis, root = pairs[0]
    follows = tuple(axis if number == root else None for number in range(len(AXES)))
    for other in kinds:
        if other.signs == kind.signs and other.follows == follows:
            return other
    return Kind(f"{kind.slug}-exchanged", MIXED, kind.degrees, follows)


def degrees_apart(states: Sequence[Degrees], evidence: Sequence[float]) -> float:
    """How far a state lies from the evidence: the sum over the axes, at the nearest severity."""
    return min(sum(abs(e - d) for e, d in zip(evidence, degrees, strict=True)) for degrees in states)


def fault_between(key: Kind, other: Kind) -> str:
    """What is wrong with a state beside the right one: a contrary quality first, then an invented one, then one missed."""
    if other.signs == key.signs:
        return "root and consequence exchanged"
    for axis, (right, named) in enumerate(zip(key.signs, other.signs, strict=True)):
        if right * named < 0:
            return WRONG[AXES[axis]]
    invented = any(named and not right for right, named in zip(key.signs, other.signs, strict=True))
    return "invented quality" if invented else "missed quality"
