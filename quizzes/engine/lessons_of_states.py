"""What is to be remembered of cases that ask for a state, a change, a person or the weight of a finding."""

from collections.abc import Mapping

from herbs.engine import AXES, joined
from lessons.engine.certificate import presentation_of
from lessons.engine.changes import obstacle

from .doing import ordering, quoted, speaking, turned, what_would_have_to_change
from .phrases import (
    Item,
    agrees,
    degree_of,
    does,
    falls_short,
    itself,
    leading,
    links,
    lowered,
    merit,
    needed,
    state,
    subject_name,
    thing,
)

Reason = Mapping[str, str]


# name-the-state


def state_named(item: Item) -> str:
    """That the order told names the root; or that a quality is named when findings add up to it."""
    if links(item):
        root, follower = links(item)[0]
        first, then = thing(root, degree_of(item, root)), thing(follower, degree_of(item, follower))
        return f"what came first is the root: “{ordering(item)}” puts {first} before {then}"
    rows = needed(item)
    idle = [axis for axis in AXES if axis not in {axis for axis, _, _ in rows}]
    named = joined([thing(axis, degree) for axis, degree, _ in rows])
    return f"name what the findings add up to and nothing else: here {named}, and nothing of {' or '.join(idle)}"


def other_state(item: Item, choice: int) -> str:
    """What the findings, or the order told, say against the state that was chosen."""
    option, right = item["options"][choice], item["options"][item["key"]]
    if option["fault"] == "root and consequence exchanged":
        return state_named(item)
    pairs = list(zip(AXES, option["degrees"][-1], right["degrees"][-1], strict=True))
    for axis, here, there in pairs:
        if here * there < 0:
            return f"on {axis} {quoted(item, axis)} for {thing(axis, there)} and not for {thing(axis, here)}"
    for axis, here, there in pairs:
        if here and not there:
            return f"name no quality that the findings do not add up to, as here {thing(axis, here)}"
    axis, there = next((axis, there) for axis, here, there in pairs if there and not here)
    return f"leave out no quality that has its findings: {quoted(item, axis)} for {thing(axis, there)}"


def state_reason(item: Item, choice: int, reason: Reason) -> str:
    """What names a state, against the reason that was given."""
    del choice
    kind, _, rest = reason["code"].partition(":")
    if kind == "complaint":
        shown = _first(item) if links(item) else _summed(item)
        return f"a complaint names no state, since the same one can come of others: {shown}"
    if kind == "sign":
        told = item["presentation"]["findings"][int(rest)]["text"]
        return f"one sign such as “{told}” names no state: {_summed(item)}"
    if kind == "loud":
        return f"what troubles most need not have come first: {_first(item)}"
    if kind == "disorder":
        return f"read the order as it is told: {_first(item)}"
    if kind == "axis":
        return f"one axis is not the whole state: {_first(item) if links(item) else _summed(item)}"
    axis = AXES[int(rest.partition(":")[0])]
    if not degree_of(item, axis):
        return f"no quality stands without its findings: of {axis} nothing is told, and {_summed(item)}"
    return f"add up the findings axis by axis: {quoted(item, axis)} for {thing(axis, degree_of(item, axis))}"


def _first(item: Item) -> str:
    root, follower = links(item)[0]
    first, then = thing(root, degree_of(item, root)), thing(follower, degree_of(item, follower))
    return f"“{ordering(item)}” puts {first} before {then}"


def _summed(item: Item) -> str:
    """How many findings speak for each quality: "here two findings speak for cold and two for torpor"."""
    counts = [(len(speaking(item, axis)), thing(axis, degree)) for axis, degree, _ in needed(item)]
    said = [f"{COUNTS.get(count, count)} for {word}" for count, word in counts]
    (first, word), rest = counts[0], said[1:]
    findings = "finding speaks" if first == 1 else "findings speak"
    return f"here {joined([f'{COUNTS.get(first, first)} {findings} for {word}', *rest])}"


COUNTS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five"}

# what-would-have-to-change


def what_stood_in_the_way(item: Item) -> str:
    """The quality that kept the herb from suiting, and what it would suit."""
    key, row = item["options"][item["key"]], item["certificate"]["rows"][0]
    herb, axis = subject_name(item), key["axis"]
    was, then, effect = degree_of(item, axis), key["degree"], row["value"][AXES.index(axis)]
    act = does(herb, [axis], row["value"])
    suits, it = agrees(herb, "suits", "suit"), agrees(herb, "it", "they")
    if effect * then < 0:
        want = f"{agrees(herb, 'wants', 'want')} tissue that is {state(axis, then)}"
        now = f"not {state(axis, was)}" if was else f"where here it is neither {state(axis, 1)} nor {state(axis, -1)}"
        return f"{herb} {act}, and so {it} {want}, {now}"
    if then:
        return f"{herb} {suits} tissue that is {state(axis, then)}, not {state(axis, was)}"
    way = obstacle(row, presentation_of(item))
    only = "only the" if way is not None and AXES[way] == axis else "the"
    if effect * was > 0:
        return f"{herb} {act}, and {only} {thing(axis, was)} stood in the way"
    return f"{herb} {falls_short(herb, axis, was, row['value'])}, and so {it} {suits} only where there is none"


def other_change(item: Item, choice: int) -> str:
    """What the change that was chosen leaves as it is."""
    option = item["options"][choice]
    end = what_would_have_to_change(item, choice).rpartition("; ")[2].rstrip(".")
    turn = turned(option["axis"], degree_of(item, option["axis"]), option["degree"])
    lower = turn[:1].lower() + turn[1:]
    if option["fault"] == "wrong axis":
        return f"ask first what stands in the way: {lower}, but {end}"
    if option["fault"] == "wrong way":
        return f"a change has to bring the tissue towards the herb: {lower}, and {end}"
    return f"a step in the right direction may be too short: {lower}, but {end}"


def change_reason(item: Item, choice: int, reason: Reason) -> str:
    """What makes the change right, against the reason that was given."""
    kind, _, rest = reason["code"].partition(":")
    after = lowered(what_would_have_to_change(item, choice)).replace("; ", ", ")
    if kind == "name":
        return f"the name of a class is no reason: {after}"
    if kind == "reach":
        return f"action and reach were there before the change and decide nothing: {after}"
    axis, effects = AXES[int(rest)], item["certificate"]["rows"][0]["value"]
    if kind == "at":
        return f"before the change it is as true as after it that the herb {does('it', [axis], effects)}: {after}"
    return f"know the quality itself: the herb {itself('it', [axis], effects)}"


# caution


def gives_way(item: Item) -> str:
    """For whom the herb gives way, and to what."""
    herb, instead = item["words"]["labels"][:2]
    act = does(instead, leading(item), item["certificate"]["rows"][1]["value"])
    person = item["options"][item["key"]]["label"]
    takes = agrees(instead, "takes", "take")
    return f"a caution outweighs every quality: {instead}, which {act} too, {takes} the place of {herb} for {person}"


def other_person(item: Item, choice: int) -> str:
    """That no caution of the herb meets the person chosen; and whom it does meet."""
    herb, instead = item["words"]["labels"][:2]
    person, key = item["options"][choice]["label"], item["options"][item["key"]]["label"]
    has = agrees(herb, "has", "have")
    return f"read for whom a caution is: {herb} {has} none for {person}, but one for {key}, who needs {instead} instead"


def caution_reason(item: Item, choice: int, reason: Reason) -> str:
    """What takes the herb's place, against the reason that was given."""
    kind, _, rest = reason["code"].partition(":")
    labels, rows = item["words"]["labels"], item["certificate"]["rows"]
    herb, instead, person = labels[0], labels[1], item["options"][choice]["label"]
    takes = f"{instead} {agrees(instead, 'takes', 'take')} the place of {herb} for {person}"
    suits = f"{instead} {merit(item, instead, rows[1]['value'])}"
    if kind == "keep":
        return f"a caution outweighs every quality: {takes}"
    if kind == "lead":
        return f"right qualities lift no caution: {takes}"
    if kind == "less" and rest != "2":
        return f"neither a smaller dose nor a shorter time lifts a caution: {takes}"
    if kind == "less":
        return f"what takes an herb's place has to suit the state as well: {suits}"
    other, row = labels[int(rest)], rows[int(rest)]
    if item["options"][choice]["slug"] in row["unsafe"]:
        has = agrees(other, "has", "have")
        return (
            f"look up the cautions of what you give instead: {other} {has} one for the same person, and {instead} none"
        )
    act = does(other, leading(item), row["value"])
    return f"what takes an herb's place has to suit the state as well: {other} {act}, but {suits}"


# new-finding


def finding_bears(item: Item) -> str:
    """On which quality of the herb the new finding bears, and which way."""
    told = item["subject"]["finding"]
    axis, effect = told["axis"], item["certificate"]["rows"][0]["value"][AXES.index(told["axis"])]
    herb = subject_name(item)
    act, word = does(herb, [axis], [effect] * len(AXES)), thing(axis, told["evidence"])
    way = "what the herb meets" if effect * told["evidence"] < 0 else "what the herb makes worse"
    return f"{herb} {act}, and a finding that speaks of {word}, as “{told['text']}” does, brings {way}"


def leaned(item: Item, choice: int) -> str:
    """The same: where no answer is wrong, none is blamed."""
    del choice
    return finding_bears(item)


def finding_reason(item: Item, choice: int, reason: Reason) -> str:
    """The axis on which the new finding bears, against the reason that was given."""
    del choice
    kind, _, rest = reason["code"].partition(":")
    told = item["subject"]["finding"]
    axis, effects = told["axis"], item["certificate"]["rows"][0]["value"]
    finding = f"the new finding, “{told['text']}”,"
    if kind == "bears":
        return f"{finding} speaks of {thing(axis, told['evidence'])} and says nothing of {AXES[int(rest)]}"
    if kind == "turned":
        return f"know the quality itself: the herb {itself('it', [axis], effects)}, and {finding} bears on that"
    if kind == "reach":
        return f"action and reach are as they were: {finding} bears on {axis}"
    return f"the name of a class weighs nothing here: {finding} bears on {axis}"
