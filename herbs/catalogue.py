"""The only bridge from rows to the engine: profiles of a teaching set, compiled once and kept."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.db import connection, transaction

from .engine import (
    ENGINE_VERSION,
    ActionTerm,
    Catalogue,
    DerivedRule,
    PartRecord,
    Row,
    Site,
    SiteGraph,
    Statement,
    TeachingSet,
    compile_catalogue,
    pole,
)
from .models import Claim, Part, Release, Source, Term
from .models import TeachingSet as TeachingSetRow
from .teaching_sets import set_document

STRENGTHS = ("hardly an", "slight", "plain", "leading")
COMPUTED = (Claim.Predicate.DEGREE, Claim.Predicate.ACTION, Claim.Predicate.AFFINITY, Claim.Predicate.CAUTION)
UNSAFE_LEVELS, UNSAFE_REASONS = {"contraindicated", "avoid"}, {"harm-known", "harm-expected"}


class EmptyMateriaMedicaError(ImproperlyConfigured):
    """Nothing has been loaded yet."""


def degree_words(axis: str, value: float) -> str:
    """A degree in words and figures: "warms +2", "temperate in tone"."""
    if not value:
        return f"temperate in {axis}"
    return f"{pole(axis, value)} {value:+g}".replace("-", "\u2212")


@dataclass(frozen=True, eq=False)
class MateriaMedica:
    """A compiled catalogue with the vocabulary that pages and questions need: terms by kind, then by slug.

    ``sources`` holds citation and basis by slug; ``heard`` the sources whose claims are computed with (they decide or
    widen), in order; ``parts`` the statements behind each row. Equal only to itself, so that it can key a cache.
    """

    catalogue: Catalogue
    terms: Mapping[str, Mapping[str, dict[str, Any]]]
    sources: Mapping[str, dict[str, str]]
    heard: tuple[str, ...]
    parts: Mapping[str, PartRecord]
    status_notes: Mapping[str, str]
    teaching_set_name: str

    def sayings(self, row_slug: str, action: str, axes: Sequence[str]) -> dict[str, str]:
        """What each heard source says of a row on some axes and of one action, in words, in the sources' order."""
        row = self.rows[row_slug]
        said: dict[str, list[str]] = defaultdict(list)
        for statement in self.parts[row.part_slug].statements:
            if statement.form not in (None, row.form):
                continue
            if statement.predicate == "degree" and statement.subject in axes:
                said[statement.source].append(
                    degree_words(statement.subject, statement.amount) + self._where(statement.site)
                )
            elif statement.predicate == "action" and statement.subject == action:
                name = self.catalogue.actions[action].name
                said[statement.source].append(
                    f"{STRENGTHS[round(statement.amount)]} {name}{self._where(statement.site)}"
                )
        return {source: "; ".join(said[source]) for source in self.heard if source in said}

    def _where(self, site: str | None) -> str:
        return f" ({self.catalogue.graph[site].name})" if site else ""

    @cached_property
    def rows(self) -> dict[str, Row]:
        """Catalogue rows by slug."""
        return {row.slug: row for row in self.catalogue.rows}

    @property
    def class_actions(self) -> list[ActionTerm]:
        """The action classes that drills ask about, in the vocabulary's order."""
        return [action for action in self.catalogue.actions.values() if action.is_class]


def data_version() -> str:
    """The version of the loaded data; EmptyMateriaMedicaError, with what to do, when there is none."""
    version = Release.objects.order_by("-id").values_list("data_version", flat=True).first()
    if version is None:
        raise EmptyMateriaMedicaError("The materia medica is empty. Run: python manage.py load_materia_medica")
    return version


def materia_medica(teaching_set: str | None = None) -> MateriaMedica:
    """The materia medica under a teaching set (the default one when None), cached by revision and versions.

    Two queries when cached. Raises TeachingSet.DoesNotExist for an unknown slug.
    """
    version = data_version()
    sets = TeachingSetRow.objects.all()
    row = sets.get(slug=teaching_set) if teaching_set else sets.get(is_default=True)
    return _compiled(row.slug, row.revision, version, ENGINE_VERSION)


@lru_cache(maxsize=4)
def _compiled(slug: str, revision: int, version: str, engine_version: str) -> MateriaMedica:
    # One snapshot, so that a load in between cannot mix two releases.
    outermost = not connection.in_atomic_block
    with transaction.atomic():
        if connection.vendor == "postgresql" and outermost:
            connection.cursor().execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        return _compile(slug, data_version())


def _compile(slug: str, version: str) -> MateriaMedica:
    row = TeachingSetRow.objects.get(slug=slug)
    return _under(engine_teaching_set(row), row.name, version)


def draft_materia_medica(document: Mapping[str, Any]) -> MateriaMedica:
    """The materia medica under a teaching set that need not be saved (see ``teaching_sets.set_document``); compiled anew."""
    with transaction.atomic():
        return _under(engine_set_of(document, "draft", 0), document["name"], data_version())


def _under(teaching_set: TeachingSet, name: str, version: str) -> MateriaMedica:
    terms = vocabulary()
    records = part_records()
    catalogue = compile_catalogue(
        records,
        teaching_set,
        site_graph(terms),
        action_terms(terms),
        derived_rules(terms),
        list(terms[Term.Kind.PERSON_WORD]),
        version,
    )
    sources = {s.slug: {"citation": s.citation, "basis": s.basis} for s in Source.objects.all()}
    heard = teaching_set.sources("decides", "widens")
    return MateriaMedica(catalogue, terms, sources, heard, {part.slug: part for part in records}, _status_notes(), name)


def _status_notes() -> dict[str, str]:
    """Why a herb is marked toxic, restricted or at risk, by part slug."""
    marked = Part.objects.exclude(herb__status=[]).values_list("slug", "herb__status_note")
    return dict(marked)


def vocabulary() -> dict[str, dict[str, dict[str, Any]]]:
    """Every vocabulary term: {kind: {slug: {"slug", "name", ...details}}}. One query."""
    terms: dict[str, dict[str, dict[str, Any]]] = {kind: {} for kind in Term.Kind.values}
    for term in Term.objects.order_by("kind", "position"):
        terms[term.kind][term.slug] = {"slug": term.slug, "name": term.name, **term.details}
    return terms


def site_graph(terms: Mapping[str, Mapping[str, dict[str, Any]]]) -> SiteGraph:
    """The body-site graph of the vocabulary."""
    return SiteGraph(
        Site(site["slug"], site["name"], site["kind"], frozenset([*site.get("of", []), *site.get("serves", [])]))
        for site in terms[Term.Kind.SITE].values()
    )


def action_terms(terms: Mapping[str, Mapping[str, dict[str, Any]]]) -> dict[str, ActionTerm]:
    """Actions by slug; opposition holds both ways even where the file says it once."""
    entries = terms[Term.Kind.ACTION]
    opposed = defaultdict(set)
    for slug, entry in entries.items():
        for other in entry.get("opposed", []):
            opposed[slug].add(other)
            opposed[other].add(slug)
    return {
        slug: ActionTerm(
            slug, entry["name"], entry.get("plural", entry["name"]), frozenset(opposed[slug]), bool(entry.get("class"))
        )
        for slug, entry in entries.items()
    }


def derived_rules(terms: Mapping[str, Mapping[str, dict[str, Any]]]) -> list[DerivedRule]:
    """The rules that derive actions."""
    return [
        DerivedRule(
            rule["source"],
            rule["site"],
            rule["target"],
            rule["name"],
            rule.get("reason", ""),
            (rule["state"]["axis"], rule["state"]["sign"]) if "state" in rule else None,
        )
        for rule in terms[Term.Kind.DERIVED_RULE].values()
    ]


def engine_teaching_set(row: TeachingSetRow) -> TeachingSet:
    """A stored teaching set for the engine."""
    return engine_set_of(set_document(row), row.slug, row.revision)


def engine_set_of(document: Mapping[str, Any], slug: str, revision: int) -> TeachingSet:
    """A teaching set with the sources of each tradition in order: the tradition's place, then the source's."""
    roles = {entry["tradition"]: (place, entry["role"]) for place, entry in enumerate(document["roles"])}
    ranked = sorted(
        (roles[tradition][0], position, source, roles[tradition][1])
        for source, tradition, position in Source.objects.values_list("slug", "tradition__slug", "position")
        if tradition in roles
    )
    return TeachingSet(
        slug,
        tuple((source, role) for _, _, source, role in ranked),
        {(o["row"], o["axis"]): o["value"] for o in document["overrides"]},
        revision,
    )


def part_records() -> list[PartRecord]:
    """Every part with its computable statements. Two queries."""
    statements: dict[int, list[Statement]] = defaultdict(list)
    claims = Claim.objects.filter(predicate__in=COMPUTED).order_by("part_id", "position").values_list(
        "part_id", "predicate", "subject", "amount", "source__slug", "form", "site", "level", "reason"
    )  # fmt: skip
    for part, predicate, subject, amount, source, form, site, level, reason in claims:
        if predicate == Claim.Predicate.CAUTION:
            amount = float(level in UNSAFE_LEVELS and reason in UNSAFE_REASONS)
        statements[part].append(
            Statement(
                predicate,  # type: ignore[arg-type]
                subject,
                float(amount or 0),
                source,
                form or None,
                site or None,
            )
        )
    return [
        PartRecord(
            part.slug,
            part.label,
            part.herb.latin,
            part.name,
            part.usual_form,
            tuple(statements[part.pk]),
            tuple(part.herb.status),
        )
        for part in Part.objects.for_catalogue()
    ]
