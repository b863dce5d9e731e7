"""What is right and wrong with each answer of the families that present no case: differences, kinds, tastes, preparations."""

from collections.abc import Mapping, Sequence
from typing import Any

from herbs.engine import AXES, degree_number, joined
from lessons.engine import responses
from lessons.engine.sums import SUMS

from .phrases import DEGREES, Item, agrees, decisive, degrees_apart, does, gerund, name, quality_of, sentence
from .sums_worked import worked


def point_of_difference(item: Item, number: int) -> str:
    """What the sources say of the two herbs on the axis that a statement is about."""
    option = item["options"][number]
    axis = option["slug"][:-1]
    said = both_said(item, axis)
    if number == item["key"]:
        return sentence(f"The sources say so: {said}")
    if option["fault"] == "reversed":
        return sentence(f"The right axis, told the wrong way round: {said}")
    return sentence(f"They do not part on {axis}: {said}")


def both_said(item: Item, axis: str) -> str:
    """The two herbs of a pair with their degrees on an axis; in one where they are the same."""
    rows, herbs = item["certificate"]["rows"], item["subject"]["herbs"]
    one, other = (row["value"][AXES.index(axis)] for row in rows)
    if one and one == other:
        return f"both {does('herbs', [axis], rows[0]['value'], plainly=True)}"
    return joined([degree_said(herb["label"], axis, row) for herb, row in zip(herbs, rows, strict=True)])


def degree_said(label: str, axis: str, row: Mapping[str, Any]) -> str:
    """An herb and its degree on an axis: "mallow flower relaxes in the first degree"."""
    effect = row["value"][AXES.index(axis)]
    shown = name({"label": label})
    if not effect:
        return f"{shown} {agrees(label, 'is', 'are')} temperate in {axis}"
    return f"{shown} {does(label, [axis], row['value'], plainly=True)}"


def kinds(item: Item, number: int, answered: Sequence[int] | None = None) -> str:
    """The kind of an herb by its degrees, and what is amiss with another that it was given."""
    option, row = item["options"][number], item["certificate"]["rows"][number]
    kind = item["kinds"][item["key"][number]]
    axes = axes_of_kind(kind)
    said = f"It is {kind}, for it {does('it', axes, row['value'], plainly=True)}"
    if answered is None or answered[number] == item["key"][number]:
        return sentence(said)
    given = item["kinds"][answered[number]]
    return sentence(f"{said}. It is not {given}, for it {denied('it', given, row)}") if option else said


def axes_of_kind(kind: str) -> list[str]:
    """The two axes that a kind such as "warming and drying" is about."""
    return [axis for word in kind.split(" and ") for axis, _ in [quality_of(word)]]


def denied(label: str, kind: str, row: Mapping[str, Any]) -> str:
    """Why an herb is not of a kind: "cools", "is temperate in moisture"; what it does on the axes where it is otherwise."""
    said = []
    for word in kind.split(" and "):
        axis, sign = quality_of(word)
        effect = row["value"][AXES.index(axis)]
        if effect * sign <= 0:
            said.append(
                does(label, [axis], row["value"]) if effect else f"{agrees(label, 'is', 'are')} temperate in {axis}"
            )
    return joined(said)


def taste_to_effect(item: Item, number: int) -> str:
    """What rule and source say to each pair of qualities."""
    subject, option = item["subject"], item["options"][number]
    truth = subject["claim"] if subject["exception"] else subject["rule"]
    if number == item["key"]:
        ground = (
            "what the tradition finds of the herb, against its rule"
            if subject["exception"]
            else "what the rule leads to, and what is found"
        )
        return sentence(f"That is {ground}")
    told = option["slug"].split("-and-")
    amiss = [
        axis
        for axis, word in zip(truth, told, strict=True)
        if word != does("it", [axis], _effects({axis: truth[axis]}))
    ]
    if len(amiss) == len(truth):
        if subject["exception"] and all(subject["rule"][axis] * truth[axis] < 0 for axis in truth):
            return "That is what the taste alone would suggest, and the herb is an exception on both."
        return "Both qualities are the contrary of what is found."
    axis = amiss[0]
    if subject["exception"] and subject["rule"][axis] * truth[axis] < 0:
        return sentence(f"On {axis}, that is what the taste alone would suggest, and there the herb is the exception")
    return sentence(f"On {axis}, {'the source finds' if subject['exception'] else 'rule and source say'} that it "
                    f"{does('it', [axis], _effects({axis: truth[axis]}))}")  # fmt: skip


def _effects(degrees: Mapping[str, float]) -> list[float]:
    return [degrees.get(axis, 0.0) for axis in AXES]


def preparation(item: Item, number: int) -> str:
    """A sum worked as it was meant or mistaken; of a menstruum or a method whether it draws what is wanted."""
    subject, option = item["subject"], item["options"][number]
    if subject["kind"] in SUMS:
        return worked(subject, "" if number == item["key"] else option["fault"])
    constituent = item["words"]["constituent"]
    if number == item["key"]:
        return sentence(decisive(item)["text"])
    if subject["kind"] == "menstruum":
        return sentence(f"As a menstruum it draws little of the {constituent}")
    return sentence(f"That way little of the {constituent} is drawn, or it is lost")


def place_said(item: Item, response: int) -> str:
    """Where a place on the plane lies beside the box that the sources span."""
    away, at_best = [], []
    for axis, at, low, high in zip(
        AXES, responses.cell(response), item["key"]["low"], item["key"]["high"], strict=False
    ):
        gap = max(low - at, at - high)
        if gap > 0:
            away.append(f"{degrees_apart(gap)} too far towards {gerund(axis, at - high if at > high else at - low)}")
            at_best.append(_at(axis, low if at < low else high))
    if not away:
        return "It lies within what the sources span."
    return sentence(f"It lies {joined(away)}; the sources come no nearer than {joined(at_best)}")


def _at(axis: str, value: float) -> str:
    return f"{gerund(axis, value)} {DEGREES[degree_number(value)]}" if value else f"temperate in {axis}"
