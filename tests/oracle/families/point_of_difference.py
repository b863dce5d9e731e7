"""point-of-difference: two herbs of one action part on exactly one axis, and one statement says how."""

import re
from collections.abc import Iterator, Sequence
from itertools import product

from tests.oracle.bench import TOLERANCE, Bench, Item, sign
from tests.oracle.claims import AXES, Row
from tests.oracle.herbs import VERBS, qualities, rows_named

APART, WORKING_APART = 1, 2


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The pair, the axis they part on, the four statements and their faults."""
    pair = rows_named(item, bench, 2)
    subject = item["subject"]
    if pair is None or [row.slug for row in pair] != list(subject["pair"]):
        yield f"certificate: its rows are not the pair {subject['pair']}"
        return
    for row in pair:
        if not row.plainly(subject["action"]):
            yield f"list: {row.slug} is nowhere plainly claimed as {subject['action']}"
        if row.label.lower() not in item["stem"].lower():
            yield f"text: the stem does not name {row.label}"
    parting = [axis for axis in range(4) if gap(pair, axis) >= APART - TOLERANCE]
    if len(parting) != 1:
        yield f"key: they part on {[AXES[axis] for axis in parting]}, not on one axis"
        return
    axis = parting[0]
    blurred = [AXES[other] for other in range(4) if other != axis and gap(pair, other) > TOLERANCE]
    if blurred:
        yield f"key: they do not overlap on {blurred}"
    first, second = (row.axes(None)[axis][0] for row in pair)
    if abs(first - second) < WORKING_APART - TOLERANCE or first * second > TOLERANCE:
        yield f"key: on {AXES[axis]} they work at {first} and {second}, not two apart and contrary"
    right = f"{AXES[axis]}{'+' if first > second else '-'}"
    yield from statement_faults(item, pair, right)


def gap(pair: Sequence[Row], axis: int) -> float:
    """How far apart two intervals lie, found point by point over both; 0 where they meet or overlap."""
    ends = [row.axes(None)[axis][1:] for row in pair]
    inside = [[low + (high - low) * step / 8 for step in range(9)] for low, high in ends]
    nearest = min(abs(a - b) for a, b in product(*inside))
    meeting = max(low for low, _ in ends) <= min(high for _, high in ends) + TOLERANCE
    return 0.0 if meeting else nearest


def statement_faults(item: Item, pair: Sequence[Row], right: str) -> Iterator[str]:
    """The four statements: the true one, its reverse, and both ways of one other axis; each said as its slug has it."""
    options, key = item["options"], item["key"]
    axis, way = right[:-1], right[-1]
    reverse = f"{axis}{'-' if way == '+' else '+'}"
    slugs = [option["slug"] for option in options]
    if slugs[key] != right:
        yield f"key: {slugs[key]} is the key, by the claims {right}"
    if reverse not in slugs:
        yield f"options: {reverse} is not offered"
    for position, option in enumerate(options):
        claimed, claimed_way = option["slug"][:-1], option["slug"][-1]
        if claimed not in AXES or claimed_way not in "+-":
            yield f"options: {option['slug']} is no statement of an axis"
            continue
        yield from label_says(option["label"], pair, claimed, claimed_way)
        if position == key:
            continue
        fault = "reversed" if option["slug"] == reverse else f"wrong {claimed}"
        if option["fault"] != fault:
            yield f"fault: {option['slug']} has the fault {option['fault']!r}, not {fault!r}"
        values = [row.axes(None)[AXES.index(claimed)][0] for row in pair]
        ways = [1, -1] if claimed_way == "+" else [-1, 1]
        if [sign(value) for value in values] == ways:
            yield f"second key: {option['slug']} is true of their working values {values}"
    others = sorted(slug for slug in slugs if slug not in (right, reverse))
    if others not in [[f"{other}+", f"{other}-"] for other in AXES if other != axis]:
        yield f"options: {others} are not the two ways of one other axis"


def label_says(label: str, pair: Sequence[Row], axis: str, way: str) -> Iterator[str]:
    """The words of a statement say of each herb what the slug says."""
    said = qualities(label)
    ways = [1, -1] if way == "+" else [-1, 1]
    if re.search(re.escape(pair[1].label), label) and label.find(pair[1].label) < label.find(pair[0].label):
        ways.reverse()
    wanted = [(AXES.index(axis), one) for one in ways]
    if said != wanted:
        words = [next(verb for verb, what in VERBS.items() if what == one) for one in wanted]
        yield f"options: {axis}{way} is told as {label!r}, not with {words}"
