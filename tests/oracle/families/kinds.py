"""kinds: four herbs of one class, four kinds, and exactly one way to match them."""

from collections.abc import Iterator, Sequence
from itertools import permutations

from tests.oracle.bench import Bench, Item
from tests.oracle.claims import AXES, Row
from tests.oracle.herbs import label_faults, qualities, rows_named

Kind = list[tuple[int, int]]


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The class, the kinds, the one matching by trying all 24, and that its qualities hold without doubt."""
    herbs = rows_named(item, bench, 4)
    if herbs is None:
        yield "certificate: not four rows"
        return
    for option, row in zip(item["options"], herbs, strict=True):
        if "latin" in option:
            yield from label_faults(option, row)
    action = action_asked(item, bench)
    if action is None:
        yield "list: no class is named"
    for row in herbs:
        if action and not row.plainly(action):
            yield f"list: {row.slug} is nowhere plainly claimed as {action}"
    kinds = [sorted(qualities(label)) for label in item["kinds"]]
    if len(kinds) != 4 or len({tuple(kind) for kind in kinds}) != 4:
        yield f"options: not four different kinds: {item['kinds']}"
        return
    for label, kind in zip(item["kinds"], kinds, strict=True):
        if len(kind) != 2 or len({axis for axis, _ in kind}) != 2:
            yield f"options: {label!r} is not a pair of qualities on two axes"
            return
    matchings = [order for order in permutations(range(4)) if all(may(herbs[i], kinds[k]) for i, k in enumerate(order))]
    if len(matchings) > 1:
        yield f"second key: {len(matchings)} matchings are possible: {matchings}"
    if tuple(item["key"]) not in matchings:
        yield f"key: {item['key']} is not a possible matching"
        return
    for row, kind in zip(herbs, item["key"], strict=True):
        for axis, way in kinds[kind]:
            low, high = row.axes(None)[axis][1:]
            if (low if way > 0 else -high) <= 0:
                yield f"key: {row.slug} as {item['kinds'][kind]} is not sure: {AXES[axis]} from {low} to {high}"


def may(row: Row, kind: Kind) -> bool:
    """Whether a herb may have every quality of a kind somewhere in its intervals."""
    ends: Sequence[tuple[float, ...]] = row.axes(None)
    return all(ends[axis][2] > 0 if way > 0 else ends[axis][1] < 0 for axis, way in kind)


def action_asked(item: Item, bench: Bench) -> str | None:
    """The class that the item is about: named in its subject, or in the words of its stem."""
    subject = item.get("subject") or {}
    if subject.get("action"):
        return str(subject["action"])
    stem = item["stem"].lower()
    told = [row for row in bench.words.actions.values() if row["plural"] in stem or row["name"] in stem]
    return max(told, key=lambda row: len(row["name"]))["slug"] if told else None
