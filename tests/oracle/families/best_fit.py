"""best-fit: one option suits whatever is doubted, and no other can."""

from collections.abc import Iterator

from tests.oracle.bench import MARGIN, TOLERANCE, Bench, Found, Item, names
from tests.oracle.claims import AXES
from tests.oracle.herbs import (
    drawn,
    option_labels,
    recommended_faults,
    stated_figures,
    statement_faults,
    survey_options,
)
from tests.oracle.reading import reading_faults
from tests.oracle.solver import PARTLY, SUITS, Question

THIRD = 1 / 3
WRONG_WAY = {f"wrong {axis}": position for position, axis in enumerate(AXES)}
FAULTS = {
    *WRONG_WAY, "feeds the root", "palliates only", "too weak", "too strong", "wrong place",
    "lacks the action here", "opposed action", "unsafe for this person",
}  # fmt: skip


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """Verdicts, fits, the key's proof, the margins, the faults named, and the text."""
    ask = Question.of(item["presentation"])
    options, key = item["options"], item["key"]
    found = survey_options(item, bench, ask)
    yield from option_labels(item, bench)
    for option, one in zip(options, found, strict=True):
        yield from stated_figures(option, one)
    winner = found[key][1]
    chosen = bench.rows[options[key]["part"]]
    if winner.possible != {SUITS}:
        yield f"key: {chosen.slug} may be {names(winner)}"
    if not chosen.action(ask.action, ask.site):
        yield f"key: {chosen.slug} has no such action there"
    yield from recommended_faults(chosen, drawn(item, bench), options[key]["marks"])
    for position, (option, one) in enumerate(zip(options, found, strict=True)):
        if position == key:
            continue
        result = one[1]
        if SUITS in result.possible:
            yield f"second key: {option['part']} may be {names(result)}"
        nearest = float((winner.least - result.most).min())
        if PARTLY in result.possible and nearest < MARGIN - TOLERANCE:
            yield f"margin: {option['part']} comes within {nearest:.4f} of the key"
        if not bench.rows[option["part"]].listed(ask.action):
            yield f"list: {option['part']} is not claimed as {ask.action} anywhere"
        if option["fault"] not in FAULTS:
            yield f"options: {option['part']} has the fault {option['fault']!r}"
        elif not fault_applies(option["fault"], one):
            yield f"fault: {option['fault']} does not describe {option['part']}"
    yield from statement_faults(item, bench, ask)
    yield from reading_faults(item, bench.words, bench.rows)


def fault_applies(fault: str, found: Found) -> bool:
    """Whether the words of a fault describe the candidate at its working values."""
    candidate, result = found
    ask, raw = candidate.ask, result.raw
    along = {axis: candidate.value[axis] / ask.need[axis] for axis in ask.needed}
    if fault in WRONG_WAY:
        return along.get(WRONG_WAY[fault], 0.0) < 0
    leading = [along[axis] for axis in ask.leading]
    followers = [(axis, root) for axis, root in enumerate(ask.follows) if root is not None]
    return {
        "feeds the root": any(along[axis] < 0 for axis in ask.roots),
        "palliates only": any(raw[axis] > 0 and raw[root] < THIRD for axis, root in followers),
        "too weak": min(leading) >= 0 and any(share < 1 for share in leading),
        "too strong": any(share > 1 for share in along.values()),
        "wrong place": candidate.affinity < 0.33 - TOLERANCE,
        "lacks the action here": candidate.action < 0.33 - TOLERANCE,
        "opposed action": candidate.opposed,
        "unsafe for this person": candidate.unsafe,
    }[fault]
