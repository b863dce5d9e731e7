"""point-of-difference: two herbs share an action; on which quality do they part?

Valid only if their intervals lie a degree or more apart on exactly one axis, where the working values are two or more degrees
apart and of contrary sign, and meet or overlap on the other three. A temperate herb is not taken for the contrary of one that
warms, since "cools" would be untrue of it.

The four statements are two pairs of contraries, so that no pair gives the key away: the true one and its reverse, and both
ways of one other axis, each of them untrue wherever in their intervals the herbs lie; where there is a choice, an axis on
which the name of the class does not say as much. The reasons are paired in the same way.

Both herbs have the action plainly, in their usual form, and are of two species. The reasons say which of the two a tissue
calls for, so no toxic or restricted plant is among them. Of each class at most PAIRS pairs are asked about: those most
widely spoken of.
"""

from collections.abc import Iterator, Mapping, Sequence
from random import Random
from typing import Any, NamedTuple

import numpy as np

from herbs.engine import AXES, capital, pole
from lessons.engine.because import BARE, DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason
from lessons.engine.certificate import ROUNDING_ERROR
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, herb, profile_row
from lessons.engine.faults import WRONG
from lessons.engine.qualities import (
    answered,
    classes_asked,
    clause,
    fame,
    inset,
    said_in_name,
    sign_of,
    species_numbers,
    usual_rows,
)
from lessons.engine.workshop import ROOM, Workshop

NAME = "point-of-difference"
TITLE = "Point of difference"
RESPONSE = "choose"
FINITE = True
PANEL = False
APART, WORKING_APART = 1.0, 2.0  # degrees between the intervals, and between the working values
PAIRS = 2000  # of one class
BARRED = frozenset({"toxic", "restricted"})
REVERSED = "reversed"
# Axes on which a class is of one kind by what its name means: nobody need know two demulcents to know that both moisten.
MEANT = {
    "demulcent": {"moisture"}, "astringent": {"tone"}, "antispasmodic": {"tone"}, "sedative": {"movement"},
    "circulatory-stimulant": {"movement"},
}  # fmt: skip
STEMS = (
    "Both {first} and {second} are {plural}. In which quality do they differ?",
    "Of the {plural}, compare {first} and {second}: which difference between them decides the choice?",
    "How do the {plural} {first} and {second} differ in what they do to the tissue?",
    "Two {plural}, {first} and {second}, lie before you. What tells the one from the other?",
)
CALLS = "{one} tissue calls for {first}, {other} tissue for {second}."
ALIKE = "{one} tissue leaves the choice open, since both of them {does}."
CLASS = "The action alone leaves the choice open, since both are plainly {plural}."
NAME_FOR_REASON = (
    "Both are {plural}, so either will do whatever the state of the tissue.",
    "Being {plural}, they answer the same tissue, and habit decides between them.",
    "Both are {plural}, so the stronger of the two is the one to choose.",
)


class Pair(NamedTuple):
    """Two rows that share an action and part on one axis; those of the other axes on which either statement is untrue."""

    action: str
    rows: tuple[int, int]
    axis: int
    others: tuple[int, ...]


def cases(workshop: Workshop, constraints: Constraints) -> Sequence[Pair]:
    """Every pair that parts on one axis, class by class, the most widely spoken of first."""
    usual = usual_rows(workshop, constraints, barred=BARRED)
    species = species_numbers(workshop)
    return [
        pair
        for action in classes_asked(workshop, constraints)
        for pair in _pairs(workshop, action, np.flatnonzero(workshop.plainly(action) & usual), species)
    ]


def _pairs(workshop: Workshop, action: str, rows: Any, species: Any) -> Iterator[Pair]:
    catalogue = workshop.catalogue
    spoken_for = said_in_name(catalogue.actions[action].plural)
    a, b = (rows[numbers] for numbers in np.triu_indices(len(rows), 1))
    value, low, high = catalogue.value, catalogue.low, catalogue.high
    gap = np.maximum(low[a] - high[b], low[b] - high[a])
    parting = gap >= APART - ROOM
    axis = parting.argmax(axis=1)
    pair = np.arange(len(a))
    here, there = value[a][pair, axis], value[b][pair, axis]
    # On the other axis asked about they part neither way, wherever in their intervals they lie.
    contrary = ((high[a] > 0) & (low[b] < 0)) | ((low[a] < 0) & (high[b] > 0))
    others = ~contrary & ~parting
    others[:, list(spoken_for)] = False
    valid = (
        (parting.sum(axis=1) == 1)
        & ((gap > ROOM).sum(axis=1) == 1)
        & (np.abs(here - there) >= WORKING_APART - ROOM)
        & (here * there < 0)
        & (species[a] != species[b])
        & others.any(axis=1)
        & ~np.isin(axis, list(spoken_for))
    )
    found = np.flatnonzero(valid)
    known = workshop.known[a[found]] + workshop.known[b[found]]
    for n in found[np.argsort(-known, kind="stable")[:PAIRS]]:
        yield Pair(action, (int(a[n]), int(b[n])), int(axis[n]), tuple(int(o) for o in np.flatnonzero(others[n])))


def write(workshop: Workshop, case: Pair, rng: Random) -> Draft | None:
    """The question about a pair; which of the two comes first is drawn."""
    catalogue = workshop.catalogue
    rows = list(case.rows)
    rng.shuffle(rows)
    certified = [profile_row(catalogue, row) for row in rows]
    herbs = [herb(catalogue, row) for row in rows]
    first, second = (shown["label"] for shown in herbs)
    right = true_statement(certified, case.axis)
    reverse = turned(right)
    open_axes = [axis for axis in case.others if AXES[axis] not in MEANT.get(case.action, ())]
    wrong = f"{AXES[rng.choice(open_axes or case.others)]}{rng.choice('+-')}"
    slugs = [right, reverse, wrong, turned(wrong)]
    rng.shuffle(slugs)
    number = rng.randrange(len(STEMS))
    parts = [row["part"] for row in certified]
    term = catalogue.actions[case.action]
    return {
        "stem": STEMS[number].format(first=inset(first), second=inset(second), plural=term.plural),
        "options": [
            {"slug": slug, "label": statement(slug, first, second), "fault": fault_of(slug, right)} for slug in slugs
        ],
        "key": slugs.index(right),
        "because": [_reasons(certified, right, wrong, rng)],
        "subject": {"pair": parts, "action": case.action, "herbs": herbs},
        "words": {"class": term.plural},
        "known": fame(workshop, parts),
        "certificate": {"rows": certified},
        "skeleton": f"{NAME}:{number}:{case.action}:{'+'.join(sorted(parts))}",
        "sources": {part: sorted(workshop.sources_of(part, case.action, (case.axis,))) for part in parts},
    }


def true_statement(rows: Sequence[Mapping[str, Any]], axis: int) -> str:
    """The statement that holds of two rows on an axis: "temperature+" where the first warms and the second cools."""
    return f"{AXES[axis]}{'+' if rows[0]['value'][axis] > rows[1]['value'][axis] else '-'}"


def turned(slug: str) -> str:
    """The reverse of a statement."""
    return slug[:-1] + ("-" if slug.endswith("+") else "+")


def possible(rows: Sequence[Mapping[str, Any]], slug: str) -> bool:
    """Whether a statement is true somewhere in the intervals."""
    axis, sign = AXES.index(slug[:-1]), sign_of(slug[-1])
    first, second = rows if sign > 0 else (rows[1], rows[0])
    return bool(first["high"][axis] > 0 and second["low"][axis] < 0)


def statement(slug: str, first: str, second: str) -> str:
    """A statement in words: "ginger root warms and sage leaf cools"."""
    axis, sign = slug[:-1], sign_of(slug[-1])
    return f"{clause(first, axis, sign)} and {clause(second, axis, -sign)}"


def fault_of(slug: str, right: str) -> str | None:
    """What is wrong with a statement, None with the true one."""
    if slug == right:
        return None
    return REVERSED if slug == turned(right) else WRONG[slug[:-1]]


def _reasons(rows: Sequence[Mapping[str, Any]], right: str, wrong: str, rng: Random) -> list[Reason]:
    """Which of the two answers which tissue, by each of the statements; and what they share, or the class taken for a reason."""
    shared = [
        f"alike:{axis}{'+' if rows[0]['low'][number] > 0 else '-'}"
        for number, axis in enumerate(AXES)
        if all(row["low"][number] > 0 for row in rows) or all(row["high"][number] < 0 for row in rows)
    ]
    found = [
        (f"calls:{right}", DECISIVE),
        # Like for like: the herb's own quality sought in the tissue.
        (f"calls:{turned(right)}", MISCONCEPTION),
        (f"calls:{wrong}", FALSE),
        (f"calls:{turned(wrong)}", FALSE),
        rng.choice(
            [
                (rng.choice(shared) if shared else "class", TRUE),
                (f"name:{rng.randrange(len(NAME_FOR_REASON))}", MISCONCEPTION),
            ]
        ),
    ]
    rng.shuffle(found)
    return [{"code": code, "status": status} for code, status in found]


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence of a reason; the same whatever was chosen."""
    kind, _, rest = code.partition(":")
    plural = item["words"]["class"]
    if kind == "class":
        return CLASS.format(plural=plural)
    if kind == "name":
        return NAME_FOR_REASON[int(rest)].format(plural=plural)
    axis, sign = rest[:-1], sign_of(rest[-1])
    one, other = answered(axis, sign), answered(axis, -sign)
    if kind == "alike":
        return capital(ALIKE.format(one=one, does=BARE[pole(axis, sign)]))
    first, second = (shown["label"] for shown in item["subject"]["herbs"])
    return capital(CALLS.format(one=one, other=other, first=first, second=second))


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of the key does not hold by the figures of the two rows: gaps axis by axis, and every statement by itself."""
    rows, subject = item["certificate"]["rows"], item["subject"]
    parts = [row["part"] for row in rows]
    if len(rows) != 2 or parts != subject["pair"] or parts != [shown["part"] for shown in subject["herbs"]]:
        return ["The certificate is of other herbs."]
    first, second = rows
    wrong = [
        f"{row['part']}: the working value on {axis} lies outside its interval."
        for row in rows
        for number, axis in enumerate(AXES)
        if not row["low"][number] <= row["value"][number] <= row["high"][number]
    ]
    gaps = [max(first["low"][n] - second["high"][n], second["low"][n] - first["high"][n]) for n in range(len(AXES))]
    parting = [n for n, gap in enumerate(gaps) if gap > ROUNDING_ERROR]
    if len(parting) != 1 or gaps[parting[0]] < APART - ROUNDING_ERROR:
        return [*wrong, f"They lie apart on {[AXES[n] for n in parting]}, not by a degree on one axis."]
    here, there = first["value"][parting[0]], second["value"][parting[0]]
    if here * there >= 0 or abs(here - there) < WORKING_APART - ROUNDING_ERROR:
        wrong.append(f"On {AXES[parting[0]]} they work at {here} and {there}, not two degrees apart and contrary.")
    right = true_statement(rows, parting[0])
    slugs = [option["slug"] for option in item["options"]]
    if slugs[item["key"]] != right or turned(right) not in slugs:
        wrong.append(f"The true statement {right} is not the key, or its reverse is not offered.")
    if (
        len(set(slugs)) != 4
        or len({slug[:-1] for slug in slugs}) != 2
        or {turned(slug) for slug in slugs} != set(slugs)
    ):
        wrong.append("There are not two pairs of contrary statements, about the axis they part on and about one other.")
    labels = [shown["label"] for shown in subject["herbs"]]
    for option in item["options"]:
        slug = option["slug"]
        if slug != right and possible(rows, slug):
            wrong.append(f"{slug}: another statement may be true.")
        if option["fault"] != fault_of(slug, right):
            wrong.append(f"{slug}: its fault is not {option['fault']!r}.")
        if option["label"] != statement(slug, *labels):
            wrong.append(f"{slug}: it is worded as another statement.")
    if [reason["code"] for reason in item["because"][0] if reason["status"] == DECISIVE] != [f"calls:{right}"]:
        wrong.append("What decides is not the quality on which they part.")
    return wrong
