"""How cost grows with the size of the materia medica, on synthetic parts: real ones with their degrees moved a little."""

import json
import time
from dataclasses import dataclass, replace
from random import Random

from herbs.catalogue import MateriaMedica, action_terms, derived_rules, site_graph
from herbs.engine import Catalogue, PartRecord, TeachingSet, compile_catalogue
from herbs.models import Term
from lessons.engine import NoValidItemError, Prover, Scenery, Workshop, frozen, make
from lessons.engine.families import best_fit

LIMIT = 4.0


@dataclass(frozen=True)
class Step:
    """Seconds to compile a catalogue of ``parts`` parts, and items a second made from it."""

    parts: int
    compile_seconds: float
    items_per_second: float


def synthetic(parts: list[PartRecord], count: int, rng: Random) -> list[PartRecord]:
    """``count`` invented parts: copies of real ones, each degree moved by at most one."""

    def moved(part: PartRecord, number: int) -> PartRecord:
        statements = tuple(
            replace(s, amount=max(-4.0, min(4.0, s.amount + rng.choice((-1, 0, 0, 1)))))
            if s.predicate == "degree"
            else s
            for s in part.statements
        )
        name = f"{part.slug}-{number}"
        return PartRecord(
            name, part.label, f"{part.latin} {number}", part.part, part.usual_form, statements, part.marks
        )

    drawn = rng.sample(parts, len(parts))
    return [moved(drawn[number % len(drawn)], number) for number in range(count)]


def compiled(medica: MateriaMedica, parts: list[PartRecord], teaching_set: TeachingSet) -> tuple[Catalogue, float]:
    """A catalogue of some parts, and the seconds it took to compile."""
    start = time.perf_counter()
    catalogue = compile_catalogue(
        parts,
        teaching_set,
        site_graph(medica.terms),
        action_terms(medica.terms),
        derived_rules(medica.terms),
        list(medica.terms[Term.Kind.PERSON_WORD]),
        "bench",
    )
    return catalogue, time.perf_counter() - start


def measure(
    medica: MateriaMedica, scenery: Scenery, teaching_set: TeachingSet, parts: int, *, warm: int = 500, count: int = 400
) -> Step:
    """Compile ``parts`` synthetic parts and time the making of questions from them in steady state."""
    parts_made = synthetic(list(medica.parts.values()), parts, Random(parts))
    catalogue, spent = compiled(medica, parts_made, teaching_set)
    records = {part.slug: part for part in parts_made}
    workshop = Workshop(catalogue, scenery, Prover(catalogue), records, medica.heard)
    made, begin = 0, time.perf_counter()
    for seed in range(1, warm + count + 1):
        if seed == warm + 1:
            made, begin = 0, time.perf_counter()
        try:
            json.dumps(frozen(make(workshop, best_fit.NAME, seed=seed)))
            made += 1
        except NoValidItemError:
            continue  # a small synthetic class may hold no provable question; the time it took counts
    return Step(parts, spent, made / (time.perf_counter() - begin))
