"""The body-site graph and how far a claimed affinity reaches."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from .errors import UnknownNameError

# What is left of an affinity after one step, by the kind of step. There is no second step: nothing climbs into a
# shared lining and comes down in another system.
SAME: Final = 1.0
SYSTEM_TO_ORGAN: Final = 0.8
ORGAN_TO_SYSTEM: Final = 0.67
TISSUE_TO_SERVED: Final = 0.67
ORGAN_TO_SIBLING: Final = 0.33
STRONGEST: Final = 3.0

Kind = Literal["system", "organ", "tissue"]


@dataclass(frozen=True)
class Site:
    """A place in the body. Organs name the systems they belong to, tissues the systems or organs they serve."""

    slug: str
    name: str
    kind: Kind
    parents: frozenset[str] = field(default_factory=frozenset)


class SiteGraph:
    """Sites by slug, with the two questions the arithmetic asks of them: how far, and what lies above."""

    def __init__(self, sites: Iterable[Site]) -> None:
        self.sites: Mapping[str, Site] = {site.slug: site for site in sites}
        for site in self.sites.values():
            for parent in site.parents:
                if parent not in self.sites:
                    raise UnknownNameError(f"Site {site.slug!r} belongs to {parent!r}, which is not a site.")

    def __getitem__(self, slug: str) -> Site:
        try:
            return self.sites[slug]
        except KeyError:
            raise UnknownNameError(f"There is no body site {slug!r}.") from None

    def reach(self, claimed: str, wanted: str) -> float:
        """The share (0..1) of an affinity claimed at one site that is felt at another."""
        source, target = self[claimed], self[wanted]
        if claimed == wanted:
            return SAME
        if source.kind == "tissue":
            return TISSUE_TO_SERVED if wanted in source.parents else 0.0
        if target.kind == "tissue":
            return 0.0
        if claimed in target.parents:
            return SYSTEM_TO_ORGAN
        if wanted in source.parents:
            return ORGAN_TO_SYSTEM
        if source.parents & target.parents:
            return ORGAN_TO_SIBLING
        return 0.0

    def at_or_above(self, claimed: str, wanted: str) -> bool:
        """Whether a claim made at one site holds in full at another: the same site, or a system it belongs to."""
        if claimed == wanted:
            return True
        return self[claimed].kind == "system" and self[wanted].kind == "organ" and claimed in self[wanted].parents

    def specificity(self, claimed: str | None, wanted: str) -> int | None:
        """How specific a qualified claim is at a site: 2 same place, 1 the system above, 0 unqualified, None elsewhere."""
        if claimed is None:
            return 0
        if claimed == wanted:
            return 2
        return 1 if self.at_or_above(claimed, wanted) else None

    def within(self, slug: str) -> tuple[str, ...]:
        """The site itself and the organs that belong to it, in the graph's order."""
        return tuple(s.slug for s in self.sites.values() if s.slug == slug or (s.kind == "organ" and slug in s.parents))
