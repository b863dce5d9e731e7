"""Words for figures and for single claims."""

from collections.abc import Iterable, Mapping
from typing import Any

from herbs.catalogue import MateriaMedica, degree_words
from herbs.engine import AXES, pole
from herbs.models import Claim, Term

DEGREE_WORDS = ("temperate", "slight", "plain", "leading", "extreme")
STRENGTH_WORDS = ("hardly any", "slight", "plain", "leading")
TIMES = ("", "once", "twice", "three times", "four times", "five times", "six times", "seven times", "eight times")
LORE_PREFIX = "history of ideas:"
GROUP_WORDS = {"sign": "sign of the zodiac"}
PREDICATE = Claim.Predicate


def signed(value: float) -> str:
    """A signed number as it is printed: +2, −1, 0."""
    return "0" if not value else f"{value:+g}".replace("-", "−")


def kind(values: Iterable[float]) -> str:
    """The kind of an herb in words: "warming, drying, stirring"."""
    words = {
        "warms": "warming", "cools": "cooling", "moistens": "moistening", "dries": "drying", "tightens": "tightening",
        "relaxes": "relaxing", "stirs": "stirring", "quiets": "quieting",
    }  # fmt: skip
    named = [words[pole(axis, v)] for axis, v in zip(AXES, values, strict=True) if v]
    return ", ".join(named) if named else "temperate"


def strength_word(amount: float | None) -> str:
    """A strength from 0 to 3 in a word."""
    return STRENGTH_WORDS[round(amount or 0)]


def spaced(slug: str) -> str:
    """A slug as words."""
    return slug.replace("-", " ")


def where(claim: Claim, medica: MateriaMedica) -> str:
    """The place and form that a claim is limited to: " in the bladder, as cold infusion"; "" for a general one."""
    place = f" in the {medica.catalogue.graph[claim.site].name}" if claim.site else ""
    if not claim.form:
        return place
    return f"{place}, as {spaced(claim.form)}" if place else f" as {spaced(claim.form)}"


def is_lore(claim: Claim, medica: MateriaMedica) -> bool:
    """Whether a claim belongs to the history of ideas whoever makes it: a correspondence, a humoral action, a marked text."""
    if claim.predicate == PREDICATE.ACTION:
        return bool(medica.terms[Term.Kind.ACTION][claim.subject].get("history"))
    if claim.predicate == PREDICATE.INDICATION:
        return claim.subject.startswith(LORE_PREFIX)
    return claim.predicate == PREDICATE.CORRESPONDENCE


def claim_words(claim: Claim, medica: MateriaMedica) -> str:
    """One claim of degree, action, place, state, taste, indication or correspondence in words, without its note."""
    terms, subject = medica.terms, claim.subject
    match claim.predicate:
        case PREDICATE.DEGREE:
            return degree_words(subject, claim.amount or 0.0) + where(claim, medica)
        case PREDICATE.ACTION:
            name = terms[Term.Kind.ACTION][subject]["name"]
            return f"{strength_word(claim.amount)} {name}{where(claim, medica)}"
        case PREDICATE.AFFINITY:
            return f"{medica.catalogue.graph[subject].name} ({strength_word(claim.amount)}){where(claim, medica)}"
        case PREDICATE.STATE:
            return str(terms[Term.Kind.STATE][subject]["name"])
        case PREDICATE.TASTE:
            return str(terms[Term.Kind.TASTE][subject]["name"])
        case PREDICATE.CONSTITUENT:
            return str(terms[Term.Kind.CONSTITUENT][subject]["name"])
        case PREDICATE.CORRESPONDENCE:
            return correspondence_words(terms[Term.Kind.CORRESPONDENCE][subject])
        case _:
            return subject.removeprefix(LORE_PREFIX).strip()


def correspondence_words(term: Mapping[str, Any]) -> str:
    """A correspondence with what it is one of: "planet: Venus"."""
    group = str(term.get("group", ""))
    return f"{GROUP_WORDS.get(group, group)}: {term['name']}" if group else str(term["name"])


def dose_words(details: Mapping[str, Any], menstrua: Mapping[str, Mapping[str, Any]]) -> str:
    """How a preparation is made and measured: "1:5 in alcohol and water (45 % by volume); 2 to 4 ml three times a day"."""
    made = str(details.get("ratio", ""))
    if details.get("menstruum"):
        made = f"{made} in {menstrua[details['menstruum']]['name']}".strip()
    if details.get("alcohol"):
        made += f" ({details['alcohol']:g} % by volume)"
    said = [made] if made else []
    if "low" in details and "high" in details:
        low, high = float(details["low"]), float(details["high"])
        band = f"{low:g}" if low == high else f"{low:g} to {high:g}"
        times = f" {TIMES[int(details['times'])]} a day" if details.get("times") else ""
        said.append(f"{band} {details['unit']}{times}")
    if details.get("course"):
        days = int(details["course"])
        said.append(f"longest course {days} day{'' if days == 1 else 's'}")
    return "; ".join(said)
