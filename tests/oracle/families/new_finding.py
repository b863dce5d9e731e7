"""new-finding: what one more finding does to the fit of an herb thought of; only a panel can give a key."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from tests.oracle.bench import TOLERANCE, Bench, Item, names, sign
from tests.oracle.claims import AXES
from tests.oracle.reading import reading_faults
from tests.oracle.solver import UNSAFE, Question

STEPS = 5


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The herb, the finding, the pattern before and after, the engine's lean, and that no key is given."""
    ask = Question.of(item["presentation"])
    certificate, subject = item["certificate"], item.get("subject") or {}
    row = bench.rows[certificate["rows"][0]["part"]]
    if item["options"] and len(item["options"]) not in (1, STEPS):
        yield f"options: {len(item['options'])} of them, not five steps from less to more"
    if subject.get("part", row.slug) != row.slug:
        yield f"certificate: its first row is not the herb of {subject}"
    if row.label.lower() not in f"{item['stem']} {item['vignette']}".lower():
        yield f"text: nothing names {row.label}"
    result = bench.found(row.slug, ask)[1]
    if UNSAFE in result.possible:
        yield f"safety: {row.slug} is unsafe for this person ({names(result)})"
    before, after = (pattern_of(certificate[when]) for when in ("before", "after"))
    if before != ask.pattern:
        yield f"certificate: the pattern before is {before}, in the presentation {ask.pattern}"
    moved = [axis for axis in range(4) if before[axis] != after[axis]]
    if len(moved) != 1:
        yield f"key: the new finding changes {[AXES[axis] for axis in moved]}, not one axis"
        return
    yield from finding_faults(item, bench, moved[0], after[moved[0]] - before[moved[0]])
    if "lean" in certificate and any(after):
        changed = bench.found(row.slug, replace(ask, pattern=after))[1]
        step = changed.fit - result.fit
        if abs(step) > TOLERANCE and sign(certificate["lean"]) not in (0, sign(step)):
            yield f"key: the engine leans {certificate['lean']}, yet the fit goes from {result.fit:.4f} to {changed.fit:.4f}"
    yield from reading_faults(item, bench.words, bench.rows)


def pattern_of(said: Any) -> tuple[float, ...]:
    """The degrees of a pattern, whether it is told as a list or axis by axis."""
    if isinstance(said, Mapping):
        degrees = [said.get(axis, 0) for axis in AXES]
        return tuple(float(one["degree"] if isinstance(one, Mapping) else one) for one in degrees)
    return tuple(float(one) for one in said)


def finding_faults(item: Item, bench: Bench, axis: int, step: float) -> Iterator[str]:
    """The finding told in the stem speaks of the one axis, the way that the pattern moves, and is new."""
    words = bench.words
    places = {*words.askings[item["presentation"]["asking"]]["findings"], "general"}
    known = [row for row in words.findings.values() if row["site"] in places]
    told = [row for row in known if any(text in item["stem"] for text in row["texts"])]
    if len(told) != 1:
        yield f"text: the stem tells {[row['slug'] for row in told]}, not one new finding"
        return
    evidence = told[0].get("evidence", {})
    if set(evidence) != {AXES[axis]} or sign(evidence[AXES[axis]]) != sign(step):
        yield f"certificate: {told[0]['slug']} shows {evidence}, the pattern moves {AXES[axis]} by {step}"
    if told[0]["slug"] in {finding["slug"] for finding in item["presentation"]["findings"]}:
        yield f"findings: {told[0]['slug']} was told already"
