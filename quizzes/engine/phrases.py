"""Words that every explanation shares: a state as a thing or a quality, what an herb does about it, and what decides there."""

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from herbs.engine import (
    AGGRAVATES_LEADING,
    AXES,
    HERB_POLES,
    STATE_POLES,
    SUITS_ACTION,
    SUITS_AFFINITY,
    SUITS_LEADING,
    capital,
    degree_number,
    joined,
    pole,
)
from lessons.engine.because import BARE
from lessons.engine.families import FAMILIES
from lessons.engine.qualities import GERUNDS, agreeing, inset, is_plural
from lessons.engine.state_kinds import NOUNS

Item = Mapping[str, Any]
Option = Mapping[str, Any]
DEGREES = {
    0: "not at all",
    1: "in the first degree",
    2: "in the second degree",
    3: "in the third degree",
    4: "in the fourth degree",
}
COUNT = {1: "by one degree", 2: "by two degrees", 3: "by three degrees", 4: "by four degrees"}
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
VERDICTS = {
    "suits": "Suits",
    "partly": "Partly suits",
    "little": "Has little bearing",
    "aggravates": "Aggravates",
    "unsafe": "Unsafe for this person",
}


def needed(item: Item) -> list[tuple[str, int, str | None]]:
    """Needed axes, roots first: (axis, degree of the state, the axis it follows)."""
    pattern = item["presentation"]["pattern"]
    rows = [(axis, pattern[axis]["degree"], pattern[axis]["follows"]) for axis in AXES if pattern[axis]["degree"]]
    roots = {follows for _, _, follows in rows if follows}
    return sorted(rows, key=lambda row: (row[0] not in roots, row[2] is not None, -abs(row[1])))


def degree_of(item: Item, axis: str) -> float:
    """The degree of the state on an axis, -4 to +4."""
    degree: float = item["presentation"]["pattern"][axis]["degree"]
    return degree


def links(item: Item) -> list[tuple[str, str]]:
    """(root, consequence) for every quality that follows from another."""
    return [(follows, axis) for axis, _, follows in needed(item) if follows]


def leading(item: Item) -> list[str]:
    """The axes that decide: every root, then those of greatest need among the ones that follow nothing."""
    rows = needed(item)
    roots = [axis for axis, _, _ in rows if axis in {root for root, _ in links(item)}]
    free = {axis: abs(degree) for axis, degree, follows in rows if not follows}
    greatest = max(free.values(), default=0)
    return roots + [axis for axis, degree in free.items() if degree == greatest and axis not in roots]


def thing(axis: str, degree: float) -> str:
    """The quality of a state as a thing: "heat", "laxity"."""
    return NOUNS[axis][degree < 0]


def state(axis: str, degree: float) -> str:
    """The quality of a state as a word for tissue: "hot", "lax"."""
    return pole(axis, degree, STATE_POLES)


def remedy(axis: str, degree: float) -> str:
    """What has to be done about a state, as a command: "cool", "tighten"."""
    return BARE[pole(axis, -degree)]


def gerund(axis: str, sign: float) -> str:
    """A push on an axis: "warming"."""
    return GERUNDS[pole(axis, sign)]


def name(option: Option) -> str:
    """An herb as it is named within a sentence."""
    return inset(option["label"])


@cache
def _stems(family: str) -> tuple[re.Pattern[str], ...]:
    """The stems of a family that name its herb, as patterns with a group of that name."""
    found = []
    for stem in FAMILIES[family].STEMS:
        text = re.sub(r"\\{[Hh]erb\\}", "(?P<herb>.+?)", re.escape(stem), count=1)
        found.append(re.compile(re.sub(r"\\{\w+\\}", ".+?", text) + "$"))
    return tuple(found)


def subject_name(item: Item) -> str:
    """The herb that a question is about, as it stands at the head of a sentence; "The herb" where the stem was rewritten.

    Only its form with a capital is always known: a stem may begin with it.
    """
    met = next((met for stem in _stems(item["family"]) if (met := stem.match(item["stem"]))), None)
    return capital(met["herb"]) if met else "The herb"


def verb(label: str, axis: str, effect: float) -> str:
    """What an herb does on an axis, agreeing with its label: "warms", of hops "warm"; "leaves ... as it is" for nothing."""
    if effect:
        return agreeing(label, axis, effect)
    return f"{agrees(label, 'leaves', 'leave')} {axis} as it is"


def agrees(label: str, one: str, many: str) -> str:
    """The form of a verb that goes with a label: "suits", of hops "suit"."""
    return many if is_plural(label) else one


def does(label: str, axes: Sequence[str], effects: Sequence[float], *, plainly: bool = False) -> str:
    """What an herb does on some axes: "warms and relaxes"; ``plainly`` with degrees: "warms in the first degree"."""
    said = []
    for axis in axes:
        effect = effects[AXES.index(axis)]
        degree = f" {DEGREES[degree_number(effect)]}" if plainly and effect else ""
        said.append(f"{verb(label, axis, effect)}{degree}")
    return joined(said)


def standing(item: Item, axis: str) -> str:
    """How a quality stands in the case: "cold came first", "tension followed", "dryness leads"."""
    word = thing(axis, degree_of(item, axis))
    if any(root == axis for root, _ in links(item)):
        return f"{word} came first"
    if axis in leading(item):
        return f"{word} leads"
    follows = item["presentation"]["pattern"][axis]["follows"]
    return f"{word} followed the {thing(follows, degree_of(item, follows))}" if follows else f"{word} is there already"


def ground(item: Item, axes: Sequence[str]) -> str:
    """Where some leading axes stand: "where cold came first", "where cold and torpor lead"."""
    if len(axes) == 1:
        return f"where {standing(item, axes[0])}"
    return f"where {joined([thing(axis, degree_of(item, axis)) for axis in axes])} lead"


def merit(item: Item, label: str, effects: Sequence[float]) -> str:
    """What makes an herb right: "warms where cold came first"; the leading axes that it meets, or else the needed ones."""
    met = [axis for axis in leading(item) if effects[AXES.index(axis)] * degree_of(item, axis) < 0]
    if not met:
        met = [axis for axis, degree, _ in needed(item) if effects[AXES.index(axis)] * degree < 0]
    return f"{does(label, met, effects)} {ground(item, met)}" if met else f"{agrees(label, 'does', 'do')} little here"


def consequences(item: Item, label: str, effects: Sequence[float]) -> str:
    """What becomes of what followed, once the root is met: ", and relaxes the tension that followed"; "" where nothing did."""
    said = []
    for root, axis in links(item):
        effect, word = effects[AXES.index(axis)], thing(axis, degree_of(item, axis))
        if effects[AXES.index(root)] * degree_of(item, root) >= 0:
            continue
        if effect * degree_of(item, axis) < 0:
            said.append(f", and {does(label, [axis], effects)} the {word} that followed")
        elif not effect:
            said.append(f", and the {word} that followed goes with it")
        else:
            said.append(f", which outweighs that {agrees(label, 'it', 'they')} {does(label, [axis], effects)} a little")
    return "".join(said)


def wrong_way(item: Item, effects: Sequence[float], raw: Sequence[float]) -> str | None:
    """The axis on which an herb does harm by pushing further the way the tissue leans: a root before a leading one, and those
    before the rest; None where it pushes none that way to any purpose."""
    roots, lead = {root for root, _ in links(item)}, leading(item)
    found = [
        axis
        for axis, degree, _ in needed(item)
        if raw[AXES.index(axis)] <= AGGRAVATES_LEADING and effects[AXES.index(axis)] * degree > 0
    ]
    return min(found, key=lambda axis: (axis not in roots, axis not in lead, raw[AXES.index(axis)]), default=None)


def push(item: Item, label: str, axis: str, effects: Sequence[float]) -> str:
    """A push the wrong way: "cools where cold came first", "dries where dryness is there already"."""
    return f"{does(label, [axis], effects)} where {standing(item, axis)}"


def shortfall(item: Item, number: int, label: str = "") -> str:
    """Why an option with a verdict falls short of the rest, agreeing with its label; "" where only its fit is less."""
    option, row = item["options"][number], item["certificate"]["rows"][number]
    label, effects, raw, words = label or option["label"], option["effects"], option["raw"], item["words"]
    astray = wrong_way(item, effects, raw)
    if astray:
        return push(item, label, astray, effects)
    if row["opposed"]:
        return f"{agrees(label, 'has', 'have')} an action that undoes the one asked"
    if row["affinity"] < SUITS_AFFINITY:
        return f"hardly {agrees(label, 'reaches', 'reach')} the {words['place']}"
    if row["action"] < SUITS_ACTION:
        return f"hardly {agrees(label, 'acts', 'act')} there as {words['action']}"
    unmet = [axis for axis in leading(item) if raw[AXES.index(axis)] < SUITS_LEADING]
    if unmet:
        return falls_short(label, unmet[0], degree_of(item, unmet[0]), effects)
    lesser = [axis for axis, degree, _ in needed(item) if effects[AXES.index(axis)] * degree > 0]
    return push(item, label, lesser[0], effects) if lesser else ""


def falls_short(label: str, axis: str, degree: float, effects: Sequence[float]) -> str:
    """A need left unmet: "does too little for the cold", "leaves the cold as it is", "goes far past what the cold needs"."""
    effect, word = effects[AXES.index(axis)], thing(axis, degree)
    if not effect:
        return f"{agrees(label, 'leaves', 'leave')} the {word} as it is"
    if effect * degree > 0:
        return f"{does(label, [axis], effects)} what is {state(axis, degree)} already"
    if abs(effect) > abs(degree):
        return f"{agrees(label, 'goes', 'go')} far past what the {word} needs"
    return f"{agrees(label, 'does', 'do')} too little for the {word}"


def qualities(option: Mapping[str, Any], axes: Sequence[str]) -> list[dict[str, str]]:
    """What an option does on some axes: {"pole", "text"} each, in order; temperate axes say so."""
    found = []
    for axis in axes:
        effect = option["effects"][AXES.index(axis)]
        if effect:
            word = pole(axis, effect, HERB_POLES)
            found.append({"pole": word, "text": f"{word} {DEGREES[degree_number(effect)]}"})
        else:
            found.append({"pole": "", "text": f"is temperate in {axis}"})
    return found


def quality_of(word: str) -> tuple[str, int]:
    """The axis and the sign of a quality: "drying" is moisture, -1."""
    return next((axis, sign) for axis in AXES for sign in (1, -1) if gerund(axis, sign) == word)


def itself(label: str, axes: Sequence[str], effects: Sequence[float]) -> str:
    """What an herb does, against the contrary that was said of it."""
    tail = (
        "and not the contrary" if any(effects[AXES.index(axis)] for axis in axes) else "neither one way nor the other"
    )
    return f"{does(label, axes, effects)}, {tail}"


def lowered(text: str) -> str:
    """A sentence as it stands within another: its first letter small, its full stop gone. Not for one that begins with a name."""
    return f"{text[:1].lower()}{text[1:]}".rstrip(".")


def degrees_apart(gap: float) -> str:
    """A distance in words: "one degree", "2.5 degrees"."""
    size = NUMBERS[int(gap)] if float(gap).is_integer() else f"{gap:g}"
    return f"{size} degree{'' if gap == 1 else 's'}"


def decisive(item: Item, number: int = 0) -> dict[str, str]:
    """The reason that decides, among those of an option or the item's one list."""
    lists = item["because"]
    found: dict[str, str] = next(
        reason for reason in lists[number if len(lists) > 1 else 0] if reason["status"] == "decisive"
    )
    return found


def sentence(text: str) -> str:
    """A text as a sentence: a capital at its head and one full stop at its end."""
    return f"{capital(text.strip()).rstrip('.')}."
