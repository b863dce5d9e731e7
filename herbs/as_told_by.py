"""One herb under each tradition, and the cross-walk of terms."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from .catalogue import MateriaMedica
from .engine import AXES, HERB_POLES, STATE_POLES, capital, pole
from .models import Claim, Herb, Part, Source, Term
from .monograph.elsewhere import HEADINGS, by_source, heading_of
from .monograph.words import PREDICATE, claim_words, is_lore, signed

TOPICS = (*(capital(axis) for axis in AXES), "Taste", "Actions", "Places", "States", "Indications", "Lore")
KINDS = {"state": "States and conditions", "quality": "Qualities and natures", "action": "Actions"}


def told_by_traditions(herb: Herb, medica: MateriaMedica) -> list[dict[str, Any]]:
    """For each part: a table of degrees by tradition, and what each tradition's sources say, topic by topic."""
    return [_part(part, medica) for part in herb.parts.all()]


def _part(part: Part, medica: MateriaMedica) -> dict[str, Any]:
    claims = [claim for claim in part.claims.all() if claim.predicate in HEADINGS]

    def topic(claim: Claim) -> str:
        if is_lore(claim, medica):
            return "Lore"
        return capital(claim.subject) if claim.predicate == PREDICATE.DEGREE else heading_of(claim)

    def tell(claim: Claim) -> dict[str, Any]:
        return {
            "says": claim_words(claim, medica),
            "note": claim.note.rstrip("."),
            "from_memory": claim.seen == Claim.Seen.MEMORY,
        }

    traditions = by_source(sorted(claims, key=lambda claim: TOPICS.index(topic(claim))), topic, tell)
    return {"part": part, "traditions": traditions, "table": _degrees(claims)}


def _degrees(claims: Iterable[Claim]) -> list[dict[str, Any]]:
    """General degrees by tradition and axis: one figure, or the span of what its sources say; "" where it is silent."""
    said: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for claim in sorted(claims, key=lambda claim: claim.source.position):
        if claim.predicate == PREDICATE.DEGREE and not claim.form and not claim.site:
            said[claim.source.tradition.name][claim.subject].append(claim.amount or 0.0)
    return [
        {"tradition": tradition, "cells": [_span(axes.get(axis, [])) for axis in AXES]}
        for tradition, axes in said.items()
    ]


def _span(degrees: list[float]) -> str:
    if not degrees:
        return ""
    low, high = min(degrees), max(degrees)
    return signed(low) if low == high else f"{signed(low)} to {signed(high)}"


def cross_walk_tables(medica: MateriaMedica) -> list[dict[str, Any]]:
    """Terms of each tradition and what they mean here, in the order of the file; one query for the sources."""
    sources = {source.slug: source for source in Source.objects.select_related("tradition")}
    names = {source.tradition.slug: source.tradition.name for source in sources.values()}
    grouped: dict[str, dict[str, list[dict[str, Any]]]] = defaultdict(lambda: defaultdict(list))
    for term in medica.terms[Term.Kind.CROSS_WALK].values():
        source = sources[term["source"]]
        grouped[term["tradition"]][term["kind"]].append(
            {
                "slug": term["slug"],
                "name": term["name"],
                "means": term["means"],
                "pattern": pattern_words(term.get("pattern") or {}, term["kind"]),
                "note": term.get("note", ""),
                "citation": source.citation,
                "published": source.basis == "published",
                "from_memory": term.get("seen") == "memory",
            }
        )
    return [
        {
            "slug": tradition,
            "name": names.get(tradition, tradition),
            "tables": [(KINDS[kind], kinds[kind]) for kind in KINDS if kind in kinds],
        }
        for tradition, kinds in grouped.items()
    ]


def pattern_words(pattern: Mapping[str, float], kind: str) -> str:
    """A pattern in words and figures, the axes in order: of a state "cold −2, damp +2", of a quality or action "warms +2"."""
    poles = STATE_POLES if kind == "state" else HERB_POLES
    return ", ".join(
        f"{pole(axis, pattern[axis], poles)} {signed(pattern[axis])}" for axis in AXES if pattern.get(axis)
    )
