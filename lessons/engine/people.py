"""The invented person of a vignette: age, pronouns, constitution, and the words cautions turn on."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from random import Random

from herbs.engine import Pattern

from .scenery import Asking, PersonWord, Scenario, Scenery

WOMEN_ONLY = frozenset({"pregnancy", "breastfeeding", "hormonal-contraception"})
# Groups of words that no vignette draws: everybody is grown up, and a pregnancy is in its fourth month.
NOT_DRAWN = frozenset({"age", "other"})
CHILDBEARING = range(18, 55)
YOUNGEST = 19  # of the adults in vignettes; what comes with years is not drawn for complaints of the young
OLDEST = 76
WOMENS_AGES = (20, 42)  # of who comes with a complaint of women, or a word that only women have
LACKS = "has no "
LEANINGS = (
    ("has always felt the cold", "has always felt the heat"),
    ("has always had dry skin", "has always had moist skin"),
    ("has been loose-limbed from youth", "has been tightly strung from youth"),
    ("has always been unhurried", "has always been quick in speech and step"),
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
    """Age in years, noun (woman, man, person), words that hold of the person, the leaning of the constitution, and a scenario."""

    age: int
    noun: str
    words: frozenset[str]
    constitution: tuple[float, float, float, float]
    vigour: str = "ordinary"
    scenario: Scenario | None = None

    @property
    def pronouns(self) -> Pronouns:
        """Pronouns as the record allows."""
        return PRONOUNS[self.noun]

    def may_bear(self) -> bool:
        """Whether pregnancy has to be asked about."""
        return self.noun != "man" and self.age in CHILDBEARING


def drawable(scenery: Scenery, asking: Asking, pattern: Pattern) -> list[PersonWord]:
    """The words that may be drawn for a presentation: nothing the complaint bars or implies, nor what the state could come of."""
    taken = {scenery.words[held].group for held in asking.holds}
    barred = asking.bars | asking.holds | (WOMEN_ONLY if asking.only else frozenset())
    return [
        word
        for word in scenery.words.values()
        if word.group not in NOT_DRAWN | taken
        and barred.isdisjoint({word.slug, *word.implies})
        and asking.action in (word.only_for or {asking.action})
        and not (asking.only and word.from_age > YOUNGEST)
        and not (word.not_with and pattern.degrees[word.not_with[0]] * word.not_with[1] > 0)
    ]


def draw(
    rng: Random,
    *,
    only: str | None,
    word: PersonWord | None,
    constitution: tuple[float, ...],
    vigour: str,
    holds: frozenset[str] = frozenset(),
    scenarios: Sequence[Scenario] = (),
) -> Person:
    """An adult to whom a person word, if any, can apply, and the words that hold of everybody with the complaint.

    Of the scenarios one is drawn that fits the age and the words; without any, the person has none.
    """
    noun = rng.choices(("woman", "man", "person"), (45, 42, 13))[0]
    slug = word.slug if word else None
    womens = bool(only or slug in WOMEN_ONLY or holds & WOMEN_ONLY)
    if womens:
        noun = "woman"
    age = rng.randint(max(YOUNGEST, word.from_age if word else 0), OLDEST)
    if womens:
        age = rng.randint(*WOMENS_AGES)
    words = holds | ({slug} if slug else set())
    fitting = [s for s in scenarios if s.from_age <= age <= s.to_age and words.isdisjoint(s.bars)]
    scenario = rng.choice(fitting) if fitting else None
    return Person(age, noun, words, tuple(constitution), vigour, scenario)  # type: ignore[arg-type]


def facts(person: Person, words: Mapping[str, PersonWord]) -> list[str]:
    """Predicates that state the attributes a caution can turn on: "takes no medicines", "is not pregnant" ...

    Pregnancy (where it can be), medicines, illness and allergies are stated always, so that the sentence does not hint at
    what the options hold. Written for a singular subject.
    """
    said = []
    have = {words[word].group: words[word] for word in sorted(person.words)}
    if person.may_bear():
        said.append(have["life"].yes if "life" in have else "is not pregnant or breastfeeding")
    medicine = f"{have['medicine'].yes} but no other medicine" if "medicine" in have else "takes no medicines"
    illness = f"{have['condition'].yes} but has no other illness" if "condition" in have else "has no other illness"
    if "condition" in have and have["condition"].treated and "medicine" not in have:
        # Who is under a doctor for it takes something for it; nothing else is what the cautions ask about.
        said += [illness, "takes no medicines beyond those given for it"]
    else:
        said += [medicine, illness]
    said.append(f"{have['allergy'].yes} but has no other allergies" if "allergy" in have else "has no known allergies")
    return _merged(said)


def situation(person: Person, words: Mapping[str, PersonWord], turns_on: Iterable[str]) -> list[str]:
    """Predicates on sun, driving and surgery, only where some option turns on them: "has no operation planned"."""
    turned = sorted(word for word in {*turns_on, *person.words} if words[word].group == "situation")
    return [words[word].yes if word in person.words else words[word].no for word in turned]


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
