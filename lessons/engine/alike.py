"""Four people with one presentation: the vignette, and who may be told apart by one word each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from random import Random

from herbs.engine import Pattern

from . import people
from .findings import Shown
from .scenery import Asking, PersonWord, Scenery
from .vignette import RECALLS, Vignette, listing

OPENINGS = (
    "Four {people} {age} come to the clinic with {complaint}.",
    "Four {people} {age} wait at the student clinic with {complaint}.",
    "The notes tell of four {people} {age}, each with {complaint}.",
    "On your clinic day you meet four {people} {age} with {complaint}.",
    "Think of four {people} {age}, each bothered by {complaint}.",
    "Four {people} {age} ask about {complaint}.",
    "The day's list holds four {people} {age} with {complaint}.",
    "A fellow student tells you of four {people} {age} with {complaint}.",
)
TELLS = ("All report", "All describe", "All mention", "Each speaks of")
FINDS = ("In each you find", "In each you notice", "In each you observe", "Examination of each shows")
# Stated in whole of everybody: who has nothing to tell of has nothing at all.
APART = (
    "But for one thing at most, and what is given for it, they {facts}.",
    "Apart from one thing at most, and what is given for it, they {facts}.",
    "One thing at most, and what is given for it, sets each apart; otherwise they {facts}.",
)
FACTS = "have no other illness, medicines or allergies"
NOT_EXPECTING = "are not pregnant or breastfeeding and"
NURSING = "All are breastfeeding and not pregnant."
SPENT = "A long illness has left little strength in each."
# Orders of what follows the opening; what is recalled follows what is told.
PLANS = (
    ("told", "recalled", "found", "spent", "facts"),
    ("found", "told", "recalled", "spent", "facts"),
    ("spent", "told", "recalled", "found", "facts"),
    ("spent", "found", "told", "recalled", "facts"),
)
DECADES = {20: "in their twenties", 30: "in their thirties", 40: "in their forties", 50: "in their fifties",
           60: "in their sixties", 70: "in their seventies"}  # fmt: skip
BEARING_UNTIL = 50  # from that decade on pregnancy is not asked about
# With these nothing is given without whoever treats the person, whatever an herb's own cautions say: to let an herb stay would
# mislead, and a question that had them as the key alone would give itself away.
NEVER_ASKED = frozenset({
    "transplant", "immunosuppressants", "porphyria", "narrow-margin-medicines", "anticoagulants", "cardiac-glycosides", "lithium",
    "antiepileptic-medicines", "levodopa", "heart-failure", "oedema-of-heart-or-kidney-failure", "heart-rhythm-disorder",
    "kidney-disease", "kidney-inflammation", "liver-disease", "bile-duct-obstruction", "planned-surgery",
})  # fmt: skip
TO_AGE = {"driving": 50, "hormonal-contraception": 30, "stimulant-medicines": 40}  # the last decade a word is said in
# Words that may hold of one and the same person unsaid, as diabetes and its tablets: a caution for one of them leaves doubt
# about the others.
KIN: Sequence[frozenset[str]] = (
    frozenset({"diabetes", "diabetes-medicines"}),
    frozenset({"epilepsy", "antiepileptic-medicines"}),
    frozenset({"kidney-disease", "kidney-inflammation", "lithium"}),
    frozenset({
        "heart-failure", "oedema-of-heart-or-kidney-failure", "cardiac-glycosides", "diuretic-medicines", "heart-rhythm-disorder",
        "low-potassium",
    }),
    frozenset({"high-blood-pressure", "blood-pressure-medicines", "diuretic-medicines", "heart-failure"}),
    frozenset({"peptic-ulcer", "gastric-irritation", "anti-inflammatory-medicines"}),
    frozenset({"depression", "antidepressants", "sedative-medicines"}),
    frozenset({"underactive-thyroid", "overactive-thyroid", "thyroid-medicines"}),
    frozenset({"bleeding-disorder", "anticoagulants", "planned-surgery", "heart-rhythm-disorder"}),
    frozenset({"gallstones", "bile-duct-obstruction", "liver-disease"}),
    frozenset({"bowel-obstruction", "inflammatory-bowel-disease", "difficulty-swallowing"}),
    frozenset({"inflammatory-bowel-disease", "autoimmune-disease"}),
    frozenset({"hormonal-contraception", "hormone-medicines", "hormone-sensitive-cancer"}),
    frozenset({"asthma", "salicylate-allergy"}),
    frozenset({"salicylate-allergy", "anti-inflammatory-medicines"}),
    frozenset({"birch-pollen-allergy", "carrot-family-allergy"}),
    frozenset({"high-blood-pressure", "diabetes"}),
)  # fmt: skip


@cache
def kin(word: str) -> frozenset[str]:
    """A word and those that may hold of the same person unsaid."""
    return frozenset({word}).union(*(group for group in KIN if word in group))


def askable(scenery: Scenery, asking: Asking, pattern: Pattern) -> list[str]:
    """The words that may tell one person with a presentation from another: drawable, and no cause or part of the state itself."""
    return [word.slug for word in people.drawable(scenery, asking, pattern) if word.slug not in NEVER_ASKED]


@dataclass(frozen=True)
class Four:
    """Who they are alike: noun in the plural, decade of age, whether all are nursing, whether spent."""

    noun: str
    decade: int
    nursing: bool
    spent: bool


def draw_four(rng: Random, asking: Asking, words: Iterable[PersonWord], vigour: str) -> Four | None:
    """Four grown-ups of one decade to whom each of some words can apply; None when no decade fits all of them."""
    chosen = list(words)
    womens = bool(asking.only or asking.holds & people.WOMEN_ONLY or any(w.slug in people.WOMEN_ONLY for w in chosen))
    from_age = max((word.from_age for word in chosen), default=0)
    to_age = min((TO_AGE.get(word.slug, max(DECADES)) for word in chosen), default=max(DECADES))
    decades = [
        decade
        for decade in DECADES
        if from_age <= decade <= to_age and (not womens or decade < people.WOMENS_AGES[1] - 2)
    ]
    if not decades:
        return None
    noun = "women" if womens else rng.choice(("people", "people", "women", "men"))
    return Four(noun, rng.choice(decades), "breastfeeding" in asking.holds, vigour == "spent")


def write_four(complaint: str, four: Four, findings: Sequence[Shown], rng: Random) -> Vignette:
    """What four people share, in prose. What tells them apart is left to the options."""
    opening, plan = rng.randrange(len(OPENINGS)), rng.randrange(len(PLANS))
    told = [f.text for f in findings if f.kind == "told" and not f.order and f.evidence]
    seen = [f.text for f in findings if f.kind != "told"]
    asked = four.noun != "men" and four.decade < BEARING_UNTIL and not four.nursing
    facts = f"{NOT_EXPECTING} {FACTS}" if asked else FACTS
    said = {
        "told": [f"{rng.choice(TELLS)} {listing(told)}."] if told else [],
        "recalled": [f"All {rng.choice(RECALLS)[True]} {f.text}." for f in findings if f.order],
        "found": [f"{rng.choice(FINDS)} {listing(seen)}."] if seen else [],
        "spent": [SPENT] if four.spent else [],
        "facts": [*([NURSING] if four.nursing else []), rng.choice(APART).format(facts=facts)],
    }
    first = OPENINGS[opening].format(people=four.noun, age=DECADES[four.decade], complaint=complaint)
    text = " ".join([first, *(sentence for slot in PLANS[plan] for sentence in said[slot])])
    return Vignette(text, f"four-o{opening + 1}-{four.noun}-{four.decade}-p{plan + 1}")
