"""What the engine reads: statements about a part, the sources' roles, and the rules that derive actions."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Predicate = Literal["degree", "action", "affinity", "caution"]
Role = Literal["decides", "widens", "shown"]


@dataclass(frozen=True)
class Statement:
    """One computable claim about a part.

    ``subject`` is an axis, an action, a site (for an affinity) or a person word (for a caution); ``amount`` the
    degree (-4..+4) or strength (0..3); for a caution 1.0 when it makes the herb unsafe, else 0.0. ``form`` and
    ``site`` qualify the claim; None means everywhere.
    """

    predicate: Predicate
    subject: str
    amount: float
    source: str
    form: str | None = None
    site: str | None = None


@dataclass(frozen=True)
class PartRecord:
    """A part of an herb with everything said about it that can be computed with."""

    slug: str
    label: str
    latin: str
    part: str
    usual_form: str
    statements: tuple[Statement, ...]
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class TeachingSet:
    """Sources in order with their roles, and overrides {(row slug, axis): degree}.

    The first source that *decides* and speaks gives the working value; deciding and widening sources span the
    interval; *shown* sources are never computed with.
    """

    slug: str
    roles: tuple[tuple[str, Role], ...]
    overrides: Mapping[tuple[str, str], float] = field(default_factory=dict)
    revision: int = 1

    def sources(self, *roles: Role) -> tuple[str, ...]:
        """Source slugs that hold one of the roles, in order."""
        return tuple(source for source, role in self.roles if role in roles)


@dataclass(frozen=True)
class DerivedRule:
    """An action that amounts to another at a site: a demulcent with respiratory affinity acts there as an expectorant.

    ``says`` is the derivation in words, ``reason`` the same for a student, as a sentence; ``state`` (axis, sign), where
    given, limits its use to states that lean that way.
    """

    source: str
    site: str
    target: str
    says: str
    reason: str = ""
    state: tuple[str, int] | None = None


@dataclass(frozen=True)
class ActionTerm:
    """An action word with the actions that undo it at the same site."""

    slug: str
    name: str
    plural: str
    opposed: frozenset[str] = field(default_factory=frozenset)
    is_class: bool = False
