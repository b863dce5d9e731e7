"""The bridge from the materia medica to questions: one maker for each compiled catalogue."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from herbs.catalogue import MateriaMedica, materia_medica

from .engine import Constraints, Prover, Scenery, build_scenery, generator


@dataclass(frozen=True)
class QuestionMaker:
    """Generates items from one compiled materia medica; proofs are kept between items."""

    materia_medica: MateriaMedica
    scenery: Scenery
    prover: Prover

    def make(self, family: str, seed: int, constraints: Constraints | None = None) -> dict[str, Any]:
        """One item with its sources. Raises UnknownFamilyError or NoValidItemError."""
        catalogue = self.materia_medica.catalogue
        item = generator(family)(catalogue, self.scenery, self.prover, seed=seed, constraints=constraints)
        item["sources"] = list(self._sources(item))
        for option in item["options"]:
            if option["marks"]:
                row = self.materia_medica.rows[option["part"]]
                option["status_note"] = self.materia_medica.status_notes[row.part_slug]
        return item

    def _sources(self, item: dict[str, Any]) -> Iterator[dict[str, Any]]:
        """The sources behind the figures of the options: citation, basis, and what each says of each part that bears here."""
        wanted = item["presentation"]
        axes = [axis for axis, entry in wanted["pattern"].items() if entry["degree"]]
        spoken: dict[str, dict[str, str]] = {}
        for option in item["options"]:
            for source, says in self.materia_medica.sayings(option["part"], wanted["action"], axes).items():
                spoken.setdefault(source, {})[option["part"]] = says
        for source, by_part in spoken.items():
            yield {"slug": source, **self.materia_medica.sources[source], "says": by_part}


def question_maker(teaching_set: str | None = None) -> QuestionMaker:
    """The maker for a teaching set (the default one when None)."""
    return _maker(materia_medica(teaching_set))


@lru_cache(maxsize=8)
def _maker(medica: MateriaMedica) -> QuestionMaker:
    return maker_of(medica)


def maker_of(medica: MateriaMedica) -> QuestionMaker:
    """The maker for a materia medica at hand, such as one under a teaching set that is not saved."""
    return QuestionMaker(medica, build_scenery(medica.terms), Prover(medica.catalogue))
