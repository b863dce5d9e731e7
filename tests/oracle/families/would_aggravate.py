"""would-aggravate: one option makes it worse whatever is doubted, and no other can."""

from collections.abc import Iterator

from tests.oracle.bench import Bench, Item, names
from tests.oracle.herbs import NEVER_CHOSEN, option_labels, stated_figures, statement_faults, survey_options
from tests.oracle.reading import reading_faults
from tests.oracle.solver import AGGRAVATES, LITTLE, PARTLY, SUITS, VERDICTS, Question

FAULTS = {"suits here": SUITS, "partly suits": PARTLY, "little bearing": LITTLE}


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """Verdicts, fits, the key's proof, the others' innocence, the faults named, and the text."""
    ask = Question.of(item["presentation"])
    options, key = item["options"], item["key"]
    yield from option_labels(item, bench)
    for position, (option, found) in enumerate(zip(options, survey_options(item, bench, ask), strict=True)):
        part, result = option["part"], found[1]
        row = bench.rows[part]
        yield from stated_figures(option, found)
        if not row.plainly(ask.action):
            yield f"list: {part} is nowhere plainly claimed as {ask.action}"
        if met := sorted(row.unsafe_words & ask.person):
            yield f"safety: {part} is unsafe for this person by {met}"
        if position == key:
            if result.possible != {AGGRAVATES}:
                yield f"key: {part} may be {names(result)}"
            if NEVER_CHOSEN & set(row.marks):
                yield f"safety: {part} is restricted, and yet the key"
            continue
        if AGGRAVATES in result.possible:
            yield f"second key: {part} may be {names(result)}"
        if option["fault"] not in FAULTS:
            yield f"options: {part} has the fault {option['fault']!r}"
        elif FAULTS[option["fault"]] != result.verdict:
            yield f"fault: {part} is called {option['fault']!r}, by the claims it {VERDICTS[result.verdict]}"
    yield from statement_faults(item, bench, ask)
    yield from reading_faults(item, bench.words, bench.rows)
