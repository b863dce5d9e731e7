"""taste-to-effect: what a tradition's rule leads one to expect of tastes, and what it says of the herb."""

from collections.abc import Iterator, Mapping, Sequence

from tests.oracle.bench import TOLERANCE, Bench, Item, differ, sign
from tests.oracle.claims import AXES, Row, Vocabulary
from tests.oracle.herbs import qualities

WITHIN = 1
REVERSED = "both qualities reversed"


def expected(words: Vocabulary, tradition: str, tastes: Sequence[str]) -> dict[str, float]:
    """Axis -> the mean of what the tastes that speak on it lead a tradition to expect."""
    said: dict[str, list[float]] = {}
    for rule in words.taste_rules:
        if rule["tradition"] == tradition and rule.get("taste") in tastes:
            for axis, degree in rule["axes"].items():
                said.setdefault(axis, []).append(degree)
    return {axis: sum(degrees) / len(degrees) for axis, degrees in said.items()}


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The tastes, the rule, the claim, the four sign pairs and their faults."""
    subject, words = item["subject"], bench.words
    row = bench.rows.get(subject.get("part", ""))
    tradition, tastes = subject["tradition"], list(subject["tastes"])
    if row is None or tradition not in words.traditions:
        yield f"certificate: unknown part or tradition in {subject}"
        return
    if unclaimed := sorted(set(tastes) - row.named("taste")):
        yield f"certificate: {row.slug} is not claimed to taste {unclaimed}"
    yield from stem_faults(item, row, words)
    rule = expected(words, tradition, tastes)
    claim = {axis: row.said_in(tradition, axis) for axis in AXES}
    for what, stated, mine in (("rule", subject["rule"], rule), ("claim", subject["claim"], claim)):
        for axis, degree in stated.items():
            if mine.get(axis) is None or differ(degree, mine[axis] or 0.0):
                yield f"certificate: {what} gives {axis} {degree}, by the data {mine.get(axis)}"
    pairs = [sorted(qualities(option["label"])) for option in item["options"]]
    asked = sorted({axis for pair in pairs for axis, _ in pair})
    if len(asked) != 2 or {tuple(pair) for pair in pairs} != four_pairs(asked):
        yield f"options: not the four sign pairs of two axes: {[option['label'] for option in item['options']]}"
        return
    if silent := [AXES[axis] for axis in asked if AXES[axis] not in rule or claim[AXES[axis]] is None]:
        yield f"key: rule or claim says nothing of {silent}"
        return
    expects = [rule[AXES[axis]] for axis in asked]
    says = [claim[AXES[axis]] or 0.0 for axis in asked]
    yield from key_faults(item, asked, expects, says, pairs)


def four_pairs(axes: Sequence[int]) -> set[tuple[tuple[int, int], ...]]:
    """Every pair of signs on two axes."""
    return {((axes[0], one), (axes[1], other)) for one in (-1, 1) for other in (-1, 1)}


def key_faults(
    item: Item,
    asked: Sequence[int],
    expects: Sequence[float],
    says: Sequence[float],
    pairs: Sequence[list[tuple[int, int]]],
) -> Iterator[str]:
    """The key is what rule and claim agree on, or, of an exception, what the claim says against the rule."""
    agree = all(a * b > 0 and abs(a - b) <= WITHIN + TOLERANCE for a, b in zip(expects, says, strict=True))
    departs = any(abs(a - b) > WITHIN + TOLERANCE for a, b in zip(expects, says, strict=True))
    exception = bool(item["subject"]["exception"])
    if exception and not departs:
        yield f"key: no exception, for the rule expects {expects} and the tradition says {says}"
    if not exception and not agree:
        yield f"key: the rule expects {expects}, yet the tradition says {says}"
    if ("exception" in item["stem"].lower() or "depart" in item["stem"].lower()) != exception:
        yield f"text: the stem does not tell rightly whether it is an exception ({exception})"
    right = [(axis, sign(degree)) for axis, degree in zip(asked, says, strict=True)]
    if pairs[item["key"]] != right:
        yield f"key: {item['options'][item['key']]['label']!r} is the key, by the data {right}"
    for position, (option, pair) in enumerate(zip(item["options"], pairs, strict=True)):
        wrong = [AXES[axis] for (axis, way), (_, true) in zip(pair, right, strict=True) if way != true]
        fault = REVERSED if len(wrong) == 2 else f"wrong {wrong[0]}" if wrong else None
        if position != item["key"] and option["fault"] != fault:
            yield f"fault: {option['label']!r} has the fault {option['fault']!r}, not {fault!r}"


TRADITION_WORDS: Mapping[str, Sequence[str]] = {
    "contemporary-western": ("contemporary", "western", "today"),
    "galenic": ("galen",),
    "ayurvedic": ("ayurved",),
    "chinese": ("chinese",),
}


def stem_faults(item: Item, row: Row, words: Vocabulary) -> Iterator[str]:
    """The stem names the tradition and every taste; of an exception it names the herb."""
    subject, stem = item["subject"], item["stem"].lower()
    tradition = subject["tradition"]
    named = TRADITION_WORDS.get(tradition, (words.traditions[tradition].lower(),))
    if not any(word in stem for word in named):
        yield f"text: the stem does not name the tradition {tradition}"
    for taste in subject["tastes"]:
        if taste not in stem:
            yield f"text: the stem does not name the taste {taste}"
    told = {taste["slug"] for taste in words.plain["tastes"] if taste["slug"] in stem.split("taste", 1)[-1]}
    if stray := sorted(told - set(subject["tastes"])):
        yield f"text: the stem names {stray} too"
    if subject["exception"] and row.label.lower() not in stem:
        yield f"text: the stem does not name {row.label}"
