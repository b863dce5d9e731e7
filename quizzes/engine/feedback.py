"""Feedback in words from a frozen item: the chain of reasoning, and what each option would do here."""

from collections.abc import Mapping, Sequence
from typing import Any

from herbs.engine import AXES, HERB_POLES, STATE_POLES, capital, degree_number, joined, pole

DEGREES = {
    0: "not at all",
    1: "in the first degree",
    2: "in the second degree",
    3: "in the third degree",
    4: "in the fourth degree",
}
COUNT = {1: "by one degree", 2: "by two degrees", 3: "by three degrees", 4: "by four degrees"}
FAULT_WORDS = {
    "wrong temperature": "Wrong temperature: it {does}, and the state is {state} already.",
    "wrong moisture": "Wrong moisture: it {does}, and the state is {state} already.",
    "wrong tone": "Wrong tone: it {does}, and the state is {state} already.",
    "wrong movement": "Wrong movement: it {does}, and the state is {state} already.",
    "feeds the root": "It feeds the root: it {does}, and the state is {state} at its root.",
    "palliates only": "It palliates only: it meets what followed, and leaves the root as it is.",
    "too weak": "Too weak: on what leads here it does little or nothing.",
    "too strong": "Too strong: it pushes well past the need, and its other qualities go to waste.",
    "wrong place": "Wrong place: whatever its qualities, it hardly reaches this part of the body.",
    "lacks the action here": "It lacks the action here: it reaches the place, but hardly does there what is asked.",
    "opposed action": "Opposed action: it also has an action that undoes the one asked.",
    "unsafe for this person": "Unsafe for this person: its caution for {person} stands before all its qualities.",
}
KEY_WORDS = {
    "best-fit": "It meets what leads here, reaches the place, and has the action asked.",
    "would-aggravate": "It works against what is needed here, and would make the state worse.",
}
# What the faults of the other families mean, in sentences; a fault that says enough by itself is not listed.
FAMILY_FAULTS = {
    "would-aggravate": {
        "suits here": "It would help: it suits this state.",
        "partly suits": "It would help a little: it partly suits this state.",
        "little bearing": "It would change little here, for better or worse.",
    },
    "point-of-difference": {f"wrong {axis}": f"On {axis} the sources do not part the two." for axis in AXES}
    | {"reversed": "The two are told the wrong way round."},
    "name-the-state": {f"wrong {axis}": f"The findings speak otherwise on {axis}." for axis in AXES}
    | {
        "root and consequence exchanged": "It takes the consequence for the root: what came first says otherwise.",
        "invented quality": "It names a quality that no finding speaks for.",
        "missed quality": "It leaves out a quality that the findings speak for.",
    },
    "what-would-have-to-change": {
        "wrong axis": "That would change a quality which is not what stands in the way.",
        "not far enough": "That would bring the state nearer, but not far enough for the herb to suit.",
        "wrong way": "That would take the state further from what the herb can meet.",
    },
    "taste-to-effect": {f"wrong {axis}": f"The rule and the source say otherwise on {axis}." for axis in AXES}
    | {"both qualities reversed": "Both qualities are the contrary of what is found."},
    "caution": {"no caution here": "Nothing in the herb's cautions turns on this: it still suits."},
}
VERDICTS = {
    "suits": "Suits",
    "partly": "Partly suits",
    "little": "Has little bearing",
    "aggravates": "Aggravates",
    "unsafe": "Unsafe for this person",
}


def needed(item: Mapping[str, Any]) -> list[tuple[str, int, str | None]]:
    """Needed axes, roots first: (axis, degree of the state, the axis it follows)."""
    pattern = item["presentation"]["pattern"]
    rows = [(axis, pattern[axis]["degree"], pattern[axis]["follows"]) for axis in AXES if pattern[axis]["degree"]]
    roots = {follows for _, _, follows in rows if follows}
    return sorted(rows, key=lambda row: (row[0] not in roots, row[2] is not None, -abs(row[1])))


def pattern_words(item: Mapping[str, Any]) -> str:
    """ "dry in the second degree, with hot in the first"."""
    return joined([f"{pole(axis, degree, STATE_POLES)} {DEGREES[abs(degree)]}" for axis, degree, _ in needed(item)])


def root_words(item: Mapping[str, Any]) -> str:
    """Which quality is the root, or that each stands by itself."""
    links = [(axis, follows) for axis, _, follows in needed(item) if follows]
    pattern = item["presentation"]["pattern"]
    if not links:
        leading = needed(item)[0]
        if len(needed(item)) == 1:
            return f"The {pole(leading[0], leading[1], STATE_POLES)} state stands alone; nothing follows from it."
        if len({abs(degree) for _, degree, _ in needed(item)}) == 1:
            return "None of these follows from another, and all weigh alike."
        return f"None of these follows from another; the greatest need, that of {leading[0]}, leads."
    said = []
    for axis, root in links:
        first, then = pole(root, pattern[root]["degree"], STATE_POLES), pole(axis, pattern[axis]["degree"], STATE_POLES)
        said.append(f"It was {first} first, and {then} because of that.")
    beside = [
        pole(axis, degree, STATE_POLES)
        for axis, degree, follows in needed(item)
        if not follows and axis not in {root for _, root in links}
    ]
    if beside:
        said.append(f"{capital(joined(beside))} stands beside it.")
    return (
        " ".join(said) + " Meet the root, and what follows is met with it; meet only the consequence, and it returns."
    )


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


def fault_words(item: Mapping[str, Any], option: Mapping[str, Any]) -> str:
    """The fault of a distractor as a sentence about this case; for the key, why it is right."""
    family, fault = item["family"], option["fault"]
    if not fault:
        return KEY_WORDS.get(family, "")
    own = FAMILY_FAULTS.get(family, {})
    if fault in own or fault not in FAULT_WORDS or family != "best-fit":
        return own.get(fault, f"{capital(fault)}.")
    rows = needed(item)
    axis = _axis_of_fault(item, option)
    effect = option["effects"][AXES.index(axis)]
    names = item["presentation"]["person_names"]
    does = pole(axis, effect, HERB_POLES) if effect else "does nothing"
    state = pole(axis, item["presentation"]["pattern"][axis]["degree"] or rows[0][1], STATE_POLES)
    return FAULT_WORDS[option["fault"]].format(does=does, state=state, person=joined(names) if names else "this person")


def _axis_of_fault(item: Mapping[str, Any], option: Mapping[str, Any]) -> str:
    fault: str = option["fault"]
    if fault.startswith("wrong ") and fault.removeprefix("wrong ") in AXES:
        return fault.removeprefix("wrong ")
    rows = needed(item)
    roots = {follows for _, _, follows in rows if follows} or {rows[0][0]}
    worst: str = min(roots, key=lambda axis: option["raw"][AXES.index(axis)])
    return worst


def chain(item: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The reasoning downwards: findings, pattern, root, need, quality, herb. Each step has a term and text or parts.

    Empty for an item that presents no case; without quality and herb where the key is no herb.
    """
    if not item["presentation"]:
        return []
    axes = [axis for axis, _, _ in needed(item)]
    need = [
        {"pole": pole(axis, -degree, HERB_POLES), "text": f"{pole(axis, -degree, HERB_POLES)} {COUNT[abs(degree)]}"}
        for axis, degree, _ in needed(item)
    ]
    findings = [finding["text"] for finding in item["presentation"]["findings"]]
    steps: list[dict[str, Any]] = [
        {"term": "Findings", "listed": findings},
        {"term": "Pattern", "text": capital(f"{pattern_words(item)}.")},
        {"term": "Root", "text": root_words(item)},
        {"term": "Need", "before": "An herb that", "qualities": need},
    ]
    key = item["options"][item["key"]] if item["response"] == "choose" else {}
    if "effects" in key:
        steps += [
            {
                "term": "Quality",
                "before": capital(key["label"]),
                "qualities": qualities(key, axes),
                "part": key["part"],
            },
            {"term": "Herb", "herb": key["label"], "part": key["part"]},
        ]
    return steps


def explain_options(item: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Each option with its verdict in words, its fault as a sentence, and its qualities on the needed axes."""
    axes = [axis for axis, _, _ in needed(item)] if item["presentation"] else []
    return [
        {
            **option,
            "is_key": item["response"] == "choose" and number == item["key"],
            "verdict_words": VERDICTS.get(option.get("verdict", ""), ""),
            "why": fault_words(item, option) if item["response"] == "choose" else "",
            "qualities": qualities(option, axes) if "effects" in option else [],
        }
        for number, option in enumerate(item["options"])
    ]


def explain_herbs(item: Mapping[str, Any]) -> list[dict[str, Any]]:
    """What each herb of an item's certificate does on the axes it is not temperate on: part and qualities."""
    return [{"part": row["part"], "qualities": _all_qualities(row["value"])} for row in item["certificate"]["rows"]]


def _all_qualities(effects: Sequence[float]) -> list[dict[str, str]]:
    axes = [axis for axis, effect in zip(AXES, effects, strict=True) if effect]
    return qualities({"effects": effects}, axes) or [{"pole": "", "text": "is temperate on every axis"}]


def because_words(status: str) -> str:
    """How a reason fared, in words."""
    return {
        "decisive": "That is what decides.",
        "true": "True of this herb, but not what decides.",
        "false": "Not so: the sources do not say this of the herb.",
        "misconception": "A misconception: it takes something else for what decides.",
    }[status]
