"""Drawing presentations, with their proofs over a pool of the class; and items whose options are herbs judged for one."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXIS_INDEX, ROUNDING, Catalogue

from .because import Reason
from .constraints import Constraints
from .drafts import Case, Draft, Told, disputed, even_constitution, judged_herb, judged_row, sources_on, tell, turns_on
from .errors import NoValidItemError
from .proof import Proof
from .scenery import Asking, PatternForm, Scenery
from .workshop import PLAIN, Workshop

ATTEMPTS = 400
WORDINGS = 8  # tries at findings and vignette before another presentation is drawn
PATIENCE = 80  # presentations of one action class tried before another class is drawn
CONSTITUTION_CHANCE = 0.15
BARRED_KEYS = {"restricted"}


@dataclass(frozen=True)
class Drawn:
    """A case with the proof over one pool of its class; row numbers are those of ``catalogue``, which is the pool."""

    case: Case
    catalogue: Catalogue
    proof: Proof


def within(scenery: Scenery, constraints: Constraints) -> tuple[list[Asking], list[PatternForm]]:
    """Askings and states within the constraints; NoValidItemError, with what to do, when there are none."""
    askings = [asking for asking in scenery.askings if constraints.admits(asking)]
    forms = [form for form in scenery.patterns if constraints.admits_state(form)]
    if not askings:
        raise NoValidItemError("Nothing is asked about that action and site. Choose another class or place.")
    if not forms:
        raise NoValidItemError("There is no such state. Choose another one, or any.")
    return askings, forms


def draw_case(
    workshop: Workshop, constraints: Constraints, rng: Random, *, constitution_chance: float = CONSTITUTION_CHANCE
) -> Iterator[Drawn]:
    """Presentations within the constraints, drawn class first, then place and state; at most ATTEMPTS of them.

    NoValidItemError when nothing is asked about such a class and place.
    """
    askings, forms = within(workshop.scenery, constraints)
    actions = sorted({asking.action for asking in askings})
    action = actions[0]
    for attempt in range(ATTEMPTS):
        if attempt % PATIENCE == 0:
            action = rng.choice(actions)
        asking = rng.choice([a for a in askings if a.action == action])
        form = rng.choice(forms)
        if form.slug in asking.left_out:
            continue
        constitution = even_constitution(form.pattern, rng, constitution_chance)
        pools = workshop.prover.pools(asking.action)
        pool = rng.randrange(len(pools))
        proof = workshop.prover(asking.site, asking.action, form.pattern, constitution, pool)
        yield Drawn(Case(asking, form, constitution), pools[pool], proof)


def tellings(
    workshop: Workshop, drawn: Drawn, rows: Sequence[int], rng: Random, *, word: str | None = None
) -> Iterator[tuple[list[int], Told]]:
    """The case told anew, up to WORDINGS times, each with the options in another order."""
    catalogue = drawn.catalogue
    words = turns_on(workshop.scenery, catalogue, rows)
    for _ in range(WORDINGS):
        order = list(rows)
        rng.shuffle(order)
        labels = [catalogue.rows[row].label for row in order]
        told = tell(workshop.scenery, drawn.case, rng, labels=labels, words=words, word=word)
        if told is not None:
            yield order, told


def judged_draft(
    workshop: Workshop, drawn: Drawn, told: Told, rows: Sequence[int], *,
    stem: str, key: int | list[int], reasons: tuple[list[list[Reason]], dict[str, Any]], faults: Mapping[int, str],
) -> Draft:  # fmt: skip
    """A draft whose options are herbs judged for a presentation, in the order of ``rows``; ``stem`` takes the class's plural,
    ``reasons`` come with their words."""
    case, catalogue, proof = drawn.case, drawn.catalogue, drawn.proof
    unsafe = catalogue.unsafe_for(told.presentation["person"])
    because, words = reasons
    return {
        "stem": stem.format(plural=catalogue.actions[case.asking.action].plural),
        "vignette": told.vignette,
        "presentation": told.presentation,
        "options": [
            judged_herb(catalogue, proof, row, unsafe=bool(unsafe[row]), fault=faults.get(row)) for row in rows
        ],
        "key": key,
        "because": because,
        "words": words,
        "certificate": {"rows": [judged_row(catalogue, proof, row, case.asking) for row in rows]},
        "skeleton": told.skeleton,
        "sources": sources_on(workshop, case, rows, catalogue),
    }


def plainly_of(catalogue: Catalogue, action: str) -> NDArray[np.bool_]:
    """(P,) rows that have an action plainly somewhere."""
    strengths = catalogue.strength[:, catalogue.action_index[action], :].max(axis=1)
    return np.asarray(strengths >= PLAIN - 10**-ROUNDING)


def offered_rows(catalogue: Catalogue, case: Case, proof: Proof, constraints: Constraints) -> NDArray[np.bool_]:
    """(P,) rows that may be options here: in scope, plainly of the class (or opposed to it), not disputed for such a state."""
    offered: NDArray[np.bool_] = plainly_of(catalogue, case.asking.action) | proof.table.opposed
    if case.asking.not_offered:
        offered = offered & ~disputed(catalogue, case)
    if constraints.scope is not None:
        offered = offered & np.array([constraints.admits_part(row.part_slug) for row in catalogue.rows], dtype=bool)
    return offered


def may_be_key(catalogue: Catalogue, case: Case, row: int) -> bool:
    """No restricted plant is a right answer, nor one whose derived action needs another state."""
    if BARRED_KEYS & set(catalogue.rows[row].marks):
        return False
    rule = catalogue.derived.get((row, case.asking.action, case.asking.site))
    if rule is None or rule.state is None:
        return True
    axis, sign = rule.state
    return case.form.pattern.degrees[AXIS_INDEX[axis]] * sign > 0
