"""would-aggravate: which of these herbs of one action class would make this presentation worse?

Valid only if *aggravates* is the key's one possible verdict over its whole interval, also under half a degree of doubt on any
one axis; under the same *aggravates* is no possible verdict of the other three; nobody is unsafe; and all four are plainly of
the class. The key reaches the place and acts there, so that harm is what it does and not merely what it might do elsewhere.
"""

from collections.abc import Iterator, Mapping
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import SHIFT, SUITS_ACTION, SUITS_AFFINITY, VERDICTS, Catalogue, fit_of
from lessons.engine.audit import uneven
from lessons.engine.because import say_in
from lessons.engine.certificate import extremes, presentation_of
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import (
    Case,
    Draft,
    option_reasons,
)
from lessons.engine.drawing import draw_case, judged_draft, may_be_key, offered_rows, plainly_of, tellings
from lessons.engine.faults import AGAINST, applicable
from lessons.engine.proof import Proof
from lessons.engine.workshop import Workshop

NAME = "would-aggravate"
TITLE = "What would make it worse"
RESPONSE = "choose"
FINITE = PANEL = False
SUITS_HERE, PARTLY_SUITS, LITTLE_BEARING = "suits here", "partly suits", "little bearing"
FAULTS = {"suits": SUITS_HERE, "partly": PARTLY_SUITS, "little": LITTLE_BEARING}
AGGRAVATES = VERDICTS.index("aggravates")
HELPS = ("suits", "partly")
# Marked plants are left out of the options: a warning beside one would pass for the answer.
BARRED = frozenset({"toxic", "restricted"})
# What a distractor is worth, in thousandths: nearness to the key on the axes, how widely it is spoken of, a share of chance;
# less for each herb of the same verdict already taken.
NEARNESS, FAMILIARITY, CHANCE, SAME = 600, 300, 1000, 700
FARTHEST = 16.0  # the sum of four axes on which two herbs are four degrees apart
STEMS = (
    "Which of these {plural} would make this presentation worse?",
    "Which of these four {plural} would aggravate the state described?",
    "Which of these {plural} would work against what is needed here?",
    "Which of these four {plural} would do more harm than good here?",
)
# The action's name taken for a reason.
NAME_FOR_HARM = (
    "Any of the {class} would make this worse, so this one will.",
    "The case does not call for {action}, so giving one does harm.",
    "It is a strong {name}, and its strength is what does harm here.",
    "It is {action}, and one given here does harm whatever its kind.",
)


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing is asked about within the constraints."""
    for drawn in draw_case(workshop, constraints, rng):
        catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
        chosen = _choose(workshop, catalogue, case, proof, constraints, rng)
        if chosen is None:
            continue
        key, faults = chosen
        reasons_for = {key: applicable(proof, key)[0]} | dict.fromkeys(faults)
        for order, told in tellings(workshop, drawn, [key, *faults], rng):
            yield judged_draft(
                workshop, drawn, told, order, stem=rng.choice(STEMS), key=order.index(key),
                reasons=option_reasons(catalogue, proof, case, order, reasons_for, told, rng), faults=faults,
            )  # fmt: skip


def _choose(
    workshop: Workshop, catalogue: Catalogue, case: Case, proof: Proof, constraints: Constraints, rng: Random
) -> tuple[int, dict[int, str]] | None:
    """A key and the fault of each of three distractors by row; None when the pool has none for this case."""
    table, possible = proof.table, proof.doubted.possible
    held = catalogue.unsafe_for(case.asking.holds)
    offered = offered_rows(catalogue, case, proof, constraints) & plainly_of(catalogue, case.asking.action)
    offered &= proof.listed & ~held & np.array([not BARRED & set(row.marks) for row in catalogue.rows], dtype=bool)
    placed = (table.affinity >= SUITS_AFFINITY) & (table.action >= SUITS_ACTION)
    sure = possible[:, AGGRAVATES] & (possible.sum(axis=1) == 1) & placed & one_reason(proof)
    keys = np.flatnonzero(sure & offered)
    spared = [int(row) for row in np.flatnonzero(~possible[:, AGGRAVATES] & offered)]
    if not len(keys) or len(spared) < len(FAULTS):
        return None
    key = int(rng.choice(keys.tolist()))
    rows = [row for row in spared if may_be_key(catalogue, case, row)]
    picked = _distractors(workshop, catalogue, proof, key, rows, rng)
    if picked is None or uneven([catalogue.rows[row].label for row in (key, *picked)]):
        return None
    return key, {row: FAULTS[VERDICTS[table.verdict[row]]] for row in picked}


def one_reason(proof: Proof) -> NDArray[np.bool_]:
    """(P,) rows that do harm in one way: by their qualities, or by an opposed action and not by their qualities too."""
    needed = [axis for axis, need in enumerate(proof.table.presentation.pattern.need) if need]
    against = (proof.table.raw[:, needed] <= AGAINST).any(axis=1)
    return np.asarray(against != proof.table.opposed)


def _distractors(
    workshop: Workshop, catalogue: Catalogue, proof: Proof, key: int, rows: list[int], rng: Random
) -> list[int] | None:
    """Three rows of different genera, none of the key's, of as different verdicts as may be; one of them helps at least."""
    table, known = proof.table, workshop.known_of
    worth = {
        row: NEARNESS * max(0.0, 1 - float(np.abs(table.effects[row] - table.effects[key]).sum()) / FARTHEST)
        + FAMILIARITY * known.get(catalogue.rows[row].slug, 0.0)
        + rng.randrange(CHANCE)
        for row in rows
    }
    genus = {row: catalogue.rows[row].latin.partition(" ")[0] for row in (key, *rows)}
    verdict = {row: VERDICTS[table.verdict[row]] for row in rows}
    picked: list[int] = []
    while len(picked) < len(FAULTS):
        taken = {genus[row] for row in (key, *picked)}
        rest = [row for row in rows if genus[row] not in taken and (picked or verdict[row] in HELPS)]
        if not rest:
            return None
        met = [verdict[row] for row in picked]
        picked.append(max(rest, key=lambda row: (worth[row] - SAME * met.count(verdict[row]), row)))
    return picked


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What in an item's certificate does not hold, by the scalar arithmetic at every candidate for an extreme."""
    presentation = presentation_of(item)
    rows = item["certificate"]["rows"]
    if [row["part"] for row in rows] != [option["part"] for option in item["options"]]:
        return ["The certificate is of other options."]
    wrong: list[str] = []
    for number, (row, option) in enumerate(zip(rows, item["options"], strict=True)):
        part, verdicts = row["part"], extremes(row, presentation, SHIFT)[0]
        if not row["listed"]:
            wrong.append(f"{part}: does not claim the action asked.")
        if presentation.person & set(row["unsafe"]):
            wrong.append(f"{part}: is unsafe for this person.")
        if BARRED & set(option["marks"]):
            wrong.append(f"{part}: a toxic or restricted plant is offered.")
        working = fit_of(
            tuple(row["value"]), row["affinity"], row["action"], presentation, opposed=row["opposed"]
        ).verdict
        if number == item["key"]:
            if verdicts != {"aggravates"}:
                wrong.append(f"{part}: the key does not aggravate everywhere ({', '.join(sorted(verdicts))}).")
            if min(row["affinity"] - SUITS_AFFINITY, row["action"] - SUITS_ACTION) < 0:
                wrong.append(f"{part}: the key does not act in this place.")
        elif "aggravates" in verdicts:
            wrong.append(f"{part}: a distractor may aggravate.")
        if option["fault"] != FAULTS.get(working):
            wrong.append(f"{part}: the fault is not that of its working verdict.")
    return wrong


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for, of one option."""
    kind, _, rest = code.partition(":")
    return NAME_FOR_HARM[int(rest)].format(**item["words"]) if kind == "name" else say_in(item, code, number)
