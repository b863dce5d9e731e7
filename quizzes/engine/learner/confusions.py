"""The catalogue of confusions, 12 at most, and what one answer says of them.

A confusion collects faults of options and misconceptions among reasons that spring from one way of thinking. Every answer
*offers* those that stood on its page, and *takes* at most one by the option and one by the reason.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from lessons.engine.because import FALSE, MISCONCEPTION
from quizzes.engine.grading import reasons_for


@dataclass(frozen=True)
class Confusion:
    """A confusion in the second person: title (a noun phrase), sentence, advice, and what it collects.

    ``faults`` are those of options; one that means this in a single family is written "family/fault". ``reasons`` are kinds
    of reason codes, or whole codes, with or without a family likewise; ``false_reasons`` the same among reasons that are
    merely false.
    """

    slug: str
    title: str
    sentence: str
    advice: str
    faults: frozenset[str] = field(default_factory=frozenset)
    reasons: frozenset[str] = field(default_factory=frozenset)
    false_reasons: frozenset[str] = field(default_factory=frozenset)


def _wrong(axis: str, does: str, is_already: str, other: str, is_other: str) -> Confusion:
    return Confusion(
        f"wrong-{axis}",
        f"the wrong way on {axis}",
        f"On {axis} you go the wrong way: herbs that {does} where the tissue is {is_already} already, that {other} where it is "
        f"{is_other}, or the one taken for the other.",
        f"Say aloud what the state is on {axis} before you look at the herbs; what is needed is its contrary.",
        frozenset({f"wrong {axis}"}),
    )


CATALOGUE: Final = (
    _wrong("temperature", "warm", "hot", "cool", "cold"),
    _wrong("moisture", "dry", "dry", "moisten", "damp"),
    _wrong("tone", "tighten", "tense", "relax", "lax"),
    _wrong("movement", "stir", "excited", "quiet", "torpid"),
    Confusion(
        "consequence-for-root",
        "the consequence taken for the root",
        "You answer what followed, or what is loudest, and leave the root as it is or feed it.",
        "Ask of every finding what came first. Meet the root, and what follows from it is met with it.",
        frozenset({"palliates only", "feeds the root", "root and consequence exchanged"}),
        frozenset({"axis", "loud"}),
        frozenset({"name-the-state/disorder"}),
    ),
    Confusion(
        "name-for-reason",
        "a name taken for a reason",
        "You let the name of an action or a rule of thumb stand for a reason, though herbs of one name differ in kind, and some "
        "do not act in this place or undo what is asked.",
        "After the name of the action add which kind it is and what it does here; only then does it give a reason.",
        frozenset({"lacks the action here", "opposed action"}),
        frozenset({"name", "caution/less:2", "taste-to-effect/mistake", "taste-to-effect/elsewhere"}),
    ),
    Confusion(
        "place-overlooked",
        "the place overlooked",
        "You choose by the quality alone, and pass over whether the herb reaches this part of the body.",
        "Before you settle on an herb, name the place where it is said to act, and hold that against the place of the complaint.",
        frozenset({"wrong place"}),
    ),
    Confusion(
        "caution-overlooked",
        "a caution overlooked",
        "You pass over whom a caution concerns, or look for one in somebody whom it does not concern.",
        "Read the person first: age, pregnancy, medicines, conditions. Hold each against the cautions of the herb, and only then "
        "weigh qualities.",
        frozenset({"unsafe for this person", "no caution here"}),
        frozenset({"less", "caution/swap"}),
    ),
    Confusion(
        "strength-misjudged",
        "a strength misjudged",
        "You judge herbs or changes stronger or weaker than they are: too little to help, or more than the state can bear.",
        "Count degrees: how many does the state lack, and how many does the herb give?",
        frozenset({"too weak", "too strong", "not far enough", "partly suits", "little bearing"}),
        frozenset({"place-on-the-plane/name:2"}),
    ),
    Confusion(
        "findings-misread",
        "findings read for more or less than they say",
        "You name a quality for which no finding speaks, leave one out, or let a single sign decide.",
        "Go through the findings axis by axis and add up what they say; what nothing speaks for is not there.",
        frozenset({"invented quality", "missed quality", "wrong axis"}),
        frozenset({"complaint", "sign", "bears"}),
    ),
    Confusion(
        "contraries-exchanged",
        "contraries taken for one another",
        "You turn things round: two herbs told the wrong way, like answered with like, a taste read as its contrary.",
        "Tell both sides in one sentence, this one warms and that one cools, and then which state of the tissue calls for which.",
        frozenset({"reversed", "both qualities reversed", "wrong way", "suits here"}),
        frozenset({"like", "calls"}),
    ),
    Confusion(
        "preparation-mistaken",
        "a preparation or a sum mistaken",
        "You go astray in the workroom: in what draws a constituent, or in a sum of ratio, dilution or dose.",
        "Name the constituent and what it dissolves in. In a sum write the unit beside every figure, and ask whether the answer "
        "can be.",
        frozenset({
            "wrong menstruum", "wrong method", "added instead of made up to", "ratio taken the wrong way round",
            "strengths exchanged", "percent of the wrong volume", "one dose taken for the day", "size of the dose left out",
            "multiplied instead of divided", "herb counted among the parts", "the water reckoned instead",
            "ratio brought in needlessly", "decimal point too far right", "decimal point too far left",
        }),
        frozenset({"preparation/mistake", "preparation/habit"}),
    ),
)  # fmt: skip
SLUGS: Final = tuple(confusion.slug for confusion in CATALOGUE)
CONFUSIONS: Final[Mapping[str, Confusion]] = {confusion.slug: confusion for confusion in CATALOGUE}
BIT: Final[Mapping[str, int]] = {slug: 1 << place for place, slug in enumerate(SLUGS)}

_OF_FAULT = {fault: confusion.slug for confusion in CATALOGUE for fault in confusion.faults}
_OF_REASON = {code: confusion.slug for confusion in CATALOGUE for code in confusion.reasons}
_OF_FALSE_REASON = {code: confusion.slug for confusion in CATALOGUE for code in confusion.false_reasons}


def confusion_of_fault(family: str, fault: str) -> str | None:
    """The slug of the confusion that a fault of an option belongs to; None for one that is unknown."""
    return _OF_FAULT.get(f"{family}/{fault}") or _OF_FAULT.get(fault)


def confusion_of_reason(family: str, code: str, status: str) -> str | None:
    """The slug of the confusion that a reason belongs to; None where it is right, merely false, or unknown."""
    known = {MISCONCEPTION: _OF_REASON, FALSE: _OF_FALSE_REASON}.get(status, {})
    kind = code.partition(":")[0]
    return next((known[name] for name in (f"{family}/{code}", f"{family}/{kind}", code, kind) if name in known), None)


def _of_options(item: Mapping[str, Any]) -> list[str | None]:
    if item.get("response", "choose") != "choose":
        return []
    faults = [option.get("fault") for option in item["options"]]
    return [confusion_of_fault(item["family"], fault) if fault else None for fault in faults]


def _of_reasons(item: Mapping[str, Any], choice: int) -> list[str | None]:
    offered = reasons_for(item, choice)
    return [confusion_of_reason(item["family"], reason["code"], reason["status"]) for reason in offered]


def _named(found: list[str | None]) -> Iterator[str]:
    return (slug for slug in found if slug)


def events(item: Mapping[str, Any], choice: int, reason: int | None) -> tuple[frozenset[str], frozenset[str]]:
    """The confusions that an answer to an opened item offered, and those of them that it took, by slug.

    Options offer their faults where one option is chosen; an order, a matching or a place has none to be taken. Of the
    reasons those count that were shown, for the option chosen, once one of them was given.
    """
    options = _of_options(item)
    offered, taken = set(_named(options)), set(_named(options[choice : choice + 1]))
    if reason is not None:
        reasons = _of_reasons(item, choice)
        offered.update(_named(reasons))
        taken.update(_named(reasons[reason : reason + 1]))
    return frozenset(offered), frozenset(taken)


def offers(item: Mapping[str, Any]) -> int:
    """Bits (see ``BIT``) of the confusions that an opened item offers whatever is answered: by its options, or in its one
    list of reasons."""
    found = set(_named(_of_options(item)))
    if len(item["because"]) == 1:
        found.update(_named(_of_reasons(item, 0)))
    return sum(BIT[slug] for slug in found)
