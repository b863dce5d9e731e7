"""Sentence planning: findings and a person become 40 to 90 words of plain prose."""

import re
from collections.abc import Iterable, Mapping, Sequence
from random import Random

from herbs.engine import capital

from .findings import Shown
from .people import Person, facts, leaning, situation
from .scenery import PersonWord

MIN_WORDS, MAX_WORDS = 40, 90
OPENINGS = (
    "{Who} comes to the teaching clinic with {complaint}.",
    "{Who} asks about {complaint}.",
    "{Who} has come about {complaint}.",
    "{Who} seeks help with {complaint}.",
    "At the student clinic {who} describes {complaint}.",
    "Your supervisor hands you the notes of {who} with {complaint}.",
    "The notes tell of {who} with {complaint}.",
    "{Who} sits down and speaks of {complaint}.",
    "The first visit of the morning is {who} with {complaint}.",
    "You are asked to think about {who} with {complaint}.",
    "{Who} has been sent to the teaching clinic about {complaint}.",
    "A colleague tells you of {who} with {complaint}.",
    "On your clinic day you meet {who} with {complaint}.",
)
TELLS = (("reports", "report"), ("describes", "describe"), ("mentions", "mention"), ("tells you of", "tell you of"))
RECALLS = (("recalls", "recall"), ("remembers", "remember"))
FINDS = ("You find", "You notice", "You observe", "Examination shows")
PLURALS = {
    "is": "are",
    "has": "have",
    "takes": "take",
    "tends": "tend",
    "reacts": "react",
    "does": "do",
    "drives": "drive",
}
INNER = ((" but has ", " but have "),)


def listing(items: Sequence[str]) -> str:
    """Items joined with commas and *and*; with semicolons where an item has a comma or an *and* of its own."""
    if len(items) == 1:
        return items[0]
    nested = any("," in item or " and " in item for item in items)
    if len(items) == 2:
        return f"{items[0]}{',' if nested else ''} and {items[1]}"
    if nested:
        return "; ".join(items[:-1]) + "; and " + items[-1]
    return ", ".join(items[:-1]) + " and " + items[-1]


def agree(predicate: str, plural: bool) -> str:
    """A singular predicate for a plural pronoun: "is not pregnant" -> "are not pregnant"."""
    if not plural:
        return predicate
    verb, _, rest = predicate.partition(" ")
    for singular, several in INNER:
        rest = rest.replace(singular.strip(), several.strip())
    return f"{PLURALS.get(verb, verb)} {rest}"


def count_words(text: str) -> int:
    """Words as a reader counts them: runs of letters or digits, apostrophes and hyphens within."""
    return len(re.findall(r"[\w’'-]+", text))


def who(person: Person) -> str:
    """The person in words: "a woman of 34"."""
    return f"a {person.noun} of {person.age}"


def write(
    complaint: str,
    person: Person,
    findings: Sequence[Shown],
    words: Mapping[str, PersonWord],
    turns_on: Iterable[str],
    rng: Random,
) -> str:
    """The vignette: opening, what is told, what came first, what is found, constitution, and the person's facts."""
    subject, plural = person.pronouns.subject, person.pronouns.plural
    opening = rng.choice(OPENINGS).format(
        who=who(person), Who=capital(who(person)), complaint=complaint, Complaint=capital(complaint)
    )
    sentences = [opening]
    told = [f.text for f in findings if f.kind == "told" and not f.order and f.evidence]
    idle = [f.text for f in findings if f.kind == "told" and not f.order and not f.evidence]
    if told:
        tells = rng.choice([verbs for verbs in TELLS if verbs[0] not in opening])
        sentences.append(f"{capital(subject)} {tells[plural]} {listing(told)}.")
    for finding in findings:
        if finding.order:
            sentences.append(f"{capital(subject)} {rng.choice(RECALLS)[plural]} {finding.text}.")
    if idle:
        sentences.append(f"{capital(subject)} also {'speak' if plural else 'speaks'} of {listing(idle)}.")
    seen = [f.text for f in findings if f.kind != "told"]
    if seen:
        sentences.append(f"{rng.choice(FINDS)} {listing(seen)}.")
    lean = leaning(person)
    if lean:
        sentences.append(f"{capital(subject)} {agree(lean, plural)}.")
    if person.vigour == "spent":
        sentences.append(
            f"A long illness has left little strength in {'them' if plural else 'her' if subject == 'she' else 'him'}."
        )
    for stated in (facts(person, words), situation(person, words, turns_on)):
        if stated:
            sentences.append(f"{capital(subject)} {listing([agree(fact, plural) for fact in stated])}.")
    return " ".join(sentences)
