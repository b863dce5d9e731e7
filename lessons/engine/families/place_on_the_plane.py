"""place-on-the-plane: where does a part sit, temperature by moisture?

Valid only if heard sources speak of both, and both intervals are no wider than two degrees; besides, no interval lies on both
sides of temperate, and the part is not temperate in both, since then it answers no state. The answer is marked by its
distance from the interval's box. Qualities alone are asked, so toxic plants may be shown, with their marks.

The reasons tell what the place means: a herb answers the state contrary to its qualities.
"""

from collections.abc import Mapping, Sequence
from random import Random
from typing import Any

import numpy as np

from herbs.engine import AXES, LIMIT, STATE_POLES, expected, joined, leading_classes, pole
from lessons.engine.because import DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason
from lessons.engine.certificate import ROUNDING_ERROR
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, article, herb, profile_row
from lessons.engine.qualities import agreeing, fame, inset, is_plural, sign_of
from lessons.engine.workshop import ROOM, Workshop

NAME = "place-on-the-plane"
TITLE = "Place on the plane"
RESPONSE = "place"
FINITE = True
PANEL = False
WIDEST = 2.0  # degrees of an interval
PLANE = (0, 1)  # temperature, moisture
OFF_PLANE = (2, 3)
BARRED_TO_TASTE = frozenset({"toxic", "restricted"})
STEMS = (
    "Where on the plane of temperature and moisture {does} {label} sit?",
    "At which point of the plane, temperature by moisture, would you place {label}?",
    "By degrees of temperature and of moisture, where {does} {label} belong?",
    "Which point of the plane of temperature and moisture marks where {label} {sits}?",
)
MIDWAY = frozenset({0, 2, 3})  # stems in which words follow the label
# Of one herb, and of one whose label is a plural, such as hops.
ANSWERS = ("It {does}, so it answers tissue that is {state}.", "They {does}, so they answer tissue that is {state}.")
UNTOUCHED = (
    ("leaves warmth as it is", "leaves moisture as it is"),
    ("leave warmth as it is", "leave moisture as it is"),
)
BESIDE = (
    "It also {does}, a quality that the plane leaves out.",
    "They also {does}, a quality that the plane leaves out.",
)
TASTES = (
    "It tastes {tastes}, and the rule of taste points the same way.",
    "They taste {tastes}, and the rule of taste points the same way.",
)
NAME_FOR_REASON = (
    (
        "It is {action}, and {plural} share one place on the plane.",
        "It answers the tissue that any {name} does, wherever on the plane it sits.",
        "The farther it sits from the middle, the more states of tissue it answers.",
    ),
    (
        "They are {plural}, and {plural} share one place on the plane.",
        "They answer the tissue that any {name} does, wherever on the plane they sit.",
        "The farther they sit from the middle, the more states of tissue they answer.",
    ),
)
FAR = len(NAME_FOR_REASON[0]) - 1  # the only one that names no class
SIGNS = {"+": 1, "-": -1, "0": 0, "?": 0}
LEANS = 0.5  # degrees from which a rule of taste points somewhere


def cases(workshop: Workshop, constraints: Constraints) -> Sequence[int]:
    """Every row that has one place: row numbers, in the order of the catalogue."""
    catalogue = workshop.catalogue
    value, low, high = (table[:, PLANE] for table in (catalogue.value, catalogue.low, catalogue.high))
    placed = (
        (high - low <= WIDEST + ROOM).all(axis=1) & ~((low < 0) & (high > 0)).any(axis=1) & (value != 0).any(axis=1)
    )
    if constraints.action is not None:
        placed &= workshop.plainly(constraints.action)
    return [
        int(row)
        for row in np.flatnonzero(placed)
        if constraints.admits_part(catalogue.rows[row].part_slug)
        and all(workshop.sources_of(catalogue.rows[row].slug, None, (axis,)) for axis in PLANE)
    ]


def write(workshop: Workshop, case: int, rng: Random) -> Draft | None:
    """The question about one row."""
    catalogue = workshop.catalogue
    shown = herb(catalogue, case)
    certified = profile_row(catalogue, case)
    part, label = certified["part"], shown["label"]
    number = rng.randrange(len(STEMS))
    does, sits = ("do", "sit") if is_plural(label) else ("does", "sits")
    words = _words(workshop, case, rng)
    return {
        "stem": STEMS[number].format(label=inset(label) if number in MIDWAY else label, does=does, sits=sits),
        "options": [],
        "key": {end: [certified[end][axis] for axis in PLANE] for end in ("low", "high")},
        "because": [_reasons(certified, words, rng)],
        "subject": {"part": part, "herb": shown},
        "words": words,
        "known": fame(workshop, [part]),
        "certificate": {"rows": [certified]},
        "skeleton": f"{NAME}:{number}:{part}",
        "sources": {part: sorted(workshop.sources_of(part, None, PLANE))},
    }


def _words(workshop: Workshop, case: int, rng: Random) -> dict[str, str]:
    """One of the classes the part leads in, and its taste where the rule of taste points to its place."""
    catalogue = workshop.catalogue
    words: dict[str, str] = {}
    classes = leading_classes(catalogue, case)
    if classes:
        term = catalogue.actions[rng.choice(classes)]
        words |= {"name": term.name, "action": article(term.name), "plural": term.plural}
    tastes = pointing_tastes(workshop, case)
    return words | ({"tastes": joined(tastes)} if tastes else {})


def pointing_tastes(workshop: Workshop, row: int) -> list[str]:
    """The tastes of a part whose rule leads one to expect the qualities it has; none where rule and part disagree.

    The tradition is the one whose degrees are the working ones. A toxic or restricted plant is not described by its taste.
    """
    record, value = workshop.catalogue.rows[row], workshop.catalogue.value[row]
    notes = workshop.notes.get(record.part_slug)
    if notes is None or BARRED_TO_TASTE & set(record.marks):
        return []
    for tradition, tastes in notes.tastes.items():
        degrees = notes.degrees.get(tradition, {})
        if any(degrees.get(AXES[axis]) != value[axis] for axis in PLANE):
            continue
        ruled = expected([rule for rule in workshop.rules if rule.tradition == tradition and rule.is_taste], tastes)
        if all(_points(ruled.get(AXES[axis], 0.0), value[axis]) for axis in PLANE):
            return [workshop.terms["taste"][taste]["name"] for taste in tastes]
    return []


def _points(ruled: float, value: float) -> bool:
    """Whether a rule leads one to expect the side of temperate that a part is on, or nothing of a temperate one."""
    return ruled * value > 0 if value else abs(ruled) < LEANS


def signs(row: Mapping[str, Any]) -> str:
    """The sides of temperate on which a part lies, temperature first: "+-" warms and dries, "0+" moistens alone.

    "?" stands where it is temperate by the working value and some source says otherwise: nothing is said of that axis.
    """
    return "".join(_side(row["low"][axis], row["value"][axis], row["high"][axis]) for axis in PLANE)


def _side(low: float, value: float, high: float) -> str:
    if value:
        return "+" if value > 0 else "-"
    return "0" if low == high else "?"


def _reasons(row: Mapping[str, Any], words: Mapping[str, str], rng: Random) -> list[Reason]:
    """The state answered; like sought with like; a quality turned round; a truth beside the point; the class for a reason."""
    right = signs(row)
    turn = rng.choice([axis for axis in PLANE if right[axis] in "+-"])
    turned = right[:turn] + ("-" if right[turn] == "+" else "+") + right[turn + 1 :]
    beside = [
        f"beside:{AXES[axis]}{'+' if row['low'][axis] > 0 else '-'}"
        for axis in OFF_PLANE
        if row["low"][axis] > 0 or row["high"][axis] < 0
    ]
    if "tastes" in words:
        beside.append("tastes")
    named = rng.randrange(FAR + 1) if "name" in words else FAR
    found = [(f"answers:{right}", DECISIVE), (f"like:{right}", MISCONCEPTION), (f"answers:{turned}", FALSE)]
    if beside:
        found.append((rng.choice(beside), TRUE))
    found.append((f"name:{named}", MISCONCEPTION))
    rng.shuffle(found)
    return [{"code": code, "status": status} for code, status in found]


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence of a reason; the same whatever was answered."""
    kind, _, rest = code.partition(":")
    words, label = item["words"], item["subject"]["herb"]["label"]
    many = is_plural(label)
    if kind == "tastes":
        return TASTES[many].format(**words)
    if kind == "name":
        return NAME_FOR_REASON[many][int(rest)].format(**words)
    if kind == "beside":
        return BESIDE[many].format(does=agreeing(label, rest[:-1], sign_of(rest[-1])))
    sides = [(axis, SIGNS[way]) for axis, way in zip(PLANE, rest, strict=True)]
    # What it does comes before what it leaves alone.
    does = [agreeing(label, AXES[axis], sign) for axis, sign in sides if sign]
    does += [UNTOUCHED[many][axis] for axis, way in zip(PLANE, rest, strict=True) if way == "0"]
    contrary = kind == "answers"
    state = [pole(AXES[axis], -sign if contrary else sign, STATE_POLES) for axis, sign in sides if sign]
    return ANSWERS[many].format(does=" and ".join(does), state=" and ".join(state))


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of the box does not hold by the figures of the row."""
    rows = item["certificate"]["rows"]
    if len(rows) != 1 or not rows[0]["part"] == item["subject"]["part"] == item["subject"]["herb"]["part"]:
        return ["The certificate is of another herb."]
    (row,) = rows
    wrong = []
    for place, axis in enumerate(PLANE):
        low, value, high = row["low"][axis], row["value"][axis], row["high"][axis]
        if (item["key"]["low"][place], item["key"]["high"][place]) != (low, high):
            wrong.append(f"On {AXES[axis]} the key is not the interval from {low} to {high}.")
        if not low <= value <= high or not -LIMIT <= low <= high <= LIMIT:
            wrong.append(f"On {AXES[axis]} the working value {value} lies outside the interval from {low} to {high}.")
        if high - low > WIDEST + ROUNDING_ERROR or low < 0 < high:
            wrong.append(f"On {AXES[axis]} the interval from {low} to {high} is no one place.")
    right = signs(row)
    if not set(right) & set("+-"):
        wrong.append("It is temperate in both, and answers no state.")
    if [reason["code"] for reason in item["because"][0] if reason["status"] == DECISIVE] != [f"answers:{right}"]:
        wrong.append("What decides is not the contrary of its qualities.")
    return wrong
