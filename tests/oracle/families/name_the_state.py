"""name-the-state: the findings are nearest to one state, and their order tells which quality is the root."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from tests.oracle.bench import TOLERANCE, Bench, Item, sign
from tests.oracle.claims import AXES, Vocabulary
from tests.oracle.reading import reading_faults

CLEAR = 1
SEVERITIES = (1, 2, 3)
EXCHANGED, INVENTED, MISSED = "root and consequence exchanged", "invented quality", "missed quality"
FAULTS = {*(f"wrong {axis}" for axis in AXES), EXCHANGED, INVENTED, MISSED}

TURNED = "-exchanged"
QUALITIES = {
    "heat": ("temperature", 1), "cold": ("temperature", -1), "damp": ("moisture", 1), "dryness": ("moisture", -1),
    "tension": ("tone", 1), "laxity": ("tone", -1), "excitement": ("movement", 1), "torpor": ("movement", -1),
}  # fmt: skip

State = Mapping[str, Any]


def degrees(state: State, severity: int) -> tuple[int, ...]:
    """The degrees of a state at a severity: the axes that lead have it, the others no more than it."""
    follows = state.get("follows", {})
    usual = state["pattern"]
    most = max(abs(degree) for axis, degree in usual.items() if axis not in follows)
    found = []
    for axis in AXES:
        degree = usual.get(axis, 0)
        leads = axis not in follows and abs(degree) == most
        found.append(sign(degree) * (severity if leads else min(abs(degree), severity)))
    return tuple(found)


def signs(state: State) -> tuple[int, ...]:
    """Which way a state is out of balance on each axis."""
    return tuple(sign(state["pattern"].get(axis, 0)) for axis in AXES)


def summed(item: Item) -> tuple[int, ...]:
    """The evidence of the findings, added up on each axis."""
    shown = [finding["evidence"] for finding in item["presentation"]["findings"] if not finding["order"]]
    return tuple(sum(evidence.get(axis, 0) for evidence in shown) for axis in AXES)


def distance(state: State, evidence: tuple[int, ...]) -> int:
    """How far a state at its best severity lies from the evidence, in degrees added over the axes."""
    return min(
        sum(abs(said - degree) for said, degree in zip(evidence, degrees(state, severity), strict=True))
        for severity in SEVERITIES
    )


def state_of(slug: str, words: Vocabulary) -> State | None:
    """A state of the vocabulary, or one with root and consequence exchanged."""
    base = slug.removesuffix(TURNED)
    state = words.states.get(base)
    if state is None or base == slug:
        return state
    return {**state, "follows": {root: axis for axis, root in state.get("follows", {}).items()}}


def label_faults(option: Item, state: State) -> Iterator[str]:
    """The words after the name tell the qualities of the state, which is the root, and what follows from it."""
    told = option["label"].rpartition(":")[2]
    named = [(QUALITIES[word], place) for word in QUALITIES for place in positions(word, told.partition("follows")[0])]
    ordered = [quality for quality, _ in sorted(named, key=lambda pair: pair[1])]
    wanted = {(axis, sign(degree)) for axis, degree in state["pattern"].items() if degree}
    if set(ordered) != wanted or len(ordered) != len(wanted):
        yield f"options: {option['slug']} is told as {option['label']!r}"
        return
    follows = {}
    if "follows" in told:
        after = told.partition("follows")[2]
        back = [QUALITIES[word][0] for word in QUALITIES if positions(word, after)]
        follows = {ordered[-1][0]: back[0] if back else ordered[0][0]}
        if not back and len(ordered) > 2:
            yield f"options: {option['label']!r} does not tell what follows from what"
    if follows != state.get("follows", {}):
        yield f"options: {option['slug']} is told as {option['label']!r}, its roots are {state.get('follows', {})}"


def positions(word: str, text: str) -> list[int]:
    """Where a whole word stands in a text."""
    return [found.start() for found in re.finditer(rf"\b{word}\b", text)]


def order_shown(item: Item, words: Vocabulary) -> dict[str, str]:
    """Following axis -> root, as the findings of order tell it."""
    shown = {}
    for finding in item["presentation"]["findings"]:
        known = words.order_findings.get(finding["slug"])
        if finding["order"] and known:
            shown[known["follower"]["axis"]] = known["root"]["axis"]
    return shown


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The distances, the order, the names, the faults, and the text."""
    words, options, key = bench.words, item["options"], item["key"]
    states = [state_of(option["slug"], words) for option in options]
    if None in states:
        yield f"options: unknown states among {[option['slug'] for option in options]}"
        return
    known = [state for state in states if state is not None]
    evidence, order, right = summed(item), order_shown(item, words), known[key]
    for option, state in zip(options, known, strict=True):
        yield from label_faults(option, state)
    drawn = words.states.get(item["presentation"]["state"])
    if drawn is None or (signs(drawn), drawn.get("follows", {})) != (signs(right), right.get("follows", {})):
        yield f"pattern: the presentation shows {item['presentation']['state']}, the key is {options[key]['slug']}"
    if right.get("follows", {}) != order:
        yield f"key: {right['slug']} has the roots {right.get('follows', {})}, the findings tell {order}"
    nearest = distance(right, evidence)
    for position, (option, state) in enumerate(zip(options, known, strict=True)):
        if position == key:
            continue
        if signs(state) == signs(right):
            if state.get("follows", {}) == order:
                yield f"second key: {option['slug']} has the same qualities in the same order"
        elif distance(state, evidence) < nearest + CLEAR - TOLERANCE:
            yield f"second key: {option['slug']} is {distance(state, evidence)} from the findings, the key {nearest}"
        yield from fault_faults(option, state, right, evidence)
    yield from reading_faults(item, words, bench.rows)


def fault_faults(option: Item, state: State, right: State, evidence: tuple[int, ...]) -> Iterator[str]:
    """The fault says in what the state differs from the right one: contrary signs first, then order, then the rest."""
    fault, slug = option["fault"], option["slug"]
    if fault not in FAULTS:
        yield f"options: {slug} has the fault {fault!r}"
        return
    pairs = list(zip(AXES, signs(state), signs(right), strict=True))
    contrary = [axis for axis, own, true in pairs if own * true < 0]
    if contrary:
        fitting = {f"wrong {contrary[0]}"}
    elif signs(state) == signs(right):
        fitting = {EXCHANGED}
    else:
        invented = any(own and not said for (_, own, _), said in zip(pairs, evidence, strict=True))
        missed = any(true and not own for _, own, true in pairs)
        fitting = {name for name, holds in ((INVENTED, invented), (MISSED, missed)) if holds}
    if fault not in fitting:
        yield f"fault: {slug} has the fault {fault!r}, not {' or '.join(sorted(fitting))!r}"
