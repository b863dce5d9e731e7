"""Choosing distractors against CP-SAT's solve alone, on real cases: equal objective, and how many times faster."""

import time
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import combinations
from random import Random
from typing import Any

import numpy as np

from lessons.bank import QuestionMaker
from lessons.engine import Constraints
from lessons.engine.distractors import DIFFERENCES, WANTED, Candidate, choose_distractors, objective
from lessons.engine.drawing import draw_case, offered_rows
from lessons.engine.families.best_fit import candidates
from lessons.engine.faults import applicable

LIMIT = 10.0  # times faster


@dataclass(frozen=True)
class Race:
    """Cases, those with equal objective, and median seconds of each: ours whole, the other's solve without building."""

    cases: int
    equal: int
    ours: float
    theirs: float

    @property
    def faster(self) -> float:
        """How many times faster ours is."""
        return self.theirs / self.ours


def is_available() -> bool:
    """Whether the solver of the bench group is installed."""
    return find_spec("ortools") is not None


def cases(maker: QuestionMaker, count: int) -> list[list[Candidate]]:
    """Candidates of real presentations, at least three each."""
    found: list[list[Candidate]] = []
    rng, workshop, nothing = Random(1), maker.workshop, Constraints()
    while len(found) < count:
        for drawn in draw_case(workshop, nothing, rng):
            proof, catalogue = drawn.proof, drawn.catalogue
            keys = np.flatnonzero(proof.sure)
            if not len(keys):
                continue
            key = int(rng.choice(keys.tolist()))
            rows = np.flatnonzero(proof.clear_of(key) & offered_rows(catalogue, drawn.case, proof, nothing)).tolist()
            faults = {row: named[0] for row in rows if (named := applicable(proof, row))}
            offered = candidates(workshop, catalogue, proof, key, faults, rng)
            if choose_distractors(offered) is not None:
                found.append(offered)
            if len(found) == count:
                break
    return found


def solve(offered: list[Candidate]) -> tuple[int, float]:
    """The best objective by CP-SAT with one worker, and the seconds of its solve alone."""
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    taken = [model.new_bool_var(str(number)) for number in range(len(offered))]
    model.add(sum(taken) == WANTED)
    terms = [candidate.worth * var for candidate, var in zip(offered, taken, strict=True)]
    for one, other in combinations(range(len(offered)), 2):
        if offered[one].species == offered[other].species:
            model.add_at_most_one([taken[one], taken[other]])
            continue
        worth = int(DIFFERENCES[offered[one].fault, offered[other].fault])
        if worth:
            both = model.new_bool_var(f"{one}-{other}")
            model.add_implication(both, taken[one])
            model.add_implication(both, taken[other])
            terms.append(worth * both)
    model.maximize(sum(terms))
    solver: Any = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    start = time.perf_counter()
    solver.solve(model)
    return int(solver.objective_value), time.perf_counter() - start


def measure(maker: QuestionMaker, count: int = 1000) -> Race:
    """Race both over ``count`` cases."""
    offered = cases(maker, count)
    ours, theirs, equal = [], [], 0
    for case in offered:
        start = time.perf_counter()
        chosen = choose_distractors(case)
        ours.append(time.perf_counter() - start)
        best, spent = solve(case)
        theirs.append(spent)
        equal += chosen is not None and objective(chosen) == best
    return Race(count, equal, float(np.median(ours)), float(np.median(theirs)))
