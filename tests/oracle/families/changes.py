"""what-would-have-to-change: of four changes on one axis each, exactly one makes the herb suit."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from tests.oracle.bench import Bench, Found, Item, names, sign
from tests.oracle.claims import AXES, Vocabulary
from tests.oracle.herbs import drawn, recommended_faults
from tests.oracle.reading import evidence_faults, reading_faults
from tests.oracle.solver import SUITS, Question

WRONG_AXIS, TOO_LITTLE, WRONG_WAY = "wrong axis", "not far enough", "wrong way"
FAULTS = {WRONG_AXIS, TOO_LITTLE, WRONG_WAY}
TOLD_BY = 2
INSTEAD = " in place of "

Option = Mapping[str, Any]


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The herb before and after each change, the faults, and what the changes are told by."""
    ask = Question.of(item["presentation"])
    rows = item["certificate"]["rows"]
    if not rows or item["subject"].get("part") != rows[0]["part"]:
        yield f"certificate: its first row is not the herb of {item['subject']}"
        return
    row = bench.rows[rows[0]["part"]]
    if row.label.lower() not in item["stem"].lower():
        yield f"text: the stem does not name {row.label}"
    before = bench.found(row.slug, ask)[1]
    if SUITS in before.possible:
        yield f"key: {row.slug} may suit before any change ({names(before)})"
    yield from recommended_faults(row, drawn(item, bench), item["subject"].get("marks", row.marks))
    changed = [after(option, ask) for option in item["options"]]
    tied = {axis for axis, root in enumerate(ask.follows) if root is not None} | ask.roots
    for position, (option, question) in enumerate(zip(item["options"], changed, strict=True)):
        if question is None:
            yield f"options: {option['slug']} changes no axis to another degree"
            continue
        if AXES.index(option["axis"]) in tied:
            yield f"options: {option['slug']} touches {option['axis']}, which follows or is followed"
        found = bench.found(row.slug, question)[1]
        if position == item["key"]:
            if found.possible != {SUITS}:
                yield f"key: after {option['slug']} {row.slug} may be {names(found)}"
        elif SUITS in found.possible:
            yield f"second key: after {option['slug']} {row.slug} may be {names(found)}"
        yield from change_faults(item, option, bench.words)
    if changed[item["key"]] is not None:
        yield from fault_faults(item, ask, changed, bench, row.slug)
    yield from reading_faults(item, bench.words, bench.rows)


def after(option: Option, ask: Question) -> Question | None:
    """The question once one axis has another degree; nothing when that is no change, or takes a root or all away."""
    if option.get("axis") not in AXES:
        return None
    axis = AXES.index(option["axis"])
    pattern = list(ask.pattern)
    if pattern[axis] == option["degree"] or not -4 <= option["degree"] <= 4:
        return None
    pattern[axis] = float(option["degree"])
    rootless = any(root is not None and not pattern[root] for root in ask.follows)
    return replace(ask, pattern=tuple(pattern)) if any(pattern) and not rootless else None


def fault_faults(item: Item, ask: Question, changed: list[Question | None], bench: Bench, part: str) -> Iterator[str]:
    """Each wrong change is on another axis, or on the right one but too small or the wrong way."""
    right = item["options"][item["key"]]
    now = ask.pattern[AXES.index(right["axis"])]
    toward = right["degree"] - now
    fit: Found = bench.found(part, ask)
    for option, question in zip(item["options"], changed, strict=True):
        fault = option["fault"]
        if option is right or question is None:
            continue
        step = option["degree"] - now
        if option["axis"] != right["axis"]:
            worse = bench.found(part, question)[1].energetic < fit[1].energetic
            fitting = {WRONG_AXIS, *([WRONG_WAY] if worse else [])}
        elif step * toward < 0:
            fitting = {WRONG_WAY}
        else:
            fitting = {TOO_LITTLE} if abs(step) < abs(toward) else set()
        if fault not in FAULTS:
            yield f"options: {option['slug']} has the fault {fault!r}"
        elif fault not in fitting:
            yield f"fault: {option['slug']} has the fault {fault!r}, not {' or '.join(sorted(fitting)) or 'any known'}"


def told_in(label: str, words: Vocabulary, places: set[str]) -> list[dict[str, Any]]:
    """The findings whose texts stand in a label, the longest text first where one holds another."""
    texts = [(text, row) for row in words.findings.values() if row["site"] in places for text in row["texts"]]
    found, rest = [], label
    for text, row in sorted(texts, key=lambda pair: -len(pair[0])):
        if text in rest:
            found.append(row)
            rest = rest.replace(text, "|", 1)
    return found


def change_faults(item: Item, option: Option, words: Vocabulary) -> Iterator[str]:
    """The findings that tell a change speak of its axis alone, and with the rest they show the new pattern."""
    presentation, axis = item["presentation"], option["axis"]
    asking = words.askings[presentation["asking"]]
    places = {*asking["findings"], "general"}
    new_words, _, old_words = re.sub(r"^the same picture without ", INSTEAD, option["label"]).partition(INSTEAD)
    come = told_in(new_words, words, places)
    gone = {row["slug"] for row in told_in(old_words, words, places)}
    shown = {finding["slug"] for finding in presentation["findings"]}
    name = f"change: {option['slug']}"
    if strange := sorted(gone - shown):
        yield f"{name} takes away {strange}, which nobody told"
    for row in come:
        if row["slug"] in shown:
            yield f"{name} tells {row['slug']}, {'in place of itself' if row['slug'] in gone else 'which was told'}"
    for row in [*come, *(words.findings[slug] for slug in sorted(gone))]:
        if set(row.get("evidence", {})) != {axis}:
            yield f"{name} is told by {row['slug']}, which speaks of {sorted(row.get('evidence', {}))}"
    if option["degree"] and len(come) != TOLD_BY:
        yield f"{name} is told by {len(come)} new findings, not two"
    if not option["degree"] and come:
        yield f"{name} drops {axis}, and yet tells {[row['slug'] for row in come]}"
    if any(sign(row["evidence"].get(axis, 0)) != sign(option["degree"]) for row in come):
        yield f"{name} is told by findings of the other sign"
    kept = [finding for finding in presentation["findings"] if finding["slug"] not in gone]
    new = [{"slug": row["slug"], "evidence": row.get("evidence", {}), "order": False} for row in come]
    pattern = {**presentation["pattern"], axis: {**presentation["pattern"][axis], "degree": option["degree"]}}
    changed = {"presentation": {**presentation, "pattern": pattern, "findings": kept + new}}
    for objection in evidence_faults(changed):
        yield f"{name}: {objection.partition(': ')[2]}"
