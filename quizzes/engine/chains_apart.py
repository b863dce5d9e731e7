"""Chains of the families that present no case: from what is given, by the rule, to what follows."""

from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES, capital, degree_number, joined
from lessons.engine.draws import MENSTRUA, METHODS
from lessons.engine.qualities import answered
from lessons.engine.sums import SUMS

from .doing_apart import degree_said
from .phrases import DEGREES, Item, agrees, decisive, does, gerund, name, sentence
from .sums_worked import GIVEN, worked_steps

Step = dict[str, Any]


def point_of_difference(item: Item) -> list[Step]:
    """What the two share, the axis on which they part, and so which of them for which tissue."""
    rows, herbs = item["certificate"]["rows"], item["subject"]["herbs"]
    axis = item["options"][item["key"]]["slug"][:-1]
    number = AXES.index(axis)
    shared = shared_qualities(rows, without=axis)
    both = f", and both {joined(shared)}" if shared else ""
    one, other = (answered(axis, row["value"][number]) for row in rows)
    first, second = (name(herb) for herb in herbs)
    return [
        {"term": "They share", "text": sentence(f"Both are {item['words']['class']}{both}")},
        {"term": "They part", "text": sentence(f"On {axis}: " + joined([
            degree_said(herb["label"], axis, row) for herb, row in zip(herbs, rows, strict=True)]))},
        {"term": "The choice", "text": sentence(f"{one} tissue calls for {first}, {other} tissue for {second}")},
    ]  # fmt: skip


def shared_qualities(rows: Any, without: str = "") -> list[str]:
    """What all of some rows surely do, as bare verbs: "cool"."""
    return [
        does("herbs", [axis], rows[0]["value"])
        for number, axis in enumerate(AXES)
        if axis != without
        and (all(row["low"][number] > 0 for row in rows) or all(row["high"][number] < 0 for row in rows))
    ]


def kinds(item: Item) -> list[Step]:
    """What the four share, the degrees of each, and the kind that each is of alone."""
    options, rows = item["options"], item["certificate"]["rows"]
    shared = shared_qualities(rows)
    all_four = f", and all {joined(shared)}" if shared else ""
    listed, matched = [], []
    for option, row, number in zip(options, rows, item["key"], strict=True):
        kind = item["kinds"][number]
        axes = [axis for axis in AXES if row["value"][AXES.index(axis)]]
        listed.append({"text": name(option), "says": does(option["label"], axes, row["value"], plainly=True)})
        matched.append({"text": name(option), "says": kind})
    return [
        {"term": "They share", "text": sentence(f"All four are {item['words']['class']}{all_four}")},
        {"term": "Degrees", "listed": listed},
        {"term": "Kinds", "listed": matched, "text": "Each is of its own kind, and of no other of the four."},
        {"term": "Two told apart", "text": sentence(decisive(item)["text"])},
    ]


def place_on_the_plane(item: Item) -> list[Step]:
    """What the sources say of temperature and of moisture, the box they span, and the tissue it answers."""
    row, herb = item["certificate"]["rows"][0], item["subject"]["herb"]
    label = herb["label"]
    steps: list[Step] = [
        {"term": capital(axis), "text": sentence(f"{capital(name(herb))} {_interval(label, axis, row)}")}
        for axis in AXES[:2]
    ]
    wide = any(row["low"][n] != row["high"][n] for n in range(2))
    box = "The sources differ, so that its place is a box and any point within it is right." if wide else (
        "All sources that are heard agree, so that its place is one point."
    )  # fmt: skip
    return [*steps, {"term": "Box", "text": box}, {"term": "It answers", "text": sentence(decisive(item)["text"])}]


def _interval(label: str, axis: str, row: Mapping[str, Any]) -> str:
    """What the sources say on an axis: "cools in the first degree", "cools in the first to the second degree"."""
    number = AXES.index(axis)
    low, value, high = row["low"][number], row["value"][number], row["high"][number]
    working = (
        does(label, [axis], row["value"], plainly=True)
        if value
        else f"{agrees(label, 'is', 'are')} temperate in {axis}"
    )
    if low == high:
        return working
    ends = joined([f"{gerund(axis, end)} {DEGREES[degree_number(end)]}" if end else "temperate" for end in (low, high)])
    return f"{working}; the sources lie between {ends}"


def taste_to_effect(item: Item) -> list[Step]:
    """The tastes, the rule of the tradition for each, what that leads to expect, what the source says, and whether they agree."""
    subject, words = item["subject"], item["words"]
    rules, tradition = item["certificate"]["rules"], words["tradition"]
    axes = list(subject["rule"])
    spoken = [taste for taste in subject["tastes"] if taste in rules]
    silent = [taste for taste in subject["tastes"] if taste not in rules]
    today = " as it is described today" if subject["borrowed"] else ""
    listed = []
    for taste in spoken:
        known = [axis for axis in axes if rules[taste].get(axis)]
        does_there = (
            does("it", known, _effects(rules[taste]), plainly=True) if known else f"says nothing of {' or '.join(axes)}"
        )
        listed.append({"text": f"what is {taste}", "says": does_there})
    listed += [{"text": f"what is {taste}", "says": "the rule is silent"} for taste in silent]
    rule, claim = (does("it", axes, _effects(subject[told]), plainly=True) for told in ("rule", "claim"))
    mean = " (the mean of the tastes that speak)" if len(spoken) > 1 else ""
    return [
        {"term": "Taste", "text": sentence(f"The taste of {words['herb']}{today} is {joined(subject['tastes'])}")},
        {"term": "Rule", "listed": listed},
        {"term": "Expected", "text": sentence(f"By the rule in {tradition} it {rule}{mean}")},
        {"term": "Found", "text": sentence(f"In {tradition} it {claim}")},
        {"term": "So", "text": _agreement(subject, axes)},
    ]  # fmt: skip


def _agreement(subject: Mapping[str, Any], axes: list[str]) -> str:
    if not subject["exception"]:
        return "Rule and source agree, within a degree on both."
    apart = [axis for axis in axes if subject["rule"][axis] * subject["claim"][axis] < 0]
    rest = [axis for axis in axes if axis not in apart]
    kept = f", and keeps to it on {joined(rest)}" if rest else ""
    return f"The herb is an exception to the rule on {joined(apart)}{kept}: what is found counts."


def _effects(degrees: Mapping[str, float]) -> list[float]:
    return [float(degrees.get(axis, 0.0)) for axis in AXES]


def preparation(item: Item) -> list[Step]:
    """A sum worked step by step; or what is wanted, the fact it turns on, and the menstruum or method that follows."""
    subject, key = item["subject"], item["options"][item["key"]]
    if subject["kind"] in SUMS:
        return [
            {"term": "Given", "text": GIVEN[subject["sum"]].format(**subject)},
            {"term": "Rule", "text": sentence(decisive(item)["text"])},
            *({"term": f"Step {number}", "text": text} for number, text in enumerate(worked_steps(subject), 1)),
            {"term": "Answer", "text": sentence(key["label"])},
        ]
    words = item["words"]
    labels = MENSTRUA if subject["kind"] == "menstruum" else METHODS
    return [
        {"term": "Wanted", "text": sentence(f"The {words['constituent']} of {words['herb']}")},
        {"term": "Rule", "text": sentence(decisive(item)["text"])},
        {"term": capital(subject["kind"]), "text": sentence(labels.get(key["slug"], key["label"]))},
    ]


APART = {
    "point-of-difference": point_of_difference,
    "kinds": kinds,
    "place-on-the-plane": place_on_the_plane,
    "taste-to-effect": taste_to_effect,
    "preparation": preparation,
}
