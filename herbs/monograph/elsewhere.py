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
READ = "Read in a reference table."
RECALLED = "Cited from memory, to be verified."
PARTLY_READ = "Read in a reference table, except where marked."
RUN_ON = ("Taste", "Actions", "Places", "States")  # told in one run, not one to a line
Tell = Callable[[Claim], dict[str, Any]]


def by_source(claims: Iterable[Claim], headings: Callable[[Claim], str], tell: Tell) -> list[dict[str, Any]]:
    """Claims under their traditions and sources, in the sources' order: what each says, under headings.

    ``tell`` makes an entry of a claim; ``headings`` names the heading it stands under. Each tradition holds its sources,
    each source its citation, whether it was read, and topics [(heading, entries, whether in one run)].
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
                "topics": defaultdict(list),
            },
        )
        told["topics"][headings(claim)].append(tell(claim))
    return [
        {**tradition, "sources": [_closed(source) for source in tradition["sources"].values()]}
        for tradition in traditions.values()
    ]


def _closed(source: dict[str, Any]) -> dict[str, Any]:
    """A source with its topics as a list, and how much of it was read: in full, in part, or recalled."""
    topics = [(heading, entries, heading in RUN_ON) for heading, entries in source["topics"].items()]
    recalled = {entry["from_memory"] for _, entries, _ in topics for entry in entries}
    seen = ""
    if source["published"]:
        seen = PARTLY_READ if len(recalled) > 1 else RECALLED if True in recalled else READ
    return {**source, "topics": topics, "seen": seen, "is_mixed": len(recalled) > 1}


def heading_of(claim: Claim) -> str:
    """The heading a claim stands under."""
    return HEADINGS[PREDICATE(claim.predicate)]


def ordered(claims: dict[str, list[Claim]], predicates: Sequence[str]) -> list[Claim]:
    """The claims of some predicates, in the predicates' order."""
    return [claim for predicate in predicates for claim in claims[predicate]]
