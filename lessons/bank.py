"""The bridge from the materia medica to questions: one maker for each compiled catalogue."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from herbs.catalogue import MateriaMedica, materia_medica
from herbs.notes import part_notes
from herbs.source_report import taste_rules

from .engine import Constraints, Item, Prover, Scenery, Workshop, build_scenery, cases_of, make


@dataclass(frozen=True)
class QuestionMaker:
    """Generates items from one compiled materia medica; proofs are kept between items."""

    materia_medica: MateriaMedica
    workshop: Workshop

    @property
    def scenery(self) -> Scenery:
        """The vocabulary questions are written from."""
        return self.workshop.scenery

    @property
    def prover(self) -> Prover:
        """The proofs kept."""
        return self.workshop.prover

    def make(self, family: str, seed: int, constraints: Constraints | None = None) -> Item:
        """One item, opened. Raises UnknownFamilyError or NoValidItemError."""
        return make(self.workshop, family, seed=seed, constraints=constraints)

    def cases(self, family: str, constraints: Constraints | None = None) -> Sequence[Any]:
        """Every case of a finite family, in the order seeds run through them."""
        return cases_of(self.workshop, family, constraints)


def question_maker(teaching_set: str | None = None) -> QuestionMaker:
    """The maker for a teaching set (the default one when None)."""
    maker = _maker(materia_medica(teaching_set))
    _latest[teaching_set] = maker
    return maker


def kept_maker(teaching_set: str | None = None) -> QuestionMaker:
    """The maker that was used last for a teaching set, without asking the database whether its data are still the latest.

    For what hardly ever changes, such as which body system a site belongs to.
    """
    return _latest.get(teaching_set) or question_maker(teaching_set)


_latest: dict[str | None, QuestionMaker] = {}


@lru_cache(maxsize=8)
def _maker(medica: MateriaMedica) -> QuestionMaker:
    return maker_of(medica)


def maker_of(medica: MateriaMedica) -> QuestionMaker:
    """The maker for a materia medica at hand, such as one under a teaching set that is not saved."""
    workshop = Workshop(
        medica.catalogue, build_scenery(medica.terms), Prover(medica.catalogue), medica.parts, medica.heard,
        part_notes(), tuple(taste_rules(medica)), medica.terms,
    )  # fmt: skip
    return QuestionMaker(medica, workshop)
