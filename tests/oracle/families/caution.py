"""caution: the herb suits three of four people and is unsafe for the fourth, who needs another."""

from collections.abc import Iterator
from dataclasses import replace

from tests.oracle.bench import Bench, Item, names
from tests.oracle.claims import Row
from tests.oracle.herbs import closed, recommended_faults
from tests.oracle.reading import evidence_faults, finding_faults, order_faults, pattern_faults, text_faults
from tests.oracle.shape import reason_lists
from tests.oracle.solver import SUITS, UNSAFE, Question

NOBODY = "nobody"
FAULT = "no caution here"


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The herb before each of the four people, what they are told by, and the herbs named instead."""
    words, key = bench.words, item["key"]
    rows = item["certificate"]["rows"]
    if not rows or (item.get("subject") or {}).get("part", rows[0]["part"]) != rows[0]["part"]:
        yield f"certificate: its first row is not the herb of {item['subject']}"
        return
    row, ask = bench.rows[rows[0]["part"]], Question.of(item["presentation"])
    if row.label.lower() not in item["stem"].lower():
        yield f"text: the stem does not name {row.label}"
    slugs = [option["slug"] for option in item["options"]]
    if unknown := sorted(set(slugs) - set(words.person_words) - {NOBODY}):
        yield f"options: unknown words about a person: {unknown}"
        return
    if slugs[key] == NOBODY:
        yield "key: nobody in particular is the key"
    for position, (option, slug) in enumerate(zip(item["options"], slugs, strict=True)):
        person = ask.person | ({slug} - {NOBODY})
        yield from told_faults(option, slug, bench)
        result = bench.found(row.slug, replace(ask, person=person))[1]
        if position == key:
            if result.possible != {UNSAFE}:
                yield f"key: with {slug} {row.slug} may be {names(result)}"
            continue
        if result.possible != {SUITS}:
            yield f"second key: with {slug} {row.slug} may be {names(result)}"
        yield from recommended_faults(row, frozenset({slug}), row.marks)
        if option["fault"] != FAULT:
            yield f"options: {slug} has the fault {option['fault']!r}"
        if met := sorted(row.cautioned_words & closed({slug})):
            yield f"fault: {slug} is called {FAULT!r}, yet {row.slug} has a caution on {met}"
    yield from list_faults(item, ask, bench, row)
    for check in (pattern_faults, finding_faults, order_faults):
        yield from check(item, words)
    yield from evidence_faults(item)
    yield from text_faults(item)


def told_faults(option: Item, slug: str, bench: Bench) -> Iterator[str]:
    """The label of a person tells the word, and no other word about a person."""
    label = option["label"].lower()
    said = {
        word
        for word, row in bench.words.person_words.items()
        if row["yes"].split(" ", 1)[1].lower() in label or row["name"].lower() in label
    }
    told = {word for word in said if not any(word != other and word in closed({other}) for other in said)}
    if slug != NOBODY and slug not in told:
        yield f"options: {slug} is not told by {option['label']!r}"
    if stray := sorted(told - closed({slug})):
        yield f"options: {option['label']!r} tells of {stray} too"


def named_in(text: str, bench: Bench) -> Row | None:
    """The part whose name stands in a text, the longest where one name holds another."""
    forms = {form["slug"]: form["name"] for form in bench.words.plain["forms"]}
    found = []
    for row in bench.rows.values():
        other_form = row.slug.removesuffix(f"-{row.form}") in bench.rows.keys() - {row.slug}
        form = forms.get(row.form, row.form)
        for name in (f"{row.label}, {form}", f"{row.label} ({form})") if other_form else (row.label,):
            if name.lower() in text.lower():
                found.append((len(name), row))
    return max(found, key=lambda pair: pair[0])[1] if found else None


def list_faults(item: Item, ask: Question, bench: Bench, row: Row) -> Iterator[str]:
    """The reasons for each person; one list alone is read as the one for the person who needs another herb."""
    lists, slugs = reason_lists(item), [option["slug"] for option in item["options"]]
    people = slugs if len(lists) == len(slugs) else [slugs[item["key"]]]
    common = set(bench.words.askings[item["presentation"]["asking"]].get("holds", ()))
    for slug, reasons in zip(people, lists, strict=False):
        changes = slug == slugs[item["key"]]
        own = frozenset({slug} - {NOBODY})
        asked = replace(ask, person=ask.person | own)
        for reason in reasons:
            other = named_in(reason["text"], bench)
            decisive = reason["status"] == "decisive"
            if other is None or other.slug == row.slug:
                yield from staying_faults(reason, row, own, decisive, changes)
            elif decisive and not changes:
                yield f"because: with {slug} {row.slug} may stay, yet the decisive reason gives {other.slug}"
            elif changes:
                yield from instead_faults(reason, other, asked, common, bench)


def staying_faults(reason: Item, row: Row, own: frozenset[str], decisive: bool, changes: bool) -> Iterator[str]:
    """A reason that names no other herb: that the first may stay decides where it may, and only there."""
    if decisive and changes:
        yield f"because: {reason['text']!r} is decisive, and names no herb to give instead"
    met = bool(row.cautioned_words & closed(own))
    if "no caution of its own meets" in reason["text"] and (reason["status"] in ("true", "decisive")) == met:
        yield f"because: {reason['text']!r} is called {reason['status']} with {sorted(own)}"


def instead_faults(reason: Item, other: Row, ask: Question, common: set[str], bench: Bench) -> Iterator[str]:
    """The decisive reason names an herb that surely suits that person without any caution; no other reason does."""
    result = bench.found(other.slug, ask)[1]
    met = other.cautioned_words & closed(ask.person - common)
    if reason["status"] == "decisive":
        if result.possible != {SUITS}:
            yield f"because: {other.slug} is the one to give instead, and may be {names(result)}"
        yield from recommended_faults(other, ask.person - common, other.marks)
    elif result.possible == {SUITS} and not met:
        yield f"because: {other.slug} is called {reason['status']}, and surely suits without a caution"
    elif reason["status"] == "true":
        yield f"because: {other.slug} is called true, and may be {names(result)}"
