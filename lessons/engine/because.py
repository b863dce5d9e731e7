"""Reasons offered after the choice, written for the herb chosen.

One is decisive, the others true but not decisive, false, or a misconception. What decides is, in this order: a caution
that meets the person, an action opposed to the one asked, a place not reached, an action lacking, a push the wrong way
on a lesser axis, and otherwise what the herb does on the leading axes, root first.
"""

from random import Random

from herbs.engine import AXES, HERB_POLES, SUITS_ACTION, SUITS_AFFINITY, degree_number, joined, pole

from .faults import LACKS_ACTION, OPPOSED, UNSAFE, WRONG, WRONG_PLACE
from .proof import Proof

DEGREE_WORDS = {1: "slightly", 2: "plainly", 3: "strongly", 4: "extremely"}
BARE = {
    "warms": "warm", "cools": "cool", "moistens": "moisten", "dries": "dry", "tightens": "tighten", "relaxes": "relax",
    "stirs": "stir", "quiets": "quiet",
}  # fmt: skip
DECISIVE, TRUE, FALSE, MISCONCEPTION = "decisive", "true", "false", "misconception"
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
FALSE_BAR = 0.75  # how often one that does not hold is offered
PLAINLY = 2 / 3  # affinity or action of this much plainly reaches, plainly acts
SECOND_MIRROR = 0.5  # so that a pair of contraries does not point at the decisive reason
MOST = 5  # reasons offered at once


def quality(axis: int, effect: float) -> str:
    """An effect in words: "warms plainly", "neither warms nor cools"."""
    if not effect:
        up, down = (BARE[word] for word in HERB_POLES[AXES[axis]])
        return f"does not {up} or {down}"
    return f"{pole(AXES[axis], effect)} {DEGREE_WORDS[degree_number(effect)]}"


def leads(axes: list[int]) -> str:
    """The end of a reason: "moisture leads here", "temperature and movement lead here"."""
    names = [AXES[axis] for axis in axes]
    return f"{joined(names)} {'leads' if len(names) == 1 else 'lead'} here"


def does(axes: list[int], effects: tuple[float, ...]) -> str:
    """What an herb does on some axes: "It moistens plainly and cools slightly"."""
    return "It " + " and ".join(quality(axis, effects[axis]) for axis in axes)


def ordered_leading(proof: Proof) -> list[int]:
    """Leading axes, roots first."""
    pattern = proof.table.presentation.pattern
    return [*pattern.roots, *(axis for axis in pattern.leading if axis not in pattern.roots)]


def reasons(
    proof: Proof,
    row: int,
    fault: str | None,
    rng: Random,
    *,
    words: dict[str, str],
    may_claim: frozenset[str],
    derivation: str = "",
) -> list[Reason]:
    """Four or five reasons for one option, shuffled: exactly one decisive.

    ``words`` holds the names "name" (bare), "action" (with article), "class" (plural), "place", and where there are such
    "opposed" (an opposed action, with article) and "caution" (what meets the person). ``may_claim`` says which of the bars
    UNSAFE and OPPOSED would be plainly false of this row; ``derivation`` tells how a derived action works here, as a sentence.
    """
    table = proof.table
    pattern = table.presentation.pattern
    effects = tuple(float(e) for e in table.effects[row])
    leading = ordered_leading(proof)
    on_axes = f"{does(leading, effects)}, and {leads(leading)}."
    found: list[Reason] = []

    def add(text: str, status: str) -> None:
        if all(reason["text"] != text for reason in found):
            found.append({"text": text, "status": status})

    against = next((axis for axis, name in enumerate(AXES) if fault == WRONG[name]), None)
    if fault in BARS:
        add(BARS[fault].format(**words), DECISIVE)
        add(on_axes, TRUE)
    elif against is not None and against not in leading:
        # A push the wrong way on a lesser axis bars the herb although it may do well on what leads.
        add(f"{does([against], effects)}, and {AXES[against]} bars it here.", DECISIVE)
        add(on_axes, TRUE)
    else:
        add(on_axes, DECISIVE)
    if (
        table.affinity[row] >= SUITS_AFFINITY
        and table.action[row] >= SUITS_ACTION
        and fault not in (WRONG_PLACE, LACKS_ACTION, OPPOSED)
    ):
        add(derivation or f"It is {words['action']} whose reach takes in the {words['place']}.", TRUE)
    # The consequence, or a lesser quality, taken for what leads; now and then as it is not.
    others = [axis for axis in range(len(AXES)) if axis not in leading and axis != against and effects[axis]]
    followers = [axis for axis in others if pattern.follows[axis] is not None]
    for axis in [*followers, *(axis for axis in others if axis not in followers)][:1]:
        add(f"{does([axis], effects)}, and {leads([axis])}.", MISCONCEPTION)
        if rng.random() < SECOND_MIRROR:
            turned_axis = tuple(-e if a == axis else e for a, e in enumerate(effects))
            add(f"{does([axis], turned_axis)}, and {leads([axis])}.", FALSE)
    # The contrary of what it does on what leads.
    lead = next((axis for axis in leading if effects[axis]), None)
    turned = list(effects)
    if lead is not None:
        turned[lead] = -effects[lead]
    else:
        turned[leading[0]] = 2.0 if rng.random() < 0.5 else -2.0
    mirror = f"{does(leading, tuple(turned))}, and {leads(leading)}."
    add(mirror, FALSE)
    idle_bars = [text for text in _false_bars(proof, row, fault, words, may_claim) if rng.random() < FALSE_BAR]
    if idle_bars:
        add(rng.choice(idle_bars), FALSE)
    add(rng.choice(NAME_FOR_REASON).format(**words), MISCONCEPTION)
    # Too many: what is left out is drawn by lot among all but the decisive one and the contrary of it.
    while len(found) > MOST:
        spare = [reason for reason in found[1:] if reason["text"] != mirror]
        found.remove(rng.choice(spare))
    rng.shuffle(found)
    return found


def _false_bars(
    proof: Proof, row: int, fault: str | None, words: dict[str, str], may_claim: frozenset[str]
) -> list[str]:
    """Bars that plainly do not hold of a row, in words."""
    holds = {
        UNSAFE: UNSAFE not in may_claim or "caution" not in words,
        OPPOSED: OPPOSED not in may_claim or "opposed" not in words,
        WRONG_PLACE: proof.table.affinity[row] < PLAINLY,
        LACKS_ACTION: proof.table.action[row] < PLAINLY,
    }
    return [text.format(**words) for bar, text in BARS.items() if bar != fault and not holds[bar]]
