"""What each option would do here, or what is right and wrong with it, in sentences about this very item."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from herbs.engine import (
    AGGRAVATES_LEADING,
    AXES,
    AXIS_INDEX,
    VERDICT_WORDS,
    WEIGHTS,
    Presentation,
    capital,
    degree_number,
    fit_of,
    joined,
)
from herbs.engine.axes import AGGRAVATES_ANY
from lessons.engine.certificate import presentation_of
from lessons.engine.changes import changed, obstacle

from .phrases import (
    DEGREES,
    Item,
    Option,
    agrees,
    degree_of,
    does,
    falls_short,
    leading,
    links,
    merit,
    name,
    needed,
    push,
    sentence,
    shortfall,
    state,
    thing,
    wrong_way,
)

FAULT_WORDS = {f"wrong {axis}": f"Wrong {axis}: it {{does}}, and the state is {{state}} already." for axis in AXES} | {
    "feeds the root": "It feeds the root: it {does}, and the state is {state} at its root.",
    "palliates only": "It palliates only: it meets what followed, and leaves the root as it is.",
    "too weak": "Too weak: on what leads here it does little or nothing.",
    "too strong": "Too strong: it pushes well past the need, and its other qualities go to waste.",
    "wrong place": "Wrong place: whatever its qualities, it hardly reaches this part of the body.",
    "lacks the action here": "It lacks the action here: it reaches the place, but hardly does there what is asked.",
    "opposed action": "Opposed action: it also has an action that undoes the one asked.",
    "unsafe for this person": "Unsafe for this person: its caution for {person} stands before all its qualities.",
}
PAST = "{head}: it {does} far past the need, and the person leans that way already."
MORE = {
    "hot": "hotter", "cold": "colder", "damp": "damper", "dry": "drier", "tense": "tenser", "lax": "more lax",
    "excited": "more excited", "torpid": "more torpid",
}  # fmt: skip
PLACES = ("First", "Second", "Third", "Fourth")


def best_fit(item: Item, number: int) -> str:
    """The fault of a distractor as a sentence about this case; of the key why it is right."""
    option = item["options"][number]
    if not option["fault"]:
        return sentence(f"It {merit(item, 'it', option['effects'])}{_in_place(item)}")
    return fault_of_case(item, option)


def _in_place(item: Item) -> str:
    words = item["words"]
    return f", reaches the {words['place']} and acts there as {words['action']}" if "place" in words else ""


def fault_of_case(item: Item, option: Option) -> str:
    """A fault of best-fit in words."""
    fault, names = option["fault"], item["presentation"]["person_names"]
    axis = axis_of_fault(item, option)
    effect, degree = option["effects"][AXES.index(axis)], degree_of(item, axis)
    words = FAULT_WORDS[fault]
    if "{state}" in words and effect * degree < 0:  # the right way, but too far for a person who leans that way already
        words = PAST
    return words.format(
        head=capital(fault), does=does("it", [axis], option["effects"]), state=state(axis, degree),
        person=joined(names) if names else "this person",
    )  # fmt: skip


def axis_of_fault(item: Item, option: Option) -> str:
    """The axis a fault is about: the one it names, else the root or leading axis that the herb meets worst."""
    named = option["fault"].removeprefix("wrong ")
    if named in AXES and degree_of(item, named):
        return str(named)
    roots = [root for root, _ in links(item)] or [needed(item)[0][0]]
    return min(roots, key=lambda axis: option["raw"][AXES.index(axis)])


def would_aggravate(item: Item, number: int) -> str:
    """What each herb would do: harm, and how; or help, and by what."""
    option = item["options"][number]
    if number == item["key"]:
        return sentence(f"It would make the state worse: it {harm(item, number)}")
    if option["verdict"] == "little":
        fault = shortfall(item, number, "it")
        return sentence(f"It would change little here, for better or worse{f': it {fault}' if fault else ''}")
    helps = "It would help" if option["verdict"] == "suits" else "It would help a little"
    return sentence(f"{helps}: it {merit(item, 'it', option['effects'])}")


def harm(item: Item, number: int, label: str = "it") -> str:
    """What does harm in an herb that aggravates: "relaxes where laxity came first"."""
    option = item["options"][number]
    astray = wrong_way(item, option["effects"], option["raw"])
    if astray:
        return f"{push(item, label, astray, option['effects'])}{_for_all(item, option, astray)}"
    own = item["words"].get("own", {}).get(str(number), {})
    opposed = own.get("opposed")
    if opposed:
        return f"{agrees(label, 'acts', 'act')} as {opposed} too, and that undoes the action asked"
    return f"{agrees(label, 'has', 'have')} an action that undoes the one asked"


def _for_all(item: Item, option: Option, astray: str) -> str:
    """What an herb does for the qualities that lead, where its harm lies elsewhere: ", whatever it does for the damp"."""
    met = [
        axis
        for axis in leading(item)
        if axis != astray and option["effects"][AXES.index(axis)] * degree_of(item, axis) < 0
    ]
    if not met or astray in leading(item):
        return ""
    return f", whatever it does for the {joined([thing(axis, degree_of(item, axis)) for axis in met])}"


def order_by_fit(item: Item, number: int) -> str:
    """The place of an herb in the order, and what sets it there: its verdict, or within one verdict its fit."""
    place = item["key"].index(number)
    option = item["options"][number]
    said = f"{PLACES[place]}: it {VERDICT_WORDS[option['verdict']]}, with a fit of {fit_said(option)}"
    if place == 0:
        return sentence(f"{said}, for it {merit(item, 'it', option['effects'])}")
    above = item["options"][item["key"][place - 1]]
    if above["verdict"] == option["verdict"]:
        return sentence(f"{said} against {fit_said(above)} of {name(above)}, for {less_than(item, option, above)}")
    lack = shortfall(item, number, "it")
    return sentence(f"{said}, for {f'it {lack}' if lack else less_than(item, option, above)}")


def fit_said(option: Option) -> str:
    """A fit as it is written, -1 to 1: "0.84"."""
    return f"{option['parts']['fit']:.2f}".replace("-", "\u2212")


def less_than(item: Item, option: Option, above: Option, herb: str = "") -> str:
    """In what an herb of the same verdict falls behind another: the part of the fit that makes most of the difference.

    ``herb`` is its name; "it" without one.
    """
    weighed = {
        part: weight * (above["parts"][part] - option["parts"][part])
        for part, weight in zip(("energetic", "affinity", "action"), WEIGHTS, strict=True)
    }
    it, label = herb or "it", option["label"] if herb else "it"
    return {
        "energetic": f"the qualities of {herb} meet the need less well"
        if herb
        else "its qualities meet the need less well",
        "affinity": f"{it} {agrees(label, 'reaches', 'reach')} the {item['words']['place']} less",
        "action": f"{it} {agrees(label, 'acts', 'act')} there less strongly as {item['words']['action']}",
    }[max(weighed, key=lambda part: weighed[part])]


def name_the_state(item: Item, number: int) -> str:
    """What the findings say to each state that is offered."""
    option, right = item["options"][number], item["options"][item["key"]]
    if number == item["key"]:
        order = ordering(item)
        tells = f", and “{order}” tells which came first" if order else ""
        return sentence(f"Each quality that it names adds up from the findings, and no other does{tells}")
    if option["fault"] == "root and consequence exchanged":
        root, follower = links(item)[0]
        first, then = (thing(axis, degree_of(item, axis)) for axis in (root, follower))
        return sentence(f"Its qualities are right, its order is not: “{ordering(item)}” puts {first} before {then}")
    contrary, invented, missed = [], [], []
    for axis, here, there in zip(AXES, option["degrees"][-1], right["degrees"][-1], strict=True):
        if here * there < 0:
            contrary.append((axis, f"it names {thing(axis, here)}", f", where {{}} for {thing(axis, there)}"))
        elif here and not there:
            touched = any(finding["evidence"].get(axis) for finding in item["presentation"]["findings"])
            no = "to which the findings do not add up" if touched else "for which no finding speaks"
            invented.append((axis, f"it names {thing(axis, here)}, {no}", ""))
        elif there and not here:
            missed.append((axis, f"it leaves out the {thing(axis, there)}", " for which {}"))
    # The gravest is shown by its findings; what else is amiss is named alone.
    (axis, text, tail), *rest = [*contrary, *invented, *missed]
    return sentence("; ".join([text + tail.format(quoted(item, axis) if tail else ""), *(row[1] for row in rest)]))


def ordering(item: Item) -> str:
    """The finding that tells which quality came first; "" where none follows from another."""
    return next((finding["text"] for finding in item["presentation"]["findings"] if finding["order"]), "")


def speaking(item: Item, axis: str) -> list[str]:
    """The findings that bear on an axis the way the state leans there."""
    degree = degree_of(item, axis)
    return [
        finding["text"] for finding in item["presentation"]["findings"] if finding["evidence"].get(axis, 0) * degree > 0
    ]


def quoted(item: Item, axis: str) -> str:
    """Findings on an axis with their verb: "“cold hands” and “a slow pulse” speak"."""
    found = speaking(item, axis)
    return f"{joined([f'“{text}”' for text in found])} {'speaks' if len(found) == 1 else 'speak'}"


def what_would_have_to_change(item: Item, number: int) -> str:
    """What each change would make of the state, and how the herb would then stand."""
    option, row = item["options"][number], item["certificate"]["rows"][0]
    axis = AXIS_INDEX[option["axis"]]
    now = presentation_of(item)
    after = replace(now, pattern=changed(now.pattern, axis, option["degree"]))
    was, then = degree_of(item, option["axis"]), option["degree"]
    fit = fit_of(tuple(row["value"]), row["affinity"], row["action"], after, opposed=row["opposed"])
    turn, said = (
        turned(option["axis"], was, then),
        f"it {'only ' if fit.verdict == 'partly' else ''}{VERDICT_WORDS[fit.verdict]}",
    )
    if number == item["key"]:
        act = does("it", [option["axis"]], row["value"])
        if row["value"][axis] * then < 0:
            return sentence(f"{turn}; the herb {act}, and so {said}")
        return sentence(f"{turn}, and with nothing left in its way the herb {VERDICT_WORDS[fit.verdict]}")
    fails = _in_the_way(row, after)
    if fails is None:
        return sentence(f"{turn}, and the herb {VERDICT_WORDS[fit.verdict]}")
    there, effect = after.pattern.degrees[fails], row["value"][fails]
    if effect * there < 0 or not effect:
        return sentence(f"{turn}; the herb {falls_short('it', AXES[fails], there, row['value'])}, and {said}")
    still = "still " if AXES[fails] != option["axis"] or was * there > 0 else ""
    act = does("it", [AXES[fails]], row["value"])
    return sentence(f"{turn}; the herb {act} what is {still}{state(AXES[fails], there)}, and {said}")


def _in_the_way(row: Mapping[str, Any], after: Presentation) -> int | None:
    """The axis on which an herb fails a state: where it does harm if it does any, or else its first obstacle."""
    fit = fit_of(tuple(row["value"]), row["affinity"], row["action"], after, opposed=row["opposed"])
    pattern = after.pattern
    harms = [
        axis
        for axis, degree in enumerate(pattern.degrees)
        if row["value"][axis] * degree > 0
        and fit.raw[axis] <= (AGGRAVATES_LEADING if axis in pattern.leading else AGGRAVATES_ANY)
    ]
    return min(harms, key=lambda axis: fit.raw[axis]) if harms else obstacle(row, after)


def turned(axis: str, was: float, then: float) -> str:
    """A change of state on one axis in words."""
    if not then:
        return f"The {thing(axis, was)} would be gone"
    if not was:
        return f"The tissue would be {state(axis, then)} as well, {DEGREES[degree_number(then)]}"
    if was * then > 0:
        more = MORE[state(axis, then)] if abs(then) > abs(was) else f"less {state(axis, then)}"
        return f"The tissue would be {more}, {DEGREES[degree_number(then)]}"
    return f"The tissue would be {state(axis, then)} instead of {state(axis, was)}"


def caution(item: Item, number: int) -> str:
    """For whom the herb has to give way, and to what; of the others that it may stay."""
    option, rows, labels = item["options"][number], item["certificate"]["rows"], item["words"]["labels"]
    herb, instead = labels[0], labels[1]
    if number == item["key"]:
        lead = leading(item)
        return sentence(
            f"{capital(herb)} {agrees(herb, 'has', 'have')} a caution for this, and no quality outweighs it; "
            f"{instead} {does(instead, lead, rows[1]['value'])} too, and has no caution for this person"
        )
    barred = [label for row, label in zip(rows[1:], labels[1:], strict=True) if option["slug"] in row["unsafe"]]
    beside = f"; {joined(barred)} would have to give way" if barred else ""
    return sentence(f"No caution of {herb} turns on this, and {agrees(herb, 'it', 'they')} may stay{beside}")
