"""What is to be remembered of the families that present no case."""

from collections.abc import Mapping

from herbs.engine import AXES, joined
from lessons.engine import responses
from lessons.engine.drafts import article
from lessons.engine.qualities import answered, inset
from lessons.engine.sums import POINTS, SUMS

from .chains_apart import shared_qualities
from .doing_apart import both_said, degree_said, denied, place_said
from .phrases import (
    Item,
    agrees,
    decisive,
    does,
    gerund,
    lowered,
    name,
)
from .sums_worked import WORKED, worked

Reason = Mapping[str, str]


# point-of-difference


def point(item: Item) -> str:
    """What the two share, where they part, and so which for which."""
    rows, herbs = item["certificate"]["rows"], item["subject"]["herbs"]
    axis = item["options"][item["key"]]["slug"][:-1]
    number = AXES.index(axis)
    first, second = (name(herb) for herb in herbs)
    one, other = (answered(axis, row["value"][number]) for row in rows)
    shared = shared_qualities(rows, without=axis)
    both = f"both {joined(shared)}, but" if shared else "both are alike in class, but"
    return f"{both} {first} {agrees(herbs[0]['label'], 'is', 'are')} for {one} tissue and {second} for {other}"


def other_point(item: Item, choice: int) -> str:
    """What the sources say on the axis of the statement chosen."""
    option, right = item["options"][choice], item["options"][item["key"]]
    axis = option["slug"][:-1]
    said = both_said(item, axis)
    if option["fault"] == "reversed":
        return f"keep apart which is which: {said}"
    both = joined([name(herb) for herb in item["subject"]["herbs"]])
    return f"{both} do not part on {axis}, where {said}, but on {right['slug'][:-1]}"


def point_reason(item: Item, choice: int, reason: Reason) -> str:
    """Which of the two for which tissue, against the reason that was given."""
    del choice
    kind, _, rest = reason["code"].partition(":")
    calls = _calls(item)
    if kind == "alike":
        return f"what they share decides nothing between them; {calls}"
    if kind in ("class", "name"):
        return f"the class is common to both and decides nothing; {calls}"
    if rest[:-1] == item["options"][item["key"]]["slug"][:-1]:
        return f"an herb answers the contrary of its own quality: {calls}"
    return f"they do not part on {rest[:-1]}; {calls}"


def _calls(item: Item) -> str:
    axis = item["options"][item["key"]]["slug"][:-1]
    rows, herbs = item["certificate"]["rows"], item["subject"]["herbs"]
    said = []
    for herb, row in zip(herbs, rows, strict=True):
        effect = row["value"][AXES.index(axis)]
        said.append(f"{name(herb)} {does(herb['label'], [axis], row['value'])} what is {answered(axis, effect)}")
    return joined(said)


# kinds


def told_apart(item: Item) -> str:
    """The quality that tells two of the four apart."""
    (first, one), (second, other) = _pair(item)
    axis = next(
        axis
        for number, axis in enumerate(AXES)
        if (one["low"][number] > 0 and other["high"][number] < 0)
        or (one["high"][number] < 0 and other["low"][number] > 0)
    )
    return (
        f"one class holds contrary kinds: among these {item['words']['class']} {name(first)} "
        f"{does(first['label'], [axis], one['value'])} and {name(second)} {does(second['label'], [axis], other['value'])}"
    )


def _pair(item: Item) -> list[tuple[Mapping[str, str], Mapping[str, list[float]]]]:
    pair = item["subject"]["pair"]
    rows = {row["part"]: row for row in item["certificate"]["rows"]}
    options = {option["part"]: option for option in item["options"]}
    return [(options[part], rows[part]) for part in pair]


def mismatched(item: Item, choice: int) -> str:
    """The first herb that was given another kind than its own."""
    number, given = next(
        (number, given)
        for number, (given, right) in enumerate(zip(responses.ORDERS[choice], item["key"], strict=True))
        if given != right
    )
    option, row = item["options"][number], item["certificate"]["rows"][number]
    wrong, right = item["kinds"][given], item["kinds"][item["key"][number]]
    label = option["label"]
    return (
        f"check both qualities of a kind: {name(option)} {agrees(label, 'is', 'are')} {right} and not {wrong}, "
        f"since {agrees(label, 'it', 'they')} {denied(label, wrong, row)}"
    )


def kinds_reason(item: Item, choice: int, reason: Reason) -> str:
    """What tells two apart, against the reason that was given."""
    del choice
    kind = reason["code"].partition(":")[0]
    if kind in ("alike", "class"):
        return f"what two herbs share tells neither from the other; {told_apart(item)}"
    if kind == "name":
        return f"a shared class is no shared kind; {told_apart(item)}"
    (first, one), (second, other) = _pair(item)
    axis = reason["code"].partition(":")[2][:-1]
    said = joined([degree_said(herb["label"], axis, row) for herb, row in ((first, one), (second, other))])
    return f"know the degrees of both before you tell them apart: {said}"


# place-on-the-plane


def placed(item: Item) -> str:
    """What its place means: the tissue that it answers."""
    herb, text = item["subject"]["herb"], decisive(item)["text"]
    first, _, rest = text.partition(" ")
    return f"{name(herb)} {rest}" if first in ("It", "They") else text


def misplaced(item: Item, choice: int) -> str:
    """How far the mark lies from what the sources span, and which way."""
    herb = item["subject"]["herb"]
    said = place_said(item, choice)
    amiss, _, nearest = said.rstrip(".").partition("; ")
    far = amiss.removeprefix("It lies ")
    del nearest
    row = item["certificate"]["rows"][0]
    axes = [axis for axis in AXES[:2] if row["value"][AXES.index(axis)]]
    rest = [axis for axis in AXES[:2] if axis not in axes]
    right = does(herb["label"], axes, row["value"], plainly=True)
    even = f" and {agrees(herb['label'], 'is', 'are')} temperate in {rest[0]}" if rest else ""
    return f"your mark lay {far}: {name(herb)} {right}{even}"


def place_reason(item: Item, choice: int, reason: Reason) -> str:
    """The tissue that it answers, against the reason that was given."""
    del choice
    kind, _, rest = reason["code"].partition(":")
    if kind == "like":
        return f"an herb answers the contrary of its own qualities: {placed(item)}"
    if kind == "name":
        return f"neither its class nor its distance from the middle says what an herb answers: {placed(item)}"
    if kind == "answers":
        return f"first know the qualities, then turn them about: {placed(item)}"
    if kind == "tastes":
        return f"a taste leads to the place and not to what follows from it: {placed(item)}"
    del rest
    return f"what the plane leaves out cannot follow from a place on it: {placed(item)}"


# taste-to-effect


def by_taste(item: Item) -> str:
    """What the rule leads to expect, and whether the herb keeps to it."""
    said = _ruled(item)
    return f"a rule of taste has exceptions: {said}" if item["subject"]["exception"] else said


def _ruled(item: Item) -> str:
    subject, tradition, herb = item["subject"], item["words"]["tradition"], item["words"]["herb"]
    rule, claim = (joined(_gerunds(subject[told])) for told in ("rule", "claim"))
    if subject["exception"]:
        apart = [axis for axis in subject["rule"] if subject["rule"][axis] * subject["claim"][axis] < 0]
        return (
            f"{_tastes(item)} would suggest {rule}, yet in {tradition} {inset(herb)} {agrees(herb, 'is', 'are')} held to be "
            f"{claim}, against the rule on {joined(apart)}"
        )
    keeps = agrees(herb, "keeps", "keep")
    return f"in {tradition} {_tastes(item)} {_lead(item)} you to expect {rule}, and {inset(herb)} {keeps} to the rule"


def _tastes(item: Item) -> str:
    spoken = [taste for taste in item["subject"]["tastes"] if taste in item["certificate"]["rules"]]
    return f"{joined(spoken)} tastes" if len(spoken) > 1 else f"{article(spoken[0])} taste"


def _lead(item: Item) -> str:
    return "lead" if _tastes(item).endswith("tastes") else "leads"


def _gerunds(degrees: Mapping[str, float]) -> list[str]:
    return [gerund(axis, degree) for axis, degree in degrees.items()]


def other_effect(item: Item, choice: int) -> str:
    """On which axis the answer left rule or source."""
    subject, words = item["subject"], item["words"]
    herb, held = inset(words["herb"]), agrees(words["herb"], "is held", "are held")
    truth = subject["claim"] if subject["exception"] else subject["rule"]
    told = dict(zip(truth, item["options"][choice]["slug"].split("-and-"), strict=True))
    amiss = [axis for axis, degree in truth.items() if told[axis] != does("it", [axis], [degree] * len(AXES))]
    right = joined([gerund(axis, truth[axis]) for axis in amiss])
    if subject["exception"]:
        fell = [axis for axis in amiss if subject["rule"][axis] * truth[axis] < 0]
        if fell:
            return (
                f"taste proposes and the source decides: in {words['tradition']} {herb} {held} to be {right}, "
                f"whatever the taste suggests"
            )
        return f"an exception on one quality is none on the other: {herb} {held} to be {right}, as the taste suggests"
    keeps = agrees(words["herb"], "keeps", "keep")
    return f"in {words['tradition']} {_tastes(item)} {_lead(item)} you to expect {right}, and {herb} {keeps} to it"


def taste_reason(item: Item, choice: int, reason: Reason) -> str:
    """What the answer rests on, against the reason that was given."""
    del choice
    kind = reason["code"].partition(":")[0]
    if kind == "elsewhere":
        return f"each tradition has a rule of its own: {_ruled(item)}"
    if kind == "besides":
        return f"what else an herb does says nothing of what was asked: {_ruled(item)}"
    if kind == "mistake":
        return f"go by the rule of the tradition, taste by taste: {_ruled(item)}"
    if kind == "rule":
        return f"where an herb is an exception, the rule gives way to what is found: {_ruled(item)}"
    return f"know the rule before you use it: {_ruled(item)}"


# preparation


def prepared(item: Item) -> str:
    """The rule of the sum with its figures; or the menstruum or method, and the fact that it turns on."""
    subject, words, key = item["subject"], item["words"], item["options"][item["key"]]
    text = lowered(decisive(item)["text"])
    if subject["kind"] in SUMS:
        return f"{text}: {WORKED[subject['sum']][''][0].format(**subject)} = {key['label']}"
    return f"for the {words['constituent']} of {words['herb']} choose “{key['label']}”, since {text}"


def other_amount(item: Item, choice: int) -> str:
    """The mistake in the sum; or the fact that was missed."""
    subject, option, key = item["subject"], item["options"][choice], item["options"][item["key"]]
    if subject["kind"] not in SUMS:
        text = lowered(decisive(item)["text"])
        return (
            f"for the {item['words']['constituent']} choose “{key['label']}” and not “{option['label']}”, since {text}"
        )
    right = f"{WORKED[subject['sum']][''][0].format(**subject)} = {key['label']}"
    if option["fault"] in POINTS:
        return f"check where the point stands: {right}, and not {option['label']}"
    why = worked(subject, option["fault"]).rstrip(".").partition(": ")[2]
    return f"before you reckon, ask what each figure stands for: {option['label']} is wrong since {why}; {right}"


def preparation_reason(item: Item, choice: int, reason: Reason) -> str:
    """What the answer rests on, against the reason that was given."""
    del choice
    said, text, subject = lowered(reason["text"]), lowered(decisive(item)["text"]), item["subject"]
    if subject["kind"] in SUMS:
        expression = WORKED[subject["sum"]][""][0].format(**subject)
        text = f"{text}, so that {expression} = {item['options'][item['key']]['label']}"
    if reason["status"] == "true":
        return f"it is true that {said}, but the answer rests on this: {text}"
    return f"it is not so that {said}: {text}"
