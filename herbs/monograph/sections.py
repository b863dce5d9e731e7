"""The sections of a monograph: one for each part of the plant."""

from collections import defaultdict
from typing import Any

from herbs.catalogue import MateriaMedica, degree_words
from herbs.models import Claim, Herb, Part, Term

from .axes import contrary_working_value, energetics
from .doing import actions, derived, likes, named, places
from .elsewhere import HEADINGS, by_source, heading_of, ordered
from .handling import caution_words, cautions, growing, preparation_words, preparations, texts
from .notes import notes, notes_on
from .words import PREDICATE, claim_words, is_lore, spaced

GROWING = (PREDICATE.HABITAT, PREDICATE.SOWING, PREDICATE.HARVEST, PREDICATE.DRYING)
FINDING = (PREDICATE.LOOKALIKE, PREDICATE.CONSERVATION)


def monograph(herb: Herb, medica: MateriaMedica) -> list[dict[str, Any]]:
    """The sections of a monograph, one for each part."""
    return [_section(part, medica) for part in herb.parts.all()]


def _section(part: Part, medica: MateriaMedica) -> dict[str, Any]:
    heard: dict[str, list[Claim]] = defaultdict(list)
    unheard: dict[str, list[Claim]] = defaultdict(list)
    lore: list[Claim] = []
    for claim in part.claims.all():
        if is_lore(claim, medica):
            lore.append(claim)
        elif claim.predicate in HEADINGS and claim.source.slug not in medica.heard:
            unheard[claim.predicate].append(claim)
        else:
            heard[claim.predicate].append(claim)
    row = medica.catalogue.row_number(part.slug)
    warned = cautions(heard[PREDICATE.CAUTION], medica)
    return {
        "part": part,
        "usual_form": spaced(part.usual_form),
        **energetics(row, heard[PREDICATE.DEGREE], medica),
        "degree_notes": notes_on(heard[PREDICATE.DEGREE], medica),
        "actions": actions(heard[PREDICATE.ACTION], medica),
        "derived": derived(row, medica),
        "action_notes": notes_on(heard[PREDICATE.ACTION], medica),
        "places": places(row, heard[PREDICATE.AFFINITY], medica),
        "place_notes": notes_on(heard[PREDICATE.AFFINITY], medica),
        "states": named(heard[PREDICATE.STATE], Term.Kind.STATE, medica),
        "indications": _indications(heard[PREDICATE.INDICATION]),
        "use_notes": notes(
            [(claim, claim_words(claim, medica)) for claim in heard[PREDICATE.STATE]]
            + [(claim, f"indication {number}") for claim, number in _numbered(heard[PREDICATE.INDICATION])]
        ),
        "tastes": named(heard[PREDICATE.TASTE], Term.Kind.TASTE, medica),
        "constituents": named(heard[PREDICATE.CONSTITUENT], Term.Kind.CONSTITUENT, medica),
        "substance_notes": notes_on(ordered(heard, (PREDICATE.TASTE, PREDICATE.CONSTITUENT)), medica),
        "preparations": preparations(heard[PREDICATE.PREPARATION], medica),
        "preparation_notes": notes((claim, preparation_words(claim, medica)) for claim in heard[PREDICATE.PREPARATION]),
        "growing": growing(heard, medica),
        "growing_notes": notes((claim, PREDICATE(claim.predicate).label.lower()) for claim in ordered(heard, GROWING)),
        "lookalikes": texts(heard[PREDICATE.LOOKALIKE]),
        "conservation": texts(heard[PREDICATE.CONSERVATION]),
        "finding_notes": notes((claim, _finding(claim)) for claim in ordered(heard, FINDING)),
        "cautions": warned,
        "grave": list(dict.fromkeys(caution["who"] for caution in warned if caution["grave"])),
        "caution_notes": notes((claim, caution_words(claim, medica)) for claim in heard[PREDICATE.CAUTION]),
        "likes": likes(row, medica),
        "elsewhere": _elsewhere(row, ordered(unheard, tuple(HEADINGS)), medica),
        "lore": by_source(lore, heading_of, lambda claim: _entry(claim, medica)),
    }


def _indications(claims: list[Claim]) -> list[str]:
    return list(dict.fromkeys(claim.subject for claim in claims))


def _numbered(claims: list[Claim]) -> list[tuple[Claim, int]]:
    """Indications with the number under which the page lists them."""
    order = {text: number for number, text in enumerate(_indications(claims), 1)}
    return [(claim, order[claim.subject]) for claim in claims]


def _finding(claim: Claim) -> str:
    return "look-alikes" if claim.predicate == PREDICATE.LOOKALIKE else "conservation"


def _entry(claim: Claim, medica: MateriaMedica) -> dict[str, Any]:
    """What a claim says, its remark, and whether it is cited from memory."""
    return {
        "says": claim_words(claim, medica),
        "note": claim.note.rstrip("."),
        "from_memory": claim.seen == Claim.Seen.MEMORY,
    }


def _elsewhere(row: int, claims: list[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """What sources that are shown only say. A degree on the other side of temperate from ours has ours beside it, with the
    reason where one is known."""
    part = medica.catalogue.rows[row].part_slug
    reasons = {
        (entry["axis"], entry["tradition"]): str(entry["reason"]).rstrip(".")
        for entry in medica.terms[Term.Kind.DEPARTURE].values()
        if entry["part"] == part
    }

    def tell(claim: Claim) -> dict[str, Any]:
        entry = _entry(claim, medica)
        if claim.predicate == PREDICATE.DEGREE:
            ours = contrary_working_value(claim, row, medica.catalogue)
            if ours is not None:
                entry["ours"] = degree_words(claim.subject, ours)
                entry["reason"] = reasons.get((claim.subject, claim.source.tradition.slug), "")
        return entry

    return by_source(claims, heading_of, tell)
