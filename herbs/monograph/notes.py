"""Margin notes: who says what is said beside them."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from herbs.catalogue import MateriaMedica
from herbs.models import Claim, Source

from .words import claim_words


def notes(said: Iterable[tuple[Claim, str]]) -> list[dict[str, Any]]:
    """One note for each source, in the order in which they first speak, with what each says.

    What a source was seen to say stands apart from what is cited of it from memory.
    """
    grouped: dict[tuple[str, str], list[str]] = defaultdict(list)
    sources: dict[str, Source] = {}
    for claim, words in said:
        sources[claim.source.slug] = claim.source
        grouped[claim.source.slug, claim.seen].append(words)
    return [
        {
            "citation": sources[slug].citation,
            "published": sources[slug].basis == "published",
            "says": "; ".join(dict.fromkeys(words)),
            "from_memory": seen == Claim.Seen.MEMORY,
        }
        for (slug, seen), words in grouped.items()
    ]


def notes_on(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Notes that repeat each claim in words, with its remark."""
    return notes((claim, claim_words(claim, medica) + (f" ({claim.note})" if claim.note else "")) for claim in claims)
