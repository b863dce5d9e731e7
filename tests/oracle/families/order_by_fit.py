"""order-by-fit: four listed herbs in one order that no doubt can change."""

from collections.abc import Iterator
from itertools import pairwise, permutations

from tests.oracle.bench import MARGIN, TOLERANCE, Bench, Found, Item, names
from tests.oracle.herbs import (
    drawn,
    option_labels,
    recommended_faults,
    stated_figures,
    statement_faults,
    survey_options,
)
from tests.oracle.reading import reading_faults
from tests.oracle.solver import Question


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """Verdicts, fits, the order between neighbours, that no other order holds, and the text."""
    ask = Question.of(item["presentation"])
    options, key = item["options"], item["key"]
    found = survey_options(item, bench, ask)
    yield from option_labels(item, bench)
    for option, one in zip(options, found, strict=True):
        row = bench.rows[option["part"]]
        yield from stated_figures(option, one)
        if not row.listed(ask.action):
            yield f"list: {row.slug} is not claimed as {ask.action} anywhere"
        if met := sorted(row.unsafe_words & ask.person):
            yield f"safety: {row.slug} is unsafe for this person by {met}"
    for better, worse in pairwise(key):
        if not surely_better(found[better], found[worse]):
            one, other = found[better][1], found[worse][1]
            gap = float((one.inner_least - other.inner_most).min())
            yield (
                f"key: {options[better]['part']} ({names(one)}) is not surely before {options[worse]['part']} "
                f"({names(other)}); they come within {gap:.4f}"
            )
    orders = [
        order for order in permutations(range(4)) if all(surely_better(found[a], found[b]) for a, b in pairwise(order))
    ]
    if len(orders) > 1:
        yield f"second key: {len(orders)} orders hold"
    best = options[key[0]]
    yield from recommended_faults(bench.rows[best["part"]], drawn(item, bench), best["marks"])
    yield from statement_faults(item, bench, ask)
    yield from reading_faults(item, bench.words, bench.rows)


def surely_better(one: Found, other: Found) -> bool:
    """Whether one herb ranks before another over both intervals: by verdict, or by .10 of the fit at the same weights."""
    better, worse = one[1], other[1]
    if min(better.inner) > max(worse.inner):
        return True
    if len(better.inner | worse.inner) > 1:
        return False
    return float((better.inner_least - worse.inner_most).min()) >= MARGIN - TOLERANCE
