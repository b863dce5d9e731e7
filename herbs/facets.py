"""What the materia medica can be filtered by: one array of truths for each choice, made once for each compiled set."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from .catalogue import MateriaMedica
from .models import Claim, Part, Term, Tradition

Truths = npt.NDArray[np.bool_]
PLAIN = 2 / 3  # a place or an action that a part has at least plainly
# Words for the sides of the four axes, as a kind has them.
KINDS = {
    "warming": (0, 1), "cooling": (0, -1), "moistening": (1, 1), "drying": (1, -1), "tightening": (2, 1),
    "relaxing": (2, -1), "stirring": (3, 1), "quieting": (3, -1),
}  # fmt: skip
MAIN_ACTIONS = 3


@dataclass(frozen=True)
class Entry:
    """A part as it stands in the results."""

    row: int
    slug: str
    label: str
    latin: str
    herb: str
    marks: tuple[str, ...]
    actions: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Facets:
    """Every part in its usual form, with the choices of each filter: {filter: {choice: (name, truths over the parts)}}."""

    entries: tuple[Entry, ...]
    values: npt.NDArray[np.float64]
    choices: Mapping[str, Mapping[str, tuple[str, Truths]]]
    herbs: Mapping[str, Truths]

    def matching(
        self, wanted: Mapping[str, Sequence[str]], herbs: Iterable[str] | None, at: tuple[int, int] | None
    ) -> Truths:
        """Parts that meet every filter (each choice of one filter must hold), belong to the herbs, and lie at a point.

        ``at`` is a whole degree of temperature and moisture; a part lies there when it rounds to it.
        """
        held: Truths = np.ones(len(self.entries), dtype=bool)
        for name, chosen in wanted.items():
            for choice in chosen:
                held &= self.choices[name][choice][1]
        if herbs is not None:
            found: Truths = np.zeros(len(self.entries), dtype=bool)
            for herb in herbs:
                if herb in self.herbs:
                    found |= self.herbs[herb]
            held &= found
        if at is not None:
            held &= (self.points == at).all(axis=1)
        return held

    @cached_property
    def points(self) -> npt.NDArray[np.int_]:
        """The whole degrees of temperature and moisture that each part lies at."""
        return np.asarray(np.round(self.values[:, :2]), dtype=int)


@lru_cache(maxsize=4)
def facets(medica: MateriaMedica) -> Facets:
    """The facets of a compiled set. Three queries when they are made."""
    catalogue = medica.catalogue
    rows = [number for number, row in enumerate(catalogue.rows) if row.is_usual]
    place = {catalogue.rows[number].part_slug: spot for spot, number in enumerate(rows)}
    parts = {part.slug: part for part in Part.objects.for_catalogue() if part.slug in place}
    values = catalogue.value[rows]
    strength = catalogue.strength[rows]
    choices: dict[str, dict[str, tuple[str, Truths]]] = defaultdict(dict)
    for action in medica.class_actions:
        column = catalogue.action_index[action.slug]
        held = (strength[:, column] > 0.5).any(axis=1) & catalogue.claims_action[rows, column]
        choices["action"][action.slug] = action.plural, held
    for word, (axis, side) in KINDS.items():
        choices["kind"][word] = word, values[:, axis] * side > 0
    for slug, number in catalogue.site_index.items():
        choices["site"][slug] = catalogue.graph[slug].name, catalogue.affinity[rows][:, number] >= PLAIN - 1e-9
    said = _said(place)
    for name, predicate, kind in (
        ("state", Claim.Predicate.STATE, Term.Kind.STATE),
        ("taste", Claim.Predicate.TASTE, Term.Kind.TASTE),
        ("season", Claim.Predicate.HARVEST, Term.Kind.SEASON),
    ):
        for slug, term in medica.terms[kind].items():
            choices[name][slug] = term["name"], _truths(said[predicate, slug], len(rows))
    for slug, title in Tradition.objects.order_by("pk").values_list("slug", "name"):
        choices["tradition"][slug] = title, _truths(said["tradition", slug], len(rows))
    for family in sorted({part.herb.family for part in parts.values()}):
        choices["family"][family] = family, np.array([parts[slug].herb.family == family for slug in place], dtype=bool)
    herbs = defaultdict(list)
    for slug, spot in place.items():
        herbs[parts[slug].herb.slug].append(spot)
    entries = tuple(_entry(medica, number, parts[catalogue.rows[number].part_slug]) for number in rows)
    # A choice that no part meets is no choice.
    kept = {name: {slug: pair for slug, pair in found.items() if pair[1].any()} for name, found in choices.items()}
    return Facets(entries, values, kept, {slug: _truths(spots, len(rows)) for slug, spots in herbs.items()})


def _entry(medica: MateriaMedica, number: int, part: Part) -> Entry:
    """A part with its chief classes, the strongest first."""
    catalogue = medica.catalogue
    strongest = catalogue.strength[number].max(axis=1)
    ranked = sorted(
        (-float(strongest[catalogue.action_index[action.slug]]), action.name)
        for action in medica.class_actions
        if strongest[catalogue.action_index[action.slug]] >= PLAIN - 1e-9
    )
    row = catalogue.rows[number]
    return Entry(
        number,
        row.slug,
        row.label,
        row.latin,
        part.herb.slug,
        row.marks,
        tuple(name for _, name in ranked[:MAIN_ACTIONS]),
    )


def _said(place: Mapping[str, int]) -> Mapping[tuple[str, str], list[int]]:
    """Where a subject is claimed of a part by anybody, and which traditions speak of it."""
    found: dict[tuple[str, str], list[int]] = defaultdict(list)
    claims: Any = Claim.objects.values_list("part__slug", "predicate", "subject", "source__tradition__slug")
    told = claims.filter(predicate__in=[Claim.Predicate.STATE, Claim.Predicate.TASTE, Claim.Predicate.HARVEST])
    for part, predicate, subject, _ in told:
        if part in place:
            found[predicate, subject].append(place[part])
    energetic = claims.filter(predicate__in=[Claim.Predicate.DEGREE, Claim.Predicate.ACTION, Claim.Predicate.AFFINITY])
    for part, tradition in energetic.order_by().values_list("part__slug", "source__tradition__slug").distinct():
        if part in place:
            found["tradition", tradition].append(place[part])
    return found


def _truths(spots: Iterable[int], size: int) -> Truths:
    held: Truths = np.zeros(size, dtype=bool)
    held[list(spots)] = True
    return held
