"""What is claimed, by whom, and on what basis: the counts a reader needs before trusting the data."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from .models import Basis, Claim, Herb, Part, Tradition

# What the arithmetic and its traditions speak of: qualities, and what a part does, where, for which state.
ENERGETIC = (
    Claim.Predicate.DEGREE, Claim.Predicate.ACTION, Claim.Predicate.AFFINITY, Claim.Predicate.STATE, Claim.Predicate.TASTE,
)  # fmt: skip


@dataclass
class Summary:
    """Counts over all claims.

    ``published_read`` are published claims read in a reference table; other published claims are cited from memory.
    ``parts_published`` counts parts with an energetic claim from a published source, ``parts_read`` those with one that was read.
    """

    herbs: int = 0
    parts: int = 0
    claims: int = 0
    energetic: int = 0
    energetic_published: int = 0
    energetic_read: int = 0
    parts_published: int = 0
    parts_read: int = 0
    by_basis: Counter[str] = field(default_factory=Counter)
    by_predicate: Counter[str] = field(default_factory=Counter)
    by_tradition: Counter[str] = field(default_factory=Counter)
    by_source: Counter[str] = field(default_factory=Counter)


def basis_of(basis: str, seen: str) -> str:
    """The basis of one claim: a published source that is cited from memory rests on memory until somebody reads it."""
    return str(Basis.MEMORY) if basis == Basis.PUBLISHED and seen == Claim.Seen.MEMORY else basis


def summary() -> Summary:
    """The counts, in four queries."""
    found = Summary(herbs=Herb.objects.count(), parts=Part.objects.count())
    traditions = dict(Tradition.objects.values_list("slug", "name"))
    published, read = set(), set()
    rows = Claim.objects.values_list(
        "part_id", "predicate", "seen", "source__slug", "source__basis", "source__tradition__slug"
    )
    for part, predicate, seen, source, basis, tradition in rows.iterator():
        found.claims += 1
        found.by_basis[basis_of(basis, seen)] += 1
        found.by_predicate[predicate] += 1
        found.by_tradition[traditions[tradition]] += 1
        found.by_source[source] += 1
        if predicate in ENERGETIC:
            found.energetic += 1
            if basis == Basis.PUBLISHED:
                found.energetic_published += 1
                published.add(part)
                if seen == Claim.Seen.TABLE:
                    found.energetic_read += 1
                    read.add(part)
    found.parts_published, found.parts_read = len(published), len(read)
    return found


def listed(basis: str) -> Iterable[str]:
    """A line for each claim on a basis: part, predicate, subject, source."""
    claims = Claim.objects.select_related("part", "source").order_by("part__slug", "position")
    for claim in claims.iterator(chunk_size=2000):
        if basis_of(claim.source.basis, claim.seen) == basis:
            amount = "" if claim.amount is None else f" {claim.amount:+g}"
            place = f" ({claim.site})" if claim.site else ""
            yield f"{claim.part.slug}: {claim.predicate} {claim.subject}{amount}{place} [{claim.source.slug}]"
