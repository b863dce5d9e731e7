"""Sentence planning: findings and a person become 40 to 90 words of plain prose."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from random import Random

from herbs.engine import capital

from .findings import Shown
from .people import Person, facts, leaning, situation
from .scenery import PersonWord

MIN_WORDS, MAX_WORDS = 40, 90
# The aside is the scenario between commas, or nothing; so each opening has to read well with and without it.
OPENINGS = (
    "{Who}{aside} comes to the clinic with {complaint}.",
    "{Who}{aside} asks about {complaint}.",
    "{Who}{aside} has come about {complaint}.",
    "{Who}{aside} seeks help with {complaint}.",
    "At the student clinic {who}{aside} describes {complaint}.",
    "Your supervisor sends you {who}{aside} about {complaint}.",
    "The notes tell of {who}{aside} bothered by {complaint}.",
    "{Who}{aside} speaks of {complaint}.",
    "First in the morning {who}{aside} asks about {complaint}.",
    "Think of {who}{aside} bothered by {complaint}.",
    "{Who}{aside} was sent here about {complaint}.",
    "A colleague tells of {who}{aside} bothered by {complaint}.",
    "You meet {who}{aside} bothered by {complaint}.",
    "Late in the morning {who}{aside} comes about {complaint}.",
    "{Who}{aside} wants advice on {complaint}.",
)
TELLS = (("reports", "report"), ("describes", "describe"), ("mentions", "mention"), ("tells you of", "tell you of"))
# No verb of telling twice running.
TELLS_AFTER = tuple(tuple(verbs for verbs in TELLS if verbs[0] not in opening) for opening in OPENINGS)
# Orders of what follows the opening. What is recalled follows what is told, and an idle finding, which is told "also", both;
# "no other illness" is said only after a long illness is.
PLANS = (
    ("told", "recalled", "idle", "found", "constitution", "facts"),
    ("found", "told", "recalled", "idle", "constitution", "facts"),
    ("constitution", "told", "recalled", "idle", "facts", "found"),
    ("constitution", "facts", "told", "recalled", "idle", "found"),
    ("found", "constitution", "facts", "told", "recalled", "idle"),
    ("constitution", "facts", "found", "told", "recalled", "idle"),
)
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
WORD = re.compile(r"[\w’'-]+")
NO_SCENARIO = "none"
ROOM = 84  # words up to which a vignette has room for a scenario: variety is not worth a long text
OBJECTS = {"she": "her", "he": "him", "they": "them"}


@dataclass(frozen=True)
class Vignette:
    """A presentation in prose, and its skeleton: a slug of opening, scenario and sentence order, such as "o3-coins-p2".

    Two vignettes of one skeleton read alike whatever their findings are; a form takes one of them at most.
    """

    text: str
    skeleton: str


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
    return len(WORD.findall(text))


def who(person: Person) -> str:
    """The person in words: "a woman of 34"."""
    return f"a {person.noun} of {person.age}"


def skeleton(opening: int, scenario: str, plan: int) -> str:
    """The slug of an opening and a plan, by their numbers from 0, and of a scenario by its slug."""
    return f"o{opening + 1}-{scenario}-p{plan + 1}"


def write(
    complaint: str,
    person: Person,
    findings: Sequence[Shown],
    words: Mapping[str, PersonWord],
    turns_on: Iterable[str],
    rng: Random,
) -> Vignette:
    """The vignette: an opening, then what is told, what came first, what is found, constitution and facts in some order.

    The scenario is left out where it would make the vignette long.
    """
    opening, plan = rng.randrange(len(OPENINGS)), rng.randrange(len(PLANS))
    return compose(complaint, person, findings, words, turns_on, rng, opening=opening, plan=plan)


def compose(
    complaint: str,
    person: Person,
    findings: Sequence[Shown],
    words: Mapping[str, PersonWord],
    turns_on: Iterable[str],
    rng: Random,
    *,
    opening: int,
    plan: int,
) -> Vignette:
    """The vignette with a given opening and plan (numbers from 0); verbs are still drawn."""
    said = _sentences(person, findings, words, turns_on, TELLS_AFTER[opening], rng)
    rest = " ".join(sentence for slot in PLANS[plan] for sentence in said[slot])
    scenario, named = person.scenario, who(person)

    def text(aside: str) -> str:
        first = OPENINGS[opening].format(who=named, Who=capital(named), complaint=complaint, aside=aside)
        return f"{first} {rest}" if rest else first

    if scenario is not None:
        with_scenario = text(f", {scenario.text},")
        if count_words(with_scenario) <= ROOM:
            return Vignette(with_scenario, skeleton(opening, scenario.slug, plan))
    return Vignette(text(""), skeleton(opening, NO_SCENARIO, plan))


def _sentences(
    person: Person,
    findings: Sequence[Shown],
    words: Mapping[str, PersonWord],
    turns_on: Iterable[str],
    tells: Sequence[tuple[str, str]],
    rng: Random,
) -> dict[str, list[str]]:
    """Sentences by slot of a plan; a slot may be empty."""
    subject, plural = capital(person.pronouns.subject), person.pronouns.plural
    told = [f.text for f in findings if f.kind == "told" and not f.order and f.evidence]
    idle = [f.text for f in findings if f.kind == "told" and not f.order and not f.evidence]
    seen = [f.text for f in findings if f.kind != "told"]
    stated = (facts(person, words), situation(person, words, turns_on))
    return {
        "told": [f"{subject} {rng.choice(tells)[plural]} {listing(told)}."] if told else [],
        "recalled": [f"{subject} {rng.choice(RECALLS)[plural]} {f.text}." for f in findings if f.order],
        "idle": [f"{subject} also {'speak' if plural else 'speaks'} of {listing(idle)}."] if idle else [],
        "found": [f"{rng.choice(FINDS)} {listing(seen)}."] if seen else [],
        "constitution": _constitution(person),
        "facts": [f"{subject} {listing([agree(fact, plural) for fact in said])}." for said in stated if said],
    }


def _constitution(person: Person) -> list[str]:
    pronouns = person.pronouns
    lean = leaning(person)
    sentences = [f"{capital(pronouns.subject)} {agree(lean, pronouns.plural)}."] if lean else []
    if person.vigour == "spent":
        sentences.append(f"A long illness has left little strength in {OBJECTS[pronouns.subject]}.")
    return sentences
