"""Reasons offered after the choice, written for the herb chosen, as codes; and the sentences the codes stand for.

One is decisive, the others true but not decisive, false, or a misconception. What decides is, in this order: a caution
that meets the person, an action opposed to the one asked, a place not reached, an action lacking, a push the wrong way
on a lesser axis, and otherwise what the herb does on the leading axes, root first.

Codes: ``lead`` what it does on the leading axes; ``mirror`` the contrary of that (``mirror+``, ``mirror-`` where it does nothing
there); ``axis:k`` and ``turned:k`` the same of one axis; ``against:k`` a lesser axis that bars it; ``reach`` its action
and place; ``bar:...`` what bars an herb whatever its qualities; ``name:n`` the action's name taken for a reason.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from random import Random
from typing import Any

from herbs.engine import AXES, HERB_POLES, SUITS_ACTION, SUITS_AFFINITY, Pattern, degree_number, joined, pole

from .faults import LACKS_ACTION, OPPOSED, UNSAFE, WRONG, WRONG_PLACE
from .proof import Proof

DEGREE_WORDS = {1: "slightly", 2: "plainly", 3: "strongly", 4: "extremely"}
BARE = {
    "warms": "warm", "cools": "cool", "moistens": "moisten", "dries": "dry", "tightens": "tighten", "relaxes": "relax",
    "stirs": "stir", "quiets": "quiet",
}  # fmt: skip
DECISIVE, TRUE, FALSE, MISCONCEPTION = "decisive", "true", "false", "misconception"
STATUSES = (DECISIVE, TRUE, FALSE, MISCONCEPTION)
Reason = dict[str, str]
# The action's name taken for a reason.
NAME_FOR_REASON = (
    "It is a well-known {name}, and that is ground enough here.",
    "Any of the {class} would do here, so this one will.",
    "It is {action} of good repute, and the case asks for one.",
    "The case calls for {action}, and this is one of them.",
)
# What bars an herb whatever its qualities, by fault. The same sentences are offered where they do not hold, so that their
# form tells nothing.
BARS = {
    UNSAFE: "Its caution for {caution} stands before any of its qualities.",
    OPPOSED: "It is {opposed} too, and that undoes the action asked for.",
    WRONG_PLACE: "It hardly reaches the {place}, whatever its qualities.",
    LACKS_ACTION: "It hardly acts as {action} in this place, whatever its qualities.",
}
BAR_CODES = {UNSAFE: "bar:unsafe", OPPOSED: "bar:opposed", WRONG_PLACE: "bar:place", LACKS_ACTION: "bar:lacks"}
BAR_OF = {code: fault for fault, code in BAR_CODES.items()}
REACH = "It is {action} whose reach takes in the {place}."
FALSE_BAR = 0.75  # how often one that does not hold is offered
PLAINLY = 2 / 3  # affinity or action of this much plainly reaches, plainly acts
SECOND_MIRROR = 0.5  # so that a pair of contraries does not point at the decisive reason
WORDED = ("bar", "reach", "name")  # codes whose sentences take words of the item
MOST = 5  # reasons offered at once


def quality(axis: int, effect: float) -> str:
    """An effect in words: "warms plainly", "neither warms nor cools"."""
    if not effect:
        up, down = (BARE[word] for word in HERB_POLES[AXES[axis]])
        return f"does not {up} or {down}"
    return f"{pole(AXES[axis], effect)} {DEGREE_WORDS[degree_number(effect)]}"


def leads(axes: Sequence[int]) -> str:
    """The end of a reason: "moisture leads here", "temperature and movement lead here"."""
    names = [AXES[axis] for axis in axes]
    return f"{joined(names)} {'leads' if len(names) == 1 else 'lead'} here"


def does(axes: Sequence[int], effects: Sequence[float]) -> str:
    """What an herb does on some axes: "It moistens plainly and cools slightly"."""
    return "It " + " and ".join(quality(axis, effects[axis]) for axis in axes)


def ordered_leading(pattern: Pattern) -> list[int]:
    """Leading axes, roots first."""
    return [*pattern.roots, *(axis for axis in pattern.leading if axis not in pattern.roots)]


def say(code: str, effects: Sequence[float], pattern: Pattern, words: Mapping[str, str]) -> str:
    """The sentence a code stands for, of an herb with these effects in a case with this pattern."""
    kind, _, rest = code.partition(":")
    leading = ordered_leading(pattern)
    if kind == "lead":
        return f"{does(leading, effects)}, and {leads(leading)}."
    if kind in ("mirror", "mirror+", "mirror-"):
        turned = list(effects)
        lead = next((axis for axis in leading if effects[axis]), None)
        if lead is None:
            turned[leading[0]] = 2.0 if kind == "mirror+" else -2.0
        else:
            turned[lead] = -effects[lead]
        return f"{does(leading, turned)}, and {leads(leading)}."
    if kind == "axis":
        return f"{does([int(rest)], effects)}, and {leads([int(rest)])}."
    if kind == "turned":
        return f"{does([int(rest)], [-effect for effect in effects])}, and {leads([int(rest)])}."
    if kind == "against":
        return f"{does([int(rest)], effects)}, and {AXES[int(rest)]} bars it here."
    if kind == "bar":
        return BARS[BAR_OF[code]].format(**words)
    if kind == "reach":
        return words.get("derived") or REACH.format(**words)
    return NAME_FOR_REASON[int(rest)].format(**words)


def reasons(
    proof: Proof, row: int, fault: str | None, rng: Random, *, words: Mapping[str, str], may_claim: frozenset[str]
) -> list[Reason]:
    """Four or five reasons for one option as {"code", "status"}, shuffled: exactly one decisive.

    ``words`` are those of the option (see ``words_of``). ``may_claim`` says which of the bars UNSAFE and OPPOSED would be
    plainly false of this row.
    """
    table = proof.table
    pattern = table.presentation.pattern
    effects = [float(e) for e in table.effects[row]]
    leading = ordered_leading(pattern)
    found: list[Reason] = []

    def add(code: str, status: str) -> None:
        if all(reason["code"] != code for reason in found):
            found.append({"code": code, "status": status})

    against = next((axis for axis, name in enumerate(AXES) if fault == WRONG[name]), None)
    if fault in BARS:
        add(BAR_CODES[fault], DECISIVE)
        add("lead", TRUE)
    elif against is not None and against not in leading:
        # A push the wrong way on a lesser axis bars the herb although it may do well on what leads.
        add(f"against:{against}", DECISIVE)
        add("lead", TRUE)
    else:
        add("lead", DECISIVE)
    if (
        table.affinity[row] >= SUITS_AFFINITY
        and table.action[row] >= SUITS_ACTION
        and fault not in (WRONG_PLACE, LACKS_ACTION, OPPOSED)
    ):
        add("reach", TRUE)
    # The consequence, or a lesser quality, taken for what leads; now and then as it is not.
    others = [axis for axis in range(len(AXES)) if axis not in leading and axis != against and effects[axis]]
    followers = [axis for axis in others if pattern.follows[axis] is not None]
    for axis in [*followers, *(axis for axis in others if axis not in followers)][:1]:
        add(f"axis:{axis}", MISCONCEPTION)
        if rng.random() < SECOND_MIRROR:
            add(f"turned:{axis}", FALSE)
    # The contrary of what it does on what leads.
    mirror = "mirror" if any(effects[axis] for axis in leading) else rng.choice(("mirror+", "mirror-"))
    add(mirror, FALSE)
    idle_bars = [code for code in _false_bars(proof, row, fault, words, may_claim) if rng.random() < FALSE_BAR]
    if idle_bars:
        add(rng.choice(idle_bars), FALSE)
    add(f"name:{rng.randrange(len(NAME_FOR_REASON))}", MISCONCEPTION)
    # Too many: what is left out is drawn by lot among all but the decisive one and the contrary of it.
    while len(found) > MOST:
        spare = [reason for reason in found[1:] if reason["code"] != mirror]
        found.remove(rng.choice(spare))
    rng.shuffle(found)
    return found


def _false_bars(
    proof: Proof, row: int, fault: str | None, words: Mapping[str, str], may_claim: frozenset[str]
) -> list[str]:
    """Codes of bars that plainly do not hold of a row."""
    holds = {
        UNSAFE: UNSAFE not in may_claim or "caution" not in words,
        OPPOSED: OPPOSED not in may_claim or "opposed" not in words,
        WRONG_PLACE: proof.table.affinity[row] < PLAINLY,
        LACKS_ACTION: proof.table.action[row] < PLAINLY,
    }
    return [code for bar, code in BAR_CODES.items() if bar != fault and not holds[bar]]


def words_for(item: Mapping[str, Any], number: int) -> dict[str, str]:
    """The words an option's reasons are written with: those of the item, with its own opposed action, caution and derivation."""
    words = dict(item["words"])
    own = words.pop("own", {}).get(str(number), {})
    presentation = item["presentation"]
    unsafe = set(item["certificate"]["rows"][number]["unsafe"])
    names = dict(zip(presentation["person"], presentation["person_names"], strict=True))
    met = [name for word, name in names.items() if word in unsafe] or list(names.values())
    if met:
        words["caution"] = joined(met)
    return words | own


@lru_cache(maxsize=4096)
def _pattern(entries: tuple[tuple[float, str | None], ...]) -> Pattern:
    return Pattern.from_mapping(
        {axis: {"degree": degree, "follows": root} for axis, (degree, root) in zip(AXES, entries, strict=True)}
    )


def pattern_in(item: Mapping[str, Any]) -> Pattern:
    """The pattern an item presents; kept, since few patterns serve many items."""
    told = item["presentation"]["pattern"]
    return _pattern(tuple((told[axis]["degree"], told[axis]["follows"]) for axis in AXES))


def say_in(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for, of one option of an item with a presentation."""
    words = words_for(item, number) if code.startswith(WORDED) else {}
    return say(code, item["certificate"]["rows"][number]["value"], pattern_in(item), words)
