"""best-fit: which herb of this action class suits this presentation?

Valid only if the key *suits* over its whole interval, under any weights within 30 % and half a degree of doubt on any one
axis; no distractor suits anywhere under the same; and a distractor that may partly suit stays below the key by .10.
"""

from collections.abc import Iterator, Mapping
from random import Random

import numpy as np
from numpy.typing import NDArray

from herbs.engine import Catalogue
from lessons.engine import people
from lessons.engine.alike import kin
from lessons.engine.audit import uneven
from lessons.engine.because import say_in
from lessons.engine.certificate import recheck_best_fit
from lessons.engine.constraints import Constraints
from lessons.engine.distractors import Candidate, choose_distractors
from lessons.engine.drafts import (
    Case,
    Draft,
    option_reasons,
)
from lessons.engine.drawing import draw_case, judged_draft, may_be_key, offered_rows, tellings
from lessons.engine.faults import FAULTS, LACKS_ACTION, PALLIATES, TOO_STRONG, TOO_WEAK, UNSAFE, applicable
from lessons.engine.proof import SUITS, Proof
from lessons.engine.workshop import Workshop

NAME = "best-fit"
TITLE = "Best fit"
RESPONSE = "choose"
FINITE = PANEL = False
CAUTION_CHANCE = 0.3  # how often the person has something that a caution turns on
# What a distractor is worth, in thousandths: its fault (rare ones more, so that every one is met), how near it lies to the key
# on the axes, how widely it is spoken of, and a share of chance, so that the same case does not always show the same herbs.
FAULT_WORTH = {TOO_STRONG: 900, PALLIATES: 600, LACKS_ACTION: 500, TOO_WEAK: 300, UNSAFE: 700}
NEARNESS, FAMILIARITY, CHANCE = 400, 300, 1000
FARTHEST = 16.0  # the sum of four axes on which two herbs are four degrees apart is far enough to count as farthest
STEMS = (
    "Which of these {plural} suits this presentation best?",
    "Which of these four {plural} fits here?",
    "Which of these {plural} would you think of first here?",
)


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing within the constraints can be proved."""
    for drawn in draw_case(workshop, constraints, rng):
        catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
        chosen = _choose_options(workshop, catalogue, case, proof, constraints, rng)
        if chosen is None:
            continue
        key, faults, word = chosen
        for order, told in tellings(workshop, drawn, [key, *faults], rng, word=word):
            yield judged_draft(
                workshop, drawn, told, order, stem=rng.choice(STEMS), key=order.index(key),
                reasons=option_reasons(catalogue, proof, case, order, faults, told, rng), faults=faults,
            )  # fmt: skip


def _choose_options(
    workshop: Workshop, catalogue: Catalogue, case: Case, proof: Proof, constraints: Constraints, rng: Random
) -> tuple[int, dict[int, str], str | None] | None:
    """A key, the fault of each distractor by row, and the word that makes one of them unsafe."""
    offered = offered_rows(catalogue, case, proof, constraints)
    held = catalogue.unsafe_for(case.asking.holds)
    keys = [int(row) for row in np.flatnonzero(proof.sure & offered & ~held) if may_be_key(catalogue, case, int(row))]
    if not keys:
        return None
    key = rng.choice(keys)
    # Two of one genus, one of them right, would draw the eye.
    genera = workshop.genera(catalogue)
    apart = genera != genera[key]
    faults = {
        row: fault
        for row in np.flatnonzero(proof.clear_of(key) & offered & apart).tolist()
        if (fault := _fault(proof, row))
    }
    word = _word(workshop, catalogue, case, proof, key, rng) if rng.random() < CAUTION_CHANCE else None
    unsafe = held | catalogue.unsafe_for([word] if word else [])
    for row in np.flatnonzero(proof.listed & offered & unsafe & apart).tolist():
        faults[row] = UNSAFE
    picked = choose_distractors(candidates(workshop, catalogue, proof, key, faults, rng))
    if picked is None or uneven([catalogue.rows[row].label for row in (key, *(c.row for c in picked))]):
        return None
    if word is not None and not any(catalogue.unsafe[c.row, catalogue.word_index[word]] for c in picked):
        word = None
    return key, {c.row: FAULTS[c.fault] for c in picked}, word


def _fault(proof: Proof, row: int) -> str:
    """The gravest fault of a row, "" when nothing can be named."""
    if row not in proof.faults:
        proof.faults[row] = next(iter(applicable(proof, row)), "")
    return proof.faults[row]


def candidates(
    workshop: Workshop, catalogue: Catalogue, proof: Proof, key: int, faults: Mapping[int, str], rng: Random
) -> list[Candidate]:
    """Every row that may be a distractor with its worth: share of chance, rarity of its fault, nearness to the key, fame."""
    if not faults:
        return []
    effects = proof.table.effects
    known = workshop.known_of
    species: dict[str, int] = {}
    gaps: NDArray[np.float64] = np.abs(effects[list(faults)] - effects[key]).sum(axis=1)
    return [
        Candidate(
            row,
            species.setdefault(catalogue.rows[row].latin, len(species)),
            FAULTS.index(fault),
            FAULT_WORTH.get(fault, 0)
            + int(NEARNESS * max(0.0, 1 - gap / FARTHEST))
            + int(FAMILIARITY * known.get(catalogue.rows[row].slug, 0.0))
            + int(rng.random() * CHANCE),
        )
        for (row, fault), gap in zip(faults.items(), gaps.tolist(), strict=True)
    ]


def _word(workshop: Workshop, catalogue: Catalogue, case: Case, proof: Proof, key: int, rng: Random) -> str | None:
    """A word that makes a listed herb unsafe and not the key; one that would otherwise suit is sought first."""
    cautioned = workshop.cautioned(catalogue)
    # A word on which the key has any caution, even a mild one, or on something that may go with it unsaid (as water tablets with
    # a weak heart), would make the right answer doubtful.
    doubtful = {other for other, column in catalogue.word_index.items() if cautioned[key, column]}
    drawable = people.drawable(workshop.scenery, case.asking, case.form.pattern)
    words = [
        word.slug for word in drawable if word.slug in catalogue.word_index and doubtful.isdisjoint(kin(word.slug))
    ]
    if not words:
        return None
    tempting = proof.listed & proof.doubted.possible[:, SUITS]
    first = [w for w in words if (catalogue.unsafe[:, catalogue.word_index[w]] & tempting).any()]
    any_listed = [w for w in words if (catalogue.unsafe[:, catalogue.word_index[w]] & proof.listed).any()]
    pool = first or any_listed
    return rng.choice(pool) if pool else None


recheck = recheck_best_fit
say = say_in
