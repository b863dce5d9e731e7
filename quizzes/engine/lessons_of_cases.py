"""What is to be remembered of cases in which herbs are judged: the best fit, the one that does harm, the order."""

from collections.abc import Mapping

from herbs.engine import AXES, VERDICT_WORDS, degree_number, joined
from lessons.engine import responses
from lessons.engine.because import words_for
from lessons.engine.qualities import is_plural

from .doing import axis_of_fault, harm, less_than
from .phrases import (
    DEGREES,
    Item,
    Option,
    agrees,
    degree_of,
    does,
    falls_short,
    itself,
    leading,
    links,
    merit,
    name,
    needed,
    remedy,
    shortfall,
    standing,
    state,
    thing,
    wrong_way,
)

Reason = Mapping[str, str]
VERDICTS_OF_MANY = {
    "suits": "suit", "partly suits": "partly suit", "has little bearing": "have little bearing", "aggravates": "aggravate",
}  # fmt: skip


def principle(item: Item, good: Option | None) -> str:
    """What the pattern asks for first, with an herb that gives it, where the item has one."""
    rows, lead = needed(item), leading(item)
    shows = f", as {name(good)} {agrees(good['label'], 'does', 'do')}" if good else ""
    if links(item):
        root, follower = links(item)[0]
        first, then = thing(root, degree_of(item, root)), thing(follower, degree_of(item, follower))
        only = does("it", [follower], [-degree_of(item, axis) for axis in AXES])
        return (
            f"where {then} followed {first}, {remedy(root, degree_of(item, root))} first{shows}: an herb that only {only} "
            f"leaves the {first} that made it"
        )
    words = [thing(axis, degree_of(item, axis)) for axis in lead]
    commands = [remedy(axis, degree_of(item, axis)) for axis in lead]
    if len(rows) == 1:
        return f"{words[0]} that stands alone asks for one thing, so {commands[0]} before all else{shows}"
    if len(lead) == len(rows):
        return f"where {joined(words)} weigh alike, {joined(commands)} with one herb{shows}"
    rest = joined([thing(axis, degree) for axis, degree, _ in rows if axis not in lead])
    weigh = "outweighs" if len(words) == 1 else "outweigh"
    return f"where {joined(words)} {weigh} the {rest} beside it, {joined(commands)} first{shows}"


def best_fit(item: Item) -> str:
    """The principle, shown by the key."""
    return principle(item, item["options"][item["key"]])


def fault(item: Item, choice: int) -> str:
    """The fault of the herb that was chosen, as a rule to keep."""
    option = item["options"][choice]
    named, herb, label, effects = option["fault"], name(option), option["label"], option["effects"]
    words = item["words"]
    place, action = words.get("place", "place"), words.get("action", "what is asked")
    if named == "unsafe for this person":
        met = words_for(item, choice).get("caution", "this person")
        return f"cautions come before qualities: {herb} {agrees(label, 'has', 'have')} one for {met}, and nothing outweighs it"
    if named == "opposed action":
        own = words.get("own", {}).get(str(choice), {}).get("opposed", "something else")
        return f"look at every action of an herb: {herb} {agrees(label, 'acts', 'act')} as {own} too, which undoes the one asked"
    if named == "wrong place":
        reaches = agrees(label, "reaches", "reach")
        return f"ask where an herb goes before you weigh what it does: {herb} hardly {reaches} the {place}"
    if named == "lacks the action here":
        acts = agrees(label, "acts", "act")
        return f"to reach a place is not to act in it: {herb} hardly {acts} as {action} in the {place}"
    if named == "palliates only":
        return _palliates(item, option)
    if named == "too weak":
        return _too_weak(item, option)
    if named == "too strong":
        over = max(needed(item), key=lambda row: abs(effects[AXES.index(row[0])]) - abs(row[1]))
        return (
            f"match the strength to the state: it is {state(over[0], over[1])} {DEGREES[degree_number(over[1])]}, "
            f"and {herb} {does(label, [over[0]], effects, plainly=True)}"
        )
    return _pushes_wrong(item, option)


def _palliates(item: Item, option: Option) -> str:
    root, follower = next(
        (pair for pair in links(item) if option["effects"][AXES.index(pair[1])] * degree_of(item, pair[1]) < 0),
        links(item)[0],
    )
    first, then = thing(root, degree_of(item, root)), thing(follower, degree_of(item, follower))
    lacks = falls_short(option["label"], root, degree_of(item, root), option["effects"])
    return (
        f"where {then} followed {first}, {remedy(root, degree_of(item, root))} first: {name(option)} "
        f"{does(option['label'], [follower], option['effects'])}, but {lacks}"
    )


def _too_weak(item: Item, option: Option) -> str:
    axis = min(leading(item), key=lambda axis: option["raw"][AXES.index(axis)])
    degree = degree_of(item, axis)
    if option["effects"][AXES.index(axis)]:
        act = does(option["label"], [axis], option["effects"], plainly=True)
        return (
            f"match the strength to the state: it is {state(axis, degree)} {DEGREES[degree_number(degree)]}, "
            f"and {name(option)} only {act}"
        )
    lacks = falls_short(option["label"], axis, degree, option["effects"])
    return f"something has to {remedy(axis, degree)} where {standing(item, axis)}, and {name(option)} {lacks}"


def _pushes_wrong(item: Item, option: Option) -> str:
    """A push the wrong way: against the root, or on an axis that leads or does not."""
    axis = axis_of_fault(item, option)
    herb, act = name(option), does(option["label"], [axis], option["effects"])
    if option["effects"][AXES.index(axis)] * degree_of(item, axis) < 0:
        return f"count what the person leans to already: {herb} {act} far past what is needed here"
    word = thing(axis, degree_of(item, axis))
    met = [
        other
        for root, other in links(item)
        if root == axis and option["effects"][AXES.index(other)] * degree_of(item, other) < 0
    ]
    if met:
        gain = does(option["label"], met, option["effects"])
        rest = joined([thing(other, degree_of(item, other)) for other in met])
        return (
            f"what feeds the root undoes the rest: {herb} {gain}, but {act}, and the {word} that made the {rest} grows"
        )
    if option["fault"] == "feeds the root":
        return f"never feed the root: {herb} {act}, and everything here came of the {word}"
    return f"before the name of an herb comes what it does on {axis}: {herb} {act}, and there is {word} already"


def best_fit_reason(item: Item, choice: int, reason: Reason) -> str:
    """Why the key is right after all, against the reason that was given for it."""
    option = item["options"][choice]
    label, against = option["label"], _against(item, choice, reason)
    because = f"{agrees(label, 'it', 'they')} {merit(item, label, option['effects'])}"
    return f"{against}; {_again(option, against)} {agrees(label, 'suits', 'suit')} because {because}"


def _again(option: Option, said: str) -> str:
    """An herb named for the first time, or spoken of again."""
    return agrees(option["label"], "it", "they") if name(option) in said else name(option)


def _against(item: Item, number: int, reason: Reason) -> str:
    """What is to be said against a reason, of one option."""
    kind, _, rest = reason["code"].partition(":")
    option = item["options"][number]
    herb, label, effects, words = name(option), option["label"], option["effects"], item["words"]
    if kind == "name":
        return f"the name of a class is no reason, since all four are {words['class']}"
    if kind == "reach":
        return f"action and reach let {herb} in and do not decide"
    if kind == "bar":
        return _no_bar(item, number, rest)
    if kind in ("mirror", "mirror+", "mirror-"):
        return f"know the quality itself: {herb} {itself(label, leading(item), effects)}"
    if kind == "lead":
        return f"it is true that {herb} {does(label, leading(item), effects)}, but that does not decide"
    axis = AXES[int(rest)]
    act = does(label, [axis], effects)
    if kind == "turned":
        return f"know the quality itself: {herb} {itself(label, [axis], effects)}"
    return f"that {herb} {act} does not decide, {_weight(item, axis)}"


def _weight(item: Item, axis: str) -> str:
    """How little an axis weighs that was taken for what decides."""
    degree = degree_of(item, axis)
    if not degree:
        return f"for nothing is amiss in {axis}"
    follows = item["presentation"]["pattern"][axis]["follows"]
    if follows:
        return f"for the {thing(axis, degree)} followed the {thing(follows, degree_of(item, follows))}"
    if axis in leading(item):
        return f"for {joined([thing(a, degree_of(item, a)) for a in leading(item) if a != axis])} leads as well"
    return f"for the {thing(axis, degree)} weighs less than the {thing(leading(item)[0], degree_of(item, leading(item)[0]))}"


def _no_bar(item: Item, number: int, bar: str) -> str:
    """That a bar which was named does not hold of an option."""
    option, words = item["options"][number], item["words"]
    herb, label = name(option), option["label"]
    if bar == "place":
        return f"{herb} {agrees(label, 'does', 'do')} reach the {words['place']}"
    if bar == "lacks":
        return f"{herb} {agrees(label, 'does', 'do')} act as {words['action']} there"
    if bar == "unsafe":
        return f"no caution of {herb} meets this person"
    return f"{herb} {agrees(label, 'has', 'have')} no action that undoes the one asked"


def helper(item: Item) -> Option | None:
    """An herb of the item that suits, if there is one."""
    return next((option for option in item["options"] if option.get("verdict") == "suits"), None)


def harmful(item: Item) -> str:
    """How an herb of the right class does harm: by the key's push, beside an herb that helps where there is one."""
    number = item["key"]
    key = item["options"][number]
    how, plural = harm(item, number, key["label"]), item["words"]["class"]
    good = helper(item)
    beside = ""
    axis = wrong_way(item, key["effects"], key["raw"])
    if good and axis and good["effects"][AXES.index(axis)] * degree_of(item, axis) < 0:
        beside = f", where {name(good)} {does(good['label'], [axis], good['effects'])}"
    return f"not all {plural} help the same tissue: {name(key)} {how}{beside}"


def no_harm(item: Item, choice: int) -> str:
    """Why the herb that was chosen does no harm, and which does."""
    option, key = item["options"][choice], item["options"][item["key"]]
    how = harm(item, item["key"], key["label"])
    herb, label = name(option), option["label"]
    if option["verdict"] == "little":
        lack = shortfall(item, choice, label)
        little = lack or f"{agrees(label, 'has', 'have')} little bearing"
        return f"to do little is not to do harm: {herb} {little}, but {name(key)} {how}"
    helps = f"{agrees(label, 'helps', 'help')}{'' if option['verdict'] == 'suits' else ' a little'}"
    return f"harm is a push the way the tissue leans already: {herb} {helps}, but {name(key)} {how}"


def harm_reason(item: Item, choice: int, reason: Reason) -> str:
    """Why the key does harm, against the reason that was given for it."""
    option = item["options"][choice]
    it, makes = agrees(option["label"], "it", "they"), agrees(option["label"], "does", "do")
    how = harm(item, choice, option["label"])
    if reason["code"].startswith("name"):
        return f"a class by its name does neither good nor harm: {name(option)} {makes} harm because {it} {how}"
    against = _against(item, choice, reason)
    return f"{against}; {_again(option, against)} {makes} harm because {it} {how}"


def ranked(item: Item) -> str:
    """What sets the first of an order above the last."""
    first, last = (item["options"][item["key"][end]] for end in (0, -1))
    return f"rank by what decides: {_sets_apart(item, first, last)}"


def _sets_apart(item: Item, first: Option, last: Option) -> str:
    """What sets the one herb above the other, in a clause: by verdicts, or within one verdict by fit."""
    above, below = name(first), name(last)
    if first["verdict"] == last["verdict"]:
        both = _verdict(first, plural=True)
        comes = agrees(first["label"], "comes", "come")
        return f"{above} {comes} before {below}: both {both}, but {less_than(item, last, first, below)}"
    why = shortfall(item, item["options"].index(last))
    if not why:
        less = less_than(item, last, first, below)
        return f"{above} {_verdict(first)} and {below} {_verdict(last)}, for {less}"
    return f"{above} {_verdict(first)} and {below}, which {why}, {_verdict(last)}"


def _verdict(option: Option, *, plural: bool = False) -> str:
    """A verdict agreeing with its herb: "suits", of hops "suit"."""
    words = VERDICT_WORDS[option["verdict"]]
    return VERDICTS_OF_MANY[words] if plural or is_plural(option["label"]) else words


def out_of_order(item: Item, choice: int) -> str:
    """The first two neighbours of the key that were told the wrong way round, and what sets the one above the other."""
    order = responses.ORDERS[choice]
    better, worse = next(
        (one, other)
        for one, other in zip(item["key"], item["key"][1:], strict=False)
        if order.index(one) > order.index(other)
    )
    first, last = item["options"][better], item["options"][worse]
    if first["verdict"] == last["verdict"]:
        return _sets_apart(item, first, last)
    why, end = shortfall(item, worse, "it"), VERDICT_WORDS[last["verdict"]]
    other = f"the other, which {why}, {end}" if why else f"the other {end}, for {less_than(item, last, first)}"
    return f"put {name(first)} before {name(last)}: the one {VERDICT_WORDS[first['verdict']]}, {other}"


def order_reason(item: Item, choice: int, reason: Reason) -> str:
    """What sets the first above the last, against the reason that was given."""
    del choice
    kind, _, rest = reason["code"].partition(":")
    first, last = (item["options"][item["key"][end]] for end in (0, -1))
    if kind == "name":
        against = f"repute and strength rank nothing among {item['words']['class']}"
    elif kind == "reach":
        against = "both reach the place and act there, so that this ranks nothing"
    elif kind == "bar":
        against = _no_bar(item, item["key"][-1], rest)
    elif kind == "turned":
        return (
            f"know the qualities themselves: it is {name(first)} that {merit(item, first['label'], first['effects'])}"
        )
    elif kind == "lead":
        against = "what leads does not tell these two apart"
    else:
        against = f"what they do on {AXES[int(rest)]} does not decide, {_weight(item, AXES[int(rest)])}"
    return f"{against}; {_sets_apart(item, first, last)}"
