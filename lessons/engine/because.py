"""Reasons offered after the choice, written for the herb chosen.

One is decisive, the others true but not decisive, false, or a misconception. What decides is, in this order: a caution
that meets the person, an action opposed to the one asked, a place not reached, an action lacking, and otherwise what the
herb does on the leading axes, root first.
"""

from random import Random

from herbs.engine import AXES, HERB_POLES

from .faults import LACKS_ACTION, OPPOSED, UNSAFE, WRONG_PLACE
from .proof import Proof

DEGREE_WORDS = {0: "barely", 1: "slightly", 2: "plainly", 3: "strongly", 4: "extremely"}
DECISIVE, TRUE, FALSE, MISCONCEPTION = "decisive", "true", "false", "misconception"
Reason = dict[str, str]
# The action's name taken for a reason.
NAME_FOR_REASON = (
    "It is a well-known {name}, and that is ground enough here.",
    "Any of the {class} would do here, so this one will.",
    "It is {action} of good repute, and the case asks for one.",
    "The case calls for {action}, and this is one of them.",
)
SECOND_MIRROR = 0.5  # so that a pair of contraries does not point at the decisive reason
MOST = 5  # reasons offered at once


def quality(axis: int, effect: float) -> str:
    """An effect in words: "warms plainly", "neither warms nor cools"."""
    up, down = HERB_POLES[AXES[axis]]
    if not effect:
        bare = {"warms": "warm", "moistens": "moisten", "tightens": "tighten", "stirs": "stir"}[up]
        other = {"cools": "cool", "dries": "dry", "relaxes": "relax", "quiets": "quiet"}[down]
        return f"does not {bare} or {other}"
    return f"{up if effect > 0 else down} {DEGREE_WORDS[min(4, max(1, round(abs(effect))))]}"


def leads(axes: list[int]) -> str:
    """The end of a reason: "moisture leads here", "temperature and movement lead here"."""
    names = [AXES[axis] for axis in axes]
    return f"{names[0]} leads here" if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]} lead here"


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
    met: list[str],
    derivation: str = "",
) -> list[Reason]:
    """Four or five reasons for one option, shuffled: exactly one decisive.

    ``words`` holds the names "name" (bare), "action" and "opposed" (with article), "class" (plural) and "place";
    ``met`` the names of the cautions that meet the person; ``derivation`` how a derived action works here, as a sentence.
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

    if fault == UNSAFE:
        add(f"Its caution for {met[0]} stands before any of its qualities.", DECISIVE)
        add(on_axes, TRUE)
    elif fault == OPPOSED:
        add(f"It is {words['opposed']} too, and that undoes the action asked for.", DECISIVE)
        add(on_axes, TRUE)
    elif fault == WRONG_PLACE:
        add(f"It hardly reaches the {words['place']}, whatever its qualities.", DECISIVE)
        add(on_axes, TRUE)
    elif fault == LACKS_ACTION:
        add(f"It hardly acts as {words['action']} in this place, whatever its qualities.", DECISIVE)
        add(on_axes, TRUE)
    else:
        add(on_axes, DECISIVE)
    if (
        table.affinity[row] >= 1 / 3
        and table.action[row] >= 1 / 3
        and fault not in (WRONG_PLACE, LACKS_ACTION, OPPOSED)
    ):
        add(derivation or f"It is {words['action']} whose reach takes in the {words['place']}.", TRUE)
    # The consequence, or a lesser quality, taken for what leads; now and then as it is not.
    others = [axis for axis in range(len(AXES)) if axis not in leading and effects[axis]]
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
    add(f"{does(leading, tuple(turned))}, and {leads(leading)}.", FALSE)
    if len(found) < MOST:
        add(rng.choice(NAME_FOR_REASON).format(**words), MISCONCEPTION)
    if len(found) < 4:
        add(f"It reaches the {words['place']}, and that decides more than its qualities.", MISCONCEPTION)
    while len(found) > MOST:
        found.remove(next(reason for reason in reversed(found) if reason["status"] == TRUE))
    rng.shuffle(found)
    return found
