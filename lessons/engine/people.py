"""The invented person of a vignette: age, pronouns, constitution, and the words cautions turn on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from random import Random

from .scenery import PersonWord

WOMEN_ONLY = {"pregnancy", "breastfeeding", "hormonal-contraception"}
CHILDBEARING = range(18, 46)
LACKS = "has no "
LEANINGS = (
    ("tends to feel cold", "tends to feel warm"),
    ("has always been dry of skin", "has always been moist of skin"),
    ("is loose-limbed by build", "is tightly strung by build"),
    ("is slow by nature", "is quick by nature"),
)


@dataclass(frozen=True)
class Pronouns:
    """Subject pronoun, possessive, and whether verbs take the plural form."""

    subject: str
    possessive: str
    plural: bool = False


PRONOUNS = {"woman": Pronouns("she", "her"), "man": Pronouns("he", "his"), "person": Pronouns("they", "their", True)}


@dataclass(frozen=True)
class Person:
    """Age in years, noun (woman, man, person), words that hold of the person, and the leaning of the constitution."""

    age: int
    noun: str
    words: frozenset[str]
    constitution: tuple[float, float, float, float]
    vigour: str = "ordinary"

    @property
    def pronouns(self) -> Pronouns:
        """Pronouns as the record allows."""
        return PRONOUNS[self.noun]

    def may_bear(self) -> bool:
        """Whether pregnancy has to be asked about."""
        return self.noun != "man" and self.age in CHILDBEARING


def draw(rng: Random, *, only: str | None, word: str | None, constitution: tuple[float, ...], vigour: str) -> Person:
    """An adult to whom a person word, if any, can apply."""
    noun = rng.choices(("woman", "man", "person"), (45, 42, 13))[0]
    if only or word in WOMEN_ONLY:
        noun = "woman"
    age = rng.randint(19, 76)
    if word in WOMEN_ONLY or only:
        age = rng.randint(20, 42)
    words = frozenset([word] if word else [])
    return Person(age, noun, words, tuple(constitution), vigour)  # type: ignore[arg-type]


def facts(person: Person, words: Mapping[str, PersonWord], turns_on: Iterable[str]) -> list[str]:
    """Predicates that state every attribute a caution turns on: "takes no medicines", "is not pregnant" ...

    ``turns_on`` are the person words that make some option unsafe. Written for a singular subject.
    """
    needed = {words[word].group for word in turns_on} | {words[word].group for word in person.words}
    said = []
    have = {words[word].group: words[word] for word in sorted(person.words)}
    if "life" in needed and person.may_bear():
        said.append(have["life"].yes if "life" in have else "is not pregnant or breastfeeding")
    for group, none, other in (
        ("medicine", "takes no medicines", "no other medicine"),
        ("condition", "has no other illness", "has no further illness"),
        ("allergy", "has no known allergies", ""),
    ):
        if group in have:
            said.append(f"{have[group].yes} and {other}" if group == "medicine" else have[group].yes)
            if group == "condition":
                said.append(other)
        elif group in needed:
            said.append(none)
    for word in sorted({w for w in turns_on if words[w].group == "situation"} - set(person.words)):
        said.append(words[word].no)
    if "situation" in have:
        said.append(have["situation"].yes)
    return _merged(said)


def _merged(predicates: list[str]) -> list[str]:
    """ "has no other illness", "has no known allergies" -> "has no other illness or known allergies"."""
    lacking = [predicate.removeprefix(LACKS) for predicate in predicates if predicate.startswith(LACKS)]
    if len(lacking) < 2:
        return predicates
    kept = [predicate for predicate in predicates if not predicate.startswith(LACKS)]
    return [*kept, f"{LACKS}{', '.join(lacking[:-1])} or {lacking[-1]}"]


def leaning(person: Person) -> str | None:
    """The constitution in words, or None when it leans nowhere."""
    for axis, lean in enumerate(person.constitution):
        if lean:
            return LEANINGS[axis][lean > 0]
    return None
