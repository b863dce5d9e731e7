"""Ways to falsify a good item, family by family: each changes one thing that the independent checker must notice.

A function spoils the item that it is given. It raises `Unfit` where this item has nothing of the kind to spoil.
"""

import re
from collections.abc import Callable
from typing import Any

from tests.oracle.claims import AXES

Item = dict[str, Any]
Spoil = Callable[[Item], None]
MOST_DEGREES = 4


class Unfit(Exception):
    """This item cannot be spoilt in this way."""


def need(holds: object) -> None:
    """Raises Unfit unless there is something to spoil."""
    if not holds:
        raise Unfit


def wrong_option(item: Item) -> dict[str, Any]:
    """The first option that is not the key."""
    return item["options"][1 if item["key"] == 0 else 0]


def undecide(item: Item) -> None:
    """Call the decisive reason merely true."""
    next(reason for reason in item["because"][0] if reason["status"] == "decisive")["status"] = "true"


def decide_twice(item: Item) -> None:
    next(reason for reason in item["because"][0] if reason["status"] != "decisive")["status"] = "decisive"


def invent_a_status(item: Item) -> None:
    next(reason for reason in item["because"][0] if reason["status"] != "decisive")["status"] = "doubtful"


def say_a_reason_twice(item: Item) -> None:
    item["because"][0][1]["text"] = item["because"][0][0]["text"]


def change_the_recipe(item: Item) -> None:
    item["recipe"]["seed"] += 1


def lose_the_recipe(item: Item) -> None:
    del item["recipe"]


def cite_an_unknown_source(item: Item) -> None:
    need(item["sources"])
    next(iter(item["sources"].values())).append("a-lost-book")


def alter_a_figure(item: Item) -> None:
    need(item["certificate"]["rows"])
    item["certificate"]["rows"][0]["high"][1] += 1


def move_key(item: Item) -> None:
    """Call another option the key, faults and all."""
    wrong = (item["key"] + 1) % len(item["options"])
    options = item["options"]
    options[item["key"]]["fault"], options[wrong]["fault"] = options[wrong]["fault"], None
    item["key"] = wrong


def repeat_the_key(item: Item) -> None:
    """Offer what the key says a second time."""
    key = item["options"][item["key"]]
    wrong_option(item).update({name: value for name, value in key.items() if name != "fault"})


def drop_an_option(item: Item) -> None:
    item["options"].remove(wrong_option(item))


def invent_a_fault(item: Item) -> None:
    wrong_option(item)["fault"] = "wrong herb"


def exchange_faults(item: Item) -> None:
    """Exchange the faults of two wrong options that differ in them."""
    wrong = [option for option in item["options"] if option["fault"]]
    other = next((option for option in wrong if option["fault"] != wrong[0]["fault"]), None)
    need(other)
    wrong[0]["fault"], other["fault"] = other["fault"], wrong[0]["fault"]


def alter_a_verdict(item: Item) -> None:
    option = item["options"][0]
    option["verdict"] = "partly" if option["verdict"] != "partly" else "little"


def alter_a_fit(item: Item) -> None:
    item["options"][0]["fit"]["high"] += 1e-6


def reverse_the_pattern(item: Item) -> None:
    for row in item["presentation"]["pattern"].values():
        row["degree"] = -row["degree"]


def forget_the_order(item: Item) -> None:
    """Leave out the finding that tells which quality came first."""
    found = [finding for finding in item["presentation"]["findings"] if finding["order"]]
    need(found)
    item["presentation"]["findings"].remove(found[0])


def drop_evidence(item: Item) -> None:
    """Leave out every finding of one axis that is out of balance."""
    shown = item["presentation"]["findings"]
    axis = next(axis for axis, row in item["presentation"]["pattern"].items() if row["degree"])
    item["presentation"]["findings"] = [finding for finding in shown if not finding["evidence"].get(axis)]


def make_somebody_unsafe(item: Item) -> None:
    """Give the person a word that makes the first herb unsafe."""
    words = [word for word in item["certificate"]["rows"][0]["unsafe"] if word not in item["presentation"]["person"]]
    need(words)
    item["presentation"]["person"].append(words[0])


def unmark(item: Item) -> None:
    """Leave out the mark of a toxic, restricted or endangered plant."""
    marked = [option for option in item["options"] if option.get("marks")]
    need(marked)
    marked[0]["marks"] = []


def swap_parts(item: Item) -> None:
    """Exchange the parts behind two options and in the certificate, leaving what is said of them."""
    options, rows = item["options"], item["certificate"]["rows"]
    options[0]["part"], options[1]["part"] = options[1]["part"], options[0]["part"]
    rows[0]["part"], rows[1]["part"] = rows[1]["part"], rows[0]["part"]


def swap_neighbours(item: Item) -> None:
    item["key"][0], item["key"][1] = item["key"][1], item["key"][0]


def repeat_in_the_key(item: Item) -> None:
    item["key"][0] = item["key"][1]


def reverse_a_label(item: Item) -> None:
    """Let the key's words say the reverse."""
    key = item["options"][item["key"]]
    pairs = {"warms": "cools", "moistens": "dries", "tightens": "relaxes", "stirs": "quiets"}
    turned = {**pairs, **{other: one for one, other in pairs.items()}}
    key["label"] = re.sub(r"\b(" + "|".join(turned) + r")\b", lambda found: turned[found[1]], key["label"])


def exchange_the_pair(item: Item) -> None:
    item["subject"]["pair"].reverse()
    item["certificate"]["rows"].reverse()


def ask_of_another_class(item: Item) -> None:
    item["subject"]["action"] = "galactagogue" if item["subject"]["action"] != "galactagogue" else "antitussive"


def widen_a_kind(item: Item) -> None:
    """Leave one kind a single quality."""
    item["kinds"][0] = item["kinds"][0].split(" and ")[0]


def repeat_a_kind(item: Item) -> None:
    item["kinds"][0] = item["kinds"][1]


def move_the_box(item: Item) -> None:
    item["key"] = {side: [degree + 1 for degree in point] for side, point in item["key"].items()}


def widen_the_box(item: Item) -> None:
    item["key"]["high"][1] += 1


def turn_the_box(item: Item) -> None:
    """Exchange temperature and moisture."""
    need(item["key"]["low"] != item["key"]["low"][::-1])
    item["key"] = {side: point[::-1] for side, point in item["key"].items()}


def ask_of_another_part(item: Item) -> None:
    """Name another part as the subject."""
    now = item["subject"]["part"]
    item["subject"]["part"] = (
        "salvia-officinalis-leaf" if now != "salvia-officinalis-leaf" else "mentha-x-piperita-leaf"
    )


def relabel_the_key(item: Item) -> None:
    item["options"][item["key"]]["label"] = wrong_option(item)["label"] + " of another sort"


def offer_the_state_again(item: Item) -> None:
    """Offer another name of the key's own state."""
    same = {"dry-then-hot": "dryness-with-heat", "lax-damp": "laxity-with-damp"}
    names = {**same, **{other: one for one, other in same.items()}}
    need(item["options"][item["key"]]["slug"] in names)
    wrong_option(item)["slug"] = names[item["options"][item["key"]]["slug"]]


def change_a_degree(item: Item) -> None:
    """Let the key's change be none: the state stays as it was, and the herb does not suit it."""
    key = item["options"][item["key"]]
    key["degree"] = item["presentation"]["pattern"][key["axis"]]["degree"]


def change_another_axis(item: Item) -> None:
    key = item["options"][item["key"]]
    key["axis"] = AXES[(AXES.index(key["axis"]) + 1) % 4]


def tell_a_change_twice(item: Item) -> None:
    """Tell the key's change in the words of another."""
    item["options"][item["key"]]["label"] = wrong_option(item)["label"]


def tie_the_axis(item: Item) -> None:
    """Let the axis that the key changes follow another."""
    pattern, axis = item["presentation"]["pattern"], item["options"][item["key"]]["axis"]
    others = [other for other, row in pattern.items() if row["degree"] and other != axis]
    need(others and pattern[axis]["degree"])
    pattern[axis]["follows"] = others[0]


def flip_the_exception(item: Item) -> None:
    item["subject"]["exception"] = not item["subject"]["exception"]


def alter_the_rule(item: Item) -> None:
    axis = next(iter(item["subject"]["rule"]))
    item["subject"]["rule"][axis] += 1


def alter_the_claim(item: Item) -> None:
    axis = next(iter(item["subject"]["claim"]))
    item["subject"]["claim"][axis] = -item["subject"]["claim"][axis]


def add_a_taste(item: Item) -> None:
    item["subject"]["tastes"].append(
        next(taste for taste in ("salty", "oily") if taste not in item["subject"]["tastes"])
    )


def change_the_tradition(item: Item) -> None:
    item["subject"]["tradition"] = "galenic" if item["subject"]["tradition"] != "galenic" else "ayurvedic"


def exchange_people(item: Item) -> None:
    """Exchange the words behind two people, leaving what is said of them."""
    key, wrong = item["options"][item["key"]], wrong_option(item)
    key["slug"], wrong["slug"] = wrong["slug"], key["slug"]


def give_nobody_in_particular(item: Item) -> None:
    need(all(option["slug"] != "nobody" for option in item["options"]))
    item["options"][item["key"]]["slug"] = "nobody"


def exchange_reasons(item: Item) -> None:
    """For the person who needs another herb, call decisive one that is not safe or does not suit."""
    reasons = item["because"][item["key"]] if len(item["because"]) > 1 else item["because"][0]
    decisive = next(reason for reason in reasons if reason["status"] == "decisive")
    other = next((reason for reason in reasons if reason is not decisive and "take its place" in reason["text"]), None)
    need(other)
    decisive["status"], other["status"] = other["status"], "decisive"


def change_a_number(item: Item) -> None:
    """Double the first quantity in the stem of a sum."""
    changed = re.sub(r"(\d+) (mL|g)\b", lambda found: f"{2 * int(found[1])} {found[2]}", item["stem"], count=1)
    need(changed != item["stem"])
    item["stem"] = changed


def ask_of_a_poison(item: Item) -> None:
    """Ask it of foxglove's like: a part that is marked as toxic."""
    item["subject"]["part"] = "lobelia-inflata-herb"


def ask_of_another_constituent(item: Item) -> None:
    need(item["subject"].get("constituent"))
    item["subject"]["constituent"] = "iodine"


def rename_the_method(item: Item) -> None:
    """Let the key be something that does not draw it."""
    need(item["subject"].get("constituent"))
    item["options"][item["key"]]["slug"] = "dry-heat"


def give_a_key(item: Item) -> None:
    item["key"] = 2


def move_a_second_axis(item: Item) -> None:
    after = item["certificate"]["after"]
    axis = next(axis for axis in range(4) if after[axis] == item["certificate"]["before"][axis])
    after[axis] += 1


def turn_the_lean(item: Item) -> None:
    need(item["certificate"]["lean"])
    item["certificate"]["lean"] = -item["certificate"]["lean"]


def change_the_pattern_before(item: Item) -> None:
    item["certificate"]["before"][0] += 1


def tell_another_finding(item: Item) -> None:
    item["stem"] = item["stem"].replace(item["subject"]["finding"]["text"], "a great wish for salt")
