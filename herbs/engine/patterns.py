"""The pattern of a state on the four axes, and who carries it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from .axes import AXES, AXIS_INDEX, LIMIT
from .errors import InvalidPatternError

Four = tuple[float, float, float, float]
Follows = tuple[int | None, int | None, int | None, int | None]
ZERO: Four = (0.0, 0.0, 0.0, 0.0)
NOTHING_FOLLOWS: Follows = (None, None, None, None)


@dataclass(frozen=True)
class Pattern:
    """A state on the axes: degrees from -4 to +4 (hot, damp, tense, excited positive) and roots.

    ``follows[k] = j`` says that the state on axis k is a consequence of the state on axis j.
    Raises InvalidPatternError for degrees out of range, a root without a degree, or a circle of roots.
    """

    degrees: Four
    follows: Follows = NOTHING_FOLLOWS

    def __post_init__(self) -> None:
        if len(self.degrees) != len(AXES) or len(self.follows) != len(AXES):
            raise InvalidPatternError("A pattern has four degrees and four roots, one for each axis.")
        if any(not abs(degree) <= LIMIT for degree in self.degrees):  # written so that no-number fails too
            raise InvalidPatternError("A degree lies between -4 and +4.")
        if not any(self.degrees):
            raise InvalidPatternError("A pattern needs a degree other than 0 on at least one axis.")
        for axis, root in enumerate(self.follows):
            if root is None:
                continue
            if root == axis or not self.degrees[axis] or not self.degrees[root]:
                raise InvalidPatternError("An axis may follow only another axis, and both need a degree.")
            seen, step = {axis}, root
            while step is not None:
                if step in seen:
                    raise InvalidPatternError("The roots of a pattern may not run in a circle.")
                seen.add(step)
                step = self.follows[step]  # type: ignore[assignment]

    @property
    def need(self) -> Four:
        """The quality needed on each axis: the contrary of the state."""
        return tuple(-degree for degree in self.degrees)  # type: ignore[return-value]

    @cached_property
    def roots(self) -> tuple[int, ...]:
        """Axes that something follows, in axis order."""
        return tuple(sorted({root for root in self.follows if root is not None}))

    @cached_property
    def leading(self) -> tuple[int, ...]:
        """Every root, then the axes of greatest need among those that follow nothing."""
        free = [axis for axis in range(len(AXES)) if self.degrees[axis] and self.follows[axis] is None]
        greatest = max((abs(self.degrees[axis]) for axis in free), default=0.0)
        return tuple(sorted(set(self.roots) | {a for a in free if abs(self.degrees[a]) == greatest}))

    @classmethod
    def from_mapping(cls, pattern: Mapping[str, Mapping[str, object]]) -> "Pattern":
        """Read the published shape: {axis: {"degree": number, "follows": axis or null}}; absent axes are 0."""
        unknown = set(pattern) - set(AXES)
        if unknown:
            raise InvalidPatternError(f"Unknown axis {sorted(unknown)[0]!r}; the axes are {', '.join(AXES)}.")
        degrees, follows = [], []
        for axis in AXES:
            entry = pattern.get(axis) or {}
            degree, root = entry.get("degree", 0), entry.get("follows")
            if isinstance(degree, bool) or not isinstance(degree, int | float):
                raise InvalidPatternError(f"The degree of {axis} must be a number from -4 to +4.")
            if root is not None and (not isinstance(root, str) or root not in AXIS_INDEX):
                raise InvalidPatternError(f"{axis} follows {root!r}, which is not an axis.")
            degrees.append(float(degree))
            follows.append(None if root is None else AXIS_INDEX[str(root)])
        return cls(tuple(degrees), tuple(follows))  # type: ignore[arg-type]

    def as_mapping(self) -> dict[str, dict[str, object]]:
        """The published shape, the inverse of from_mapping."""
        return {
            axis: {
                "degree": int(degree) if float(degree).is_integer() else degree,
                "follows": None if root is None else AXES[root],
            }
            for axis, degree, root in zip(AXES, self.degrees, self.follows, strict=True)
        }


@dataclass(frozen=True)
class Presentation:
    """What fit is asked of: a pattern at a site, the action class wanted, and the person.

    ``constitution`` holds -1, 0 or +1 for each axis; ``person`` the words a caution can turn on.
    """

    site: str
    action: str
    pattern: Pattern
    constitution: Four = ZERO
    person: frozenset[str] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        if len(self.constitution) != len(AXES) or any(c not in (-1, 0, 1) for c in self.constitution):
            raise InvalidPatternError("A constitution leans -1, 0 or +1 on each of the four axes.")


def constitution_from_mapping(leanings: Mapping[str, object]) -> Four:
    """Read {axis: -1 | 0 | +1}; absent axes are 0."""
    unknown = set(leanings) - set(AXES)
    if unknown:
        raise InvalidPatternError(f"Unknown axis {sorted(unknown)[0]!r} in the constitution.")
    values: Sequence[object] = [leanings.get(axis, 0) for axis in AXES]
    if any(value not in (-1, 0, 1) for value in values):
        raise InvalidPatternError("A constitution leans -1, 0 or +1 on each axis.")
    return tuple(float(value) for value in values)  # type: ignore[arg-type, return-value]
