"""From garden to glass, and what to mind: preparations, growing and gathering, cautions."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from herbs.catalogue import MateriaMedica
from herbs.models import Claim, Term

from .words import PREDICATE, dose_words, spaced

GRAVITY = {"contraindicated": 0, "avoid": 1, "interaction": 2, "monitor": 3}
GRAVE = ("contraindicated", "avoid")
REASONS = {
    "harm-known": "harm is known",
    "harm-expected": "harm is expected",
    "no-data": "there are no data on safety",
}


def preparations(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Preparations, each with the ways it is made and dosed, what it takes out of the plant, and its own hazard."""
    menstrua = medica.terms[Term.Kind.MENSTRUUM]
    grouped: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        grouped[claim.subject].append(claim)
    told = []
    for slug, found in grouped.items():
        term = medica.terms[Term.Kind.PREPARATION][slug]
        ways = []
        for claim in found:
            made = f"{spaced(claim.form)}: " if claim.form else ""
            said = "; ".join(filter(None, [dose_words(claim.details, menstrua), claim.note.rstrip(".")]))
            ways.append(f"{made}{said}" if said else "")
        told.append(
            {
                "name": term["name"],
                "ways": list(dict.fromkeys(filter(None, ways))),
                "extracts": term.get("extracts", ""),
                "hazard": term.get("hazard", ""),
            }
        )
    return told


def preparation_words(claim: Claim, medica: MateriaMedica) -> str:
    """A preparation in a margin note."""
    return str(medica.terms[Term.Kind.PREPARATION][claim.subject]["name"])


def growing(claims: dict[str, list[Claim]], medica: MateriaMedica) -> list[tuple[str, list[str]]]:
    """Habitat, sowing, harvest and drying: (heading, what is said), those that are known."""
    sowings, seasons = medica.terms[Term.Kind.SOWING], medica.terms[Term.Kind.SEASON]
    said = [
        ("Habitat", [_noted(claim.subject, claim) for claim in claims[PREDICATE.HABITAT]]),
        ("Raising", [_noted(sowings[claim.subject]["name"], claim) for claim in claims[PREDICATE.SOWING]]),
        (
            "Harvest",
            [_noted(seasons[claim.subject]["name"] + _age(claim), claim) for claim in claims[PREDICATE.HARVEST]],
        ),
        ("Drying and keeping", [_noted(claim.subject, claim) for claim in claims[PREDICATE.DRYING]]),
    ]
    return [(heading, list(dict.fromkeys(texts))) for heading, texts in said if texts]


def _age(claim: Claim) -> str:
    age = claim.details.get("age")
    return f", from plants of {age:g} year{'' if age == 1 else 's'} or more" if age else ""


def _noted(text: str, claim: Claim) -> str:
    return f"{text}: {claim.note.rstrip('.')}" if claim.note else text


def texts(claims: Iterable[Claim]) -> list[str]:
    """What claims that are plain text say, with their remarks."""
    return list(dict.fromkeys(_noted(claim.subject, claim) for claim in claims))


def cautions(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Cautions, the gravest first; what several sources say of one person at one level stands together."""
    words = medica.terms[Term.Kind.PERSON_WORD]
    grouped: dict[tuple[str, str, str, str], list[Claim]] = defaultdict(list)
    for claim in sorted(claims, key=lambda claim: GRAVITY[claim.level]):
        grouped[claim.level, claim.subject, claim.reason, claim.form].append(claim)
    return [
        {
            "level": level.capitalize(),
            "grave": level in GRAVE,
            "who": words[subject]["name"],
            "form": spaced(form),
            "reason": REASONS[reason],
            "notes": [
                note[:1].upper() + note[1:]
                for note in dict.fromkeys(claim.note.strip().rstrip(".") for claim in found)
                if note
            ],
        }
        for (level, subject, reason, form), found in grouped.items()
    ]


def caution_words(claim: Claim, medica: MateriaMedica) -> str:
    """A caution in a margin note."""
    return f"{medica.terms[Term.Kind.PERSON_WORD][claim.subject]['name']} ({claim.level})"
