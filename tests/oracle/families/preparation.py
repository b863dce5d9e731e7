"""preparation: one fact decides the menstruum or method; a sum comes out as the words of the stem have it."""

from collections.abc import Iterator

from tests.oracle.bench import Bench, Item
from tests.oracle.claims import Row
from tests.oracle.families.sums import MISTAKES, same, told, worked
from tests.oracle.herbs import HARMFUL

KNOWLEDGE = {"menstruum": "wrong menstruum", "method": "wrong method"}
SUMS = {"ratio", "dilution", "dose"}
# What draws a class of constituents well; and what draws it too well to be called wrong (common pharmacy practice).
DRAWN_BY = {
    "mucilage": {"cold-water", "cold-infusion"},
    "inulin": {"simmering-water", "decoction"},
    "polysaccharide": {"simmering-water", "decoction"},
    "mineral": {"simmering-water", "decoction", "vinegar"},
    "tannin": {"simmering-water", "decoction", "covered-infusion"},
    "saponin": {"simmering-water", "decoction"},
    "resin": {"alcohol-90", "strong-tincture"},
    "volatile-oil": {"alcohol-60", "alcohol-90", "covered-infusion", "strong-tincture"},
    "carotenoid": {"fixed-oil", "infused-oil"},
    "alkaloid": {"alcohol-60", "strong-tincture", "vinegar"},
}
DRAWN_TOO = {
    "mucilage": {"simmering-water", "decoction", "glycerite"},
    "inulin": {"covered-infusion"},
    "polysaccharide": {"covered-infusion"},
    "tannin": {"alcohol-25", "alcohol-60", "glycerine", "glycerite"},
    "resin": {"fixed-oil", "infused-oil"},
    "volatile-oil": {"distilled", "steam", "fixed-oil", "infused-oil"},
    "carotenoid": {"alcohol-90", "strong-tincture"},
}


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The plant is harmless; the key is what constituents or figures give; no other option is; mistakes are named."""
    subject = item["subject"]
    kind, row = subject.get("kind"), bench.rows.get(subject.get("part") or "")
    if row is None:
        yield f"certificate: unknown part {subject.get('part')}"
        return
    if harm := HARMFUL & set(row.marks):
        yield f"safety: {row.slug} is {' and '.join(sorted(harm))}; this family asks of harmless plants only"
    if row.label.lower() not in item["stem"].lower():
        yield f"text: the stem does not name {row.label}"
    if kind in KNOWLEDGE:
        yield from knowledge_faults(item, row, bench)
    elif kind in SUMS:
        yield from sum_faults(item)
    else:
        yield f"shape: {kind!r} is no known kind of question"


def knowledge_faults(item: Item, row: Row, bench: Bench) -> Iterator[str]:
    """The part has the constituent that the stem names; the key draws it well, and no other option does."""
    constituent, fault = item["subject"].get("constituent"), KNOWLEDGE[item["subject"]["kind"]]
    name = next((known["name"] for known in bench.words.plain["constituents"] if known["slug"] == constituent), None)
    if name is None or name not in item["stem"]:
        yield f"text: the stem does not name {constituent}"
    if constituent not in row.named("constituent"):
        yield f"certificate: {row.slug} is not claimed to hold {constituent}"
    well = DRAWN_BY.get(str(constituent), set())
    too = DRAWN_TOO.get(str(constituent), set())
    if not well:
        yield f"key: nothing is known of what draws {constituent}"
    for position, option in enumerate(item["options"]):
        if position == item["key"]:
            if option["slug"] not in well:
                yield f"key: {option['slug']} does not draw {constituent} well"
            continue
        if option["slug"] in well | too:
            yield f"second key: {option['slug']} draws {constituent} as well"
        if option["fault"] != fault:
            yield f"fault: {option['slug']} has the fault {option['fault']!r}, not {fault!r}"


def sum_faults(item: Item) -> Iterator[str]:
    """The key's figure is the one worked out from the stem; each other figure is what its mistake gives."""
    done = worked(item["stem"])
    if done is None:
        yield f"sum: the stem cannot be read: {item['stem']!r}"
        return
    for position, option in enumerate(item["options"]):
        figure = told(option["label"])
        if figure is None or figure[1] != done.unit:
            yield f"options: {option['label']!r} is not given in {done.unit}"
            continue
        right = same(figure[0], done.answer)
        if position == item["key"]:
            if not right:
                yield f"key: {option['label']!r}, worked out {float(done.answer)} {done.unit}"
            continue
        if right:
            yield f"second key: {option['label']!r} is the right figure too"
        if option["fault"] not in MISTAKES:
            yield f"options: {option['label']} has the fault {option['fault']!r}"
        elif not done.comes_of(option["fault"], figure[0]):
            yield f"fault: {option['label']} does not come of {option['fault']!r}"
