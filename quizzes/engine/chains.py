"""The chain of reasoning of an item, read downwards like a worked proof.

A case goes from its findings to the pattern, the root, the need, the quality and the herb; a question without a case from
what is given to what follows. A step has a ``term`` and a ``text``; or ``listed`` rows of ``text`` and ``says``, perhaps
with a ``text`` below; or ``qualities`` said of ``before``, which the sources of ``part`` tell; or a ``herb`` with its ``part``
and a ``text``.
"""

from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES, HERB_POLES, STATE_POLES, capital, degree_number, joined, pole
from lessons.engine.drafts import article

from . import chains_apart
from .doing import harm, name_the_state, order_by_fit, what_would_have_to_change
from .phrases import (
    COUNT,
    DEGREES,
    Item,
    Option,
    agrees,
    consequences,
    degree_of,
    does,
    ground,
    leading,
    links,
    merit,
    name,
    needed,
    qualities,
    sentence,
    subject_name,
    thing,
)

Step = dict[str, Any]
VERDICT_FIRST = "An order goes by verdict first, and by fit only within one verdict."


def chain(item: Item) -> list[Step]:
    """The reasoning downwards, for every family."""
    if not item["presentation"]:
        return chains_apart.APART[item["family"]](item)
    steps: list[Step] = [
        {"term": "Findings", "listed": [finding_row(item, finding) for finding in item["presentation"]["findings"]]},
        {"term": "Pattern", "text": sentence(pattern_words(item))},
        {"term": "Root", "text": root_words(item)},
    ]
    if item["family"] == "name-the-state":
        key = item["options"][item["key"]]
        steps.append({"term": "State", "text": f"{sentence(key['label'])} {name_the_state(item, item['key'])}"})
    steps += [
        {"term": "Need", "before": wanted(item), "qualities": needs(item)},
        *person_steps(item),
        *ENDS.get(item["family"], nothing)(item),
    ]
    return steps


def finding_row(item: Item, finding: Mapping[str, Any]) -> dict[str, str]:
    """A finding with what it speaks for: "cold", "which came first", "bears on nothing here"."""
    said = [thing(axis, finding["evidence"][axis]) for axis in AXES if finding["evidence"].get(axis)]
    if said:
        return {"text": finding["text"], "says": joined(said)}
    if finding["order"] and links(item):
        root, follower = links(item)[0]
        first, then = thing(root, degree_of(item, root)), thing(follower, degree_of(item, follower))
        return {"text": finding["text"], "says": f"{first} first, {then} after it"}
    return {"text": finding["text"], "says": "bears on nothing here"}


def pattern_words(item: Item) -> str:
    """ "dry in the second degree and hot in the first degree"."""
    return joined(
        [f"{pole(axis, degree, STATE_POLES)} {DEGREES[degree_number(degree)]}" for axis, degree, _ in needed(item)]
    )


def root_words(item: Item) -> str:
    """Which quality is the root, or that each stands by itself, and which of them leads."""
    rows, lead = needed(item), leading(item)
    if not links(item):
        if len(rows) == 1:
            return f"The {thing(rows[0][0], rows[0][1])} stands alone; nothing follows from it."
        if len(lead) == len(rows):
            return "None of these follows from another, and all weigh alike."
        words = [thing(axis, degree_of(item, axis)) for axis in lead]
        verb = "is the greatest and leads" if len(words) == 1 else "are the greatest and lead"
        return f"None of these follows from another; the {joined(words)} {verb}."
    said = []
    for root, axis in links(item):
        first, then = (pole(a, degree_of(item, a), STATE_POLES) for a in (root, axis))
        said.append(f"It was {first} first, and {then} because of that.")
    linked = {axis for pair in links(item) for axis in pair}
    for axis, degree, _ in rows:
        if axis not in linked:
            weight = "leads as well" if axis in lead else "weighs less"
            said.append(f"{capital(thing(axis, degree))} stands beside them and {weight}.")
    return (
        f"{' '.join(said)} Meet the root, and what follows is met with it; meet only the consequence, and it returns."
    )


def wanted(item: Item) -> str:
    """What is looked for, up to its qualities: "A sedative for the nerves that"."""
    words = item["words"]
    if "place" not in words:
        return f"{capital(article(words['name'])) if 'name' in words else 'An herb'} that"
    return f"{capital(words['action'])} for the {words['place']} that"


def needs(item: Item) -> list[dict[str, str]]:
    """The qualities needed, roots first."""
    return [
        {
            "pole": pole(axis, -degree, HERB_POLES),
            "text": f"{pole(axis, -degree, HERB_POLES)} {COUNT[degree_number(degree)]}",
        }
        for axis, degree, _ in needed(item)
    ]


def person_steps(item: Item) -> list[Step]:
    """What there is to mind in the person: a leaning of the constitution, a word that a caution of some option turns on."""
    told, said = item["presentation"], []
    for axis in AXES:
        lean = (told["constitution"] or {}).get(axis, 0)
        if lean:
            push = pole(axis, lean, HERB_POLES)
            said.append(f"By constitution {pole(axis, lean, STATE_POLES)}: whatever {push} further costs more here.")
    met = [
        word for row in item["certificate"].get("rows", []) for word in row.get("unsafe", []) if word in told["person"]
    ]
    if met:
        names = dict(zip(told["person"], told["person_names"], strict=True))
        said.append(
            f"{capital(joined([names[word] for word in dict.fromkeys(met)]))}: an herb with a caution for that is out."
        )
    return [{"term": "Person", "text": " ".join(said)}] if said else []


def quality(item: Item, herb: Option, effects: Any) -> Step:
    """What an herb does on the needed axes, with its sources."""
    axes = [axis for axis, _, _ in needed(item)]
    told = qualities({"effects": effects}, axes)
    return {"term": "Quality", "before": capital(name(herb)), "qualities": told, "part": herb["part"]}


def herb_step(herb: Option, text: str, term: str = "Herb") -> Step:
    """The herb a chain ends in, and what follows its name."""
    return {"term": term, "herb": herb["label"], "part": herb["part"], "text": text}


def best_fit_end(item: Item) -> list[Step]:
    """The key: its qualities, and that it suits."""
    key = item["options"][item["key"]]
    suits, it = agrees(key["label"], "suits", "suit"), agrees(key["label"], "it", "they")
    after = consequences(item, key["label"], key["effects"])
    said = f"{suits}: {it} {merit(item, key['label'], key['effects'])}{after}."
    return [quality(item, key, key["effects"]), herb_step(key, said)]


def aggravate_end(item: Item) -> list[Step]:
    """The key: its qualities, and the harm in them."""
    key = item["options"][item["key"]]
    label = key["label"]
    it = agrees(label, "it", "they")
    said = f"{agrees(label, 'makes', 'make')} it worse: {it} {harm(item, item['key'], label)}"
    return [quality(item, key, key["effects"]), herb_step(key, f"{said}.")]


def order_end(item: Item) -> list[Step]:
    """The best of the order with its qualities, then all four in order."""
    best = item["options"][item["key"][0]]
    rows = []
    for number in item["key"]:
        place, _, why = order_by_fit(item, number).partition(": ")
        rows.append({"text": f"{place}, {name(item['options'][number])}", "says": why.rstrip(".")})
    return [quality(item, best, best["effects"]), {"term": "Order", "listed": rows, "text": VERDICT_FIRST}]


def change_end(item: Item) -> list[Step]:
    """The herb thought of, and what the change that makes it right would do."""
    row = item["certificate"]["rows"][0]
    herb = {"part": row["part"], "label": subject_name(item)}
    step = quality(item, herb, row["value"])
    key = item["options"][item["key"]]
    axes = [axis for axis, _, _ in needed(item)]
    if key["axis"] not in axes:
        step = {**step, "qualities": [*step["qualities"], *_one_quality(row["value"], key["axis"])]}
    return [
        step,
        {"term": "Change", "text": f"{sentence(key['label'])} {what_would_have_to_change(item, item['key'])}"},
    ]


def _one_quality(effects: Any, axis: str) -> list[dict[str, str]]:
    return qualities({"effects": effects}, [axis])


def caution_end(item: Item) -> list[Step]:
    """The herb that fits, the caution that bars it for one of the four, and what takes its place."""
    rows, labels = item["certificate"]["rows"], item["words"]["labels"]
    person = item["options"][item["key"]]["label"]
    herb, instead = ({"part": row["part"], "label": label} for row, label in zip(rows[:2], labels[:2], strict=True))
    lead = leading(item)
    it = agrees(labels[1], "it", "they")
    said = (
        f"for {person}: {it} {does(labels[1], lead, rows[1]['value'])} {ground(item, lead)}, with no caution for that."
    )
    barred = f"{capital(labels[0])} {agrees(labels[0], 'suits', 'suit')} the rest, but not {person}."
    return [
        quality(item, herb, rows[0]["value"]),
        {"term": "Caution", "text": barred},
        quality(item, instead, rows[1]["value"]) | {"term": "Instead"},
        herb_step(instead, said),
    ]  # fmt: skip


def finding_end(item: Item) -> list[Step]:
    """What the new finding adds, what the herb does there, and which way that speaks: how far only a panel can say."""
    told, row = item["subject"]["finding"], item["certificate"]["rows"][0]
    axis, evidence = told["axis"], told["evidence"]
    after, effect = item["certificate"]["after"][AXES.index(axis)], row["value"][AXES.index(axis)]
    was = degree_of(item, axis)
    more = "more of what is there" if was else "a quality that was not there"
    herb = {"part": row["part"], "label": subject_name(item)}
    step = quality(item, herb, row["value"]) | {"qualities": _one_quality(row["value"], axis)}
    return [
        {"term": "Finding", "listed": [{"text": told["text"], "says": f"{thing(axis, evidence)}, {more}"}]},
        step,
        {"term": "Bearing", "text": bearing(axis, after, effect)},
    ]


def bearing(axis: str, after: float, effect: float) -> str:
    """Which way a new finding speaks for an herb with an effect on its axis, the state having come to a degree there."""
    word, act = thing(axis, after), does("it", [axis], [effect] * len(AXES))
    if effect * after > 0:
        return f"It speaks against the herb: there is {word} to meet, and the herb {act}. How much, a panel has to say."
    if abs(effect) < abs(after):
        return (
            f"It asks for more of what the herb does: it {act}, though less than so much {word} needs. "
            "Whether that is for it or against it, a panel has to say."
        )
    return f"It speaks for the herb: there is {word} to meet, and the herb {act}. How much, a panel has to say."


def nothing(item: Item) -> list[Step]:
    """A chain that ends in the need."""
    return []


ENDS = {
    "best-fit": best_fit_end,
    "would-aggravate": aggravate_end,
    "order-by-fit": order_end,
    "what-would-have-to-change": change_end,
    "caution": caution_end,
    "new-finding": finding_end,
}
