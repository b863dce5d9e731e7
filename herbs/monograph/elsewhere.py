"""What sources say that are not computed with: other traditions, and lore."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from herbs.models import Claim

from .words import PREDICATE

HEADINGS = {
    PREDICATE.DEGREE: "Degrees",
    PREDICATE.TASTE: "Taste",
    PREDICATE.ACTION: "Actions",
    PREDICATE.AFFINITY: "Places",
    PREDICATE.STATE: "States",
    PREDICATE.INDICATION: "Indications",
    PREDICATE.CORRESPONDENCE: "Correspondences",
}
Tell = Callable[[Claim], dict[str, Any]]


def by_source(claims: Iterable[Claim], headings: Callable[[Claim], str], tell: Tell) -> list[dict[str, Any]]:
    """Claims under their traditions and sources, in the sources' order: what each says, under headings.

    ``tell`` makes an entry of a claim; ``headings`` names the heading it stands under. Each tradition holds its sources,
    each source its citation, basis and topics [(heading, entries)].
    """
    traditions: dict[str, dict[str, Any]] = {}
    for claim in sorted(claims, key=lambda claim: claim.source.position):
        source = claim.source
        tradition = traditions.setdefault(
            source.tradition.slug, {"slug": source.tradition.slug, "name": source.tradition.name, "sources": {}}
        )
        told = tradition["sources"].setdefault(
            source.slug,
            {
                "citation": source.citation,
                "published": source.basis == "published",
                "basis": source.get_basis_display(),
                "topics": defaultdict(list),
            },
        )
        told["topics"][headings(claim)].append(tell(claim))
    return [
        {**tradition, "sources": [{**s, "topics": list(s["topics"].items())} for s in tradition["sources"].values()]}
        for tradition in traditions.values()
    ]


def heading_of(claim: Claim) -> str:
    """The heading a claim stands under."""
    return HEADINGS[PREDICATE(claim.predicate)]


def ordered(claims: dict[str, list[Claim]], predicates: Sequence[str]) -> list[Claim]:
    """The claims of some predicates, in the predicates' order."""
    return [claim for predicate in predicates for claim in claims[predicate]]
