"""The words that forms offer: names of the vocabulary, never slugs."""

from collections.abc import Iterable
from functools import cached_property
from typing import Any

from herbs.claim_lines import STRENGTHS
from herbs.editing import stored_bundle
from herbs.engine import AXES
from herbs.engine.words import capital
from herbs.loading import Bundle
from herbs.loading.herb_files import SUBJECT_KIND, UNITS
from herbs.models import Claim, Herb, Part, Term

Choice = tuple[str, str]
Choices = list[Any]  # choices, or groups of choices
P = Claim.Predicate
PREDICATES = {
    P.DEGREE: "Degree on an axis",
    P.ACTION: "Action",
    P.AFFINITY: "Affinity for a place",
    P.TASTE: "Taste",
    P.CONSTITUENT: "Constituent",
    P.STATE: "Tissue state it suits",
    P.INDICATION: "Indication",
    P.CAUTION: "Caution",
    P.PREPARATION: "Preparation",
    P.HABITAT: "Habitat",
    P.SOWING: "Sowing",
    P.HARVEST: "Harvest",
    P.DRYING: "Drying and keeping",
    P.LOOKALIKE: "Look-alike",
    P.CONSERVATION: "Conservation",
    P.CORRESPONDENCE: "Correspondence (lore)",
}
SUBJECTS = {
    P.DEGREE: "Axis", P.ACTION: "Action", P.AFFINITY: "Place", P.TASTE: "Taste", P.CONSTITUENT: "Constituent",
    P.STATE: "State", P.INDICATION: "Indication, in your own words", P.CAUTION: "For whom", P.PREPARATION: "Preparation",
    P.HABITAT: "Where it grows", P.SOWING: "How it is raised", P.HARVEST: "Season", P.DRYING: "How it is dried and kept",
    P.LOOKALIKE: "What it may be taken for", P.CONSERVATION: "How it stands in the wild", P.CORRESPONDENCE: "Correspondence",
}  # fmt: skip
# Placeholders, by what is to be chosen.
CHOOSE: Choice = ("", "Choose …")
LEVELS = [
    ("contraindicated", "contraindicated"),
    ("avoid", "avoid"),
    ("monitor", "monitor"),
    ("interaction", "interaction"),
]
REASONS = [("harm-known", "harm is known"), ("harm-expected", "harm is expected"), ("no-data", "there are no data")]
SEEN = [("", "not a text"), ("table", "read in a table of it"), ("memory", "from memory, to be verified")]


class Words:
    """Choices for every field, read from the vocabulary once. Three queries when the first is asked for."""

    @cached_property
    def bundle(self) -> Bundle:
        """The vocabulary that claims are checked against."""
        return stored_bundle()

    def terms(self, kind: str, *, ordered: bool = False) -> list[Choice]:
        """The terms of a kind by name, or in the vocabulary's own order."""
        found = [(str(term["slug"]), str(term["name"])) for term in self.bundle.terms[kind]]
        return found if ordered else sorted(found, key=lambda choice: choice[1].lower())

    @cached_property
    def sites(self) -> Choices:
        """Places grouped by system; tissues that serve several stand last. An organ of two systems stands under the first."""
        groups: dict[str, list[Choice]] = {}
        names = {site["slug"]: str(site["name"]) for site in self.bundle.terms[Term.Kind.SITE]}
        for site in self.bundle.terms[Term.Kind.SITE]:
            system = site["slug"] if site["kind"] == "system" else next(iter(site.get("of") or []), "")
            groups.setdefault(capital(names.get(system, "tissues")), []).append((site["slug"], str(site["name"])))
        return list(groups.items())

    @cached_property
    def sources(self) -> Choices:
        """Sources by citation, grouped by tradition."""
        names = {tradition["slug"]: str(tradition["name"]) for tradition in self.bundle.traditions}
        groups: dict[str, list[Choice]] = {}
        for source in self.bundle.sources:
            groups.setdefault(capital(names[source["tradition"]]), []).append(
                (source["slug"], _short(source["citation"]))
            )
        return list(groups.items())

    @cached_property
    def usual_forms(self) -> list[Choice]:
        """How a part is usually taken: forms and preparations."""
        both = dict([*self.terms(Term.Kind.FORM, ordered=True), *self.terms(Term.Kind.PREPARATION, ordered=True)])
        return list(both.items())

    @cached_property
    def common_practice(self) -> str:
        """The slug of the source that stands for common practice; empty when there is none."""
        return next((str(s["slug"]) for s in self.bundle.sources if s["basis"] == "common-practice"), "")

    @cached_property
    def families(self) -> list[str]:
        """Plant families in use."""
        return sorted(Herb.objects.order_by().values_list("family", flat=True).distinct())

    @cached_property
    def part_names(self) -> list[str]:
        """Names of parts in use."""
        return sorted(Part.objects.order_by().values_list("name", flat=True).distinct())

    def is_published(self, slug: str) -> bool:
        """Whether a source is a published text, which is read or recalled."""
        return any(source["slug"] == slug and source["basis"] == "published" for source in self.bundle.sources)

    def citation(self, slug: str) -> str:
        """A source as it is cited; its slug when it is unknown."""
        return next((str(s["citation"]) for s in self.bundle.sources if s["slug"] == slug), slug)

    def choices(self, field: str, predicate: str) -> Choices | None:
        """The choices of a claim's field, or None where it is a text or a number."""
        match field:
            case "subject":
                return self._subjects(predicate)
            case "amount":
                return _degrees() if predicate == P.DEGREE else _strengths()
            case "level":
                return [CHOOSE, *LEVELS]
            case "reason":
                return [CHOOSE, *REASONS]
            case "menstruum":
                return [("", "not said"), *self.terms(Term.Kind.MENSTRUUM, ordered=True)]
            case "unit":
                return [("", "not said"), *[(unit, unit) for unit in sorted(UNITS)]]
            case "site":
                return [("", "the part as a whole"), *self.sites]
            case "form":
                return [("", "any form"), *self.terms(Term.Kind.FORM, ordered=True)]
            case "source":
                return [CHOOSE, *self.sources]
            case "seen":
                return SEEN
        return None

    def _subjects(self, predicate: str) -> Choices | None:
        if predicate == P.DEGREE:
            return [CHOOSE, *[(axis, axis) for axis in AXES]]
        if predicate == P.AFFINITY:
            return [CHOOSE, *self.sites]
        if predicate == P.CORRESPONDENCE:
            return [CHOOSE, *_grouped(self.bundle.terms[Term.Kind.CORRESPONDENCE])]
        kind = SUBJECT_KIND.get(P(predicate)) if predicate in P.values else None
        in_order = kind in (Term.Kind.SEASON, Term.Kind.SOWING, Term.Kind.STATE)
        return [CHOOSE, *self.terms(kind, ordered=in_order)] if kind else None


def _grouped(terms: Iterable[dict[str, Any]]) -> Choices:
    groups: dict[str, list[Choice]] = {}
    for term in terms:
        groups.setdefault(capital(str(term.get("group") or "others")), []).append((term["slug"], str(term["name"])))
    return list(groups.items())


def _short(citation: str) -> str:
    return citation if len(citation) <= 90 else f"{citation[:88].rstrip()} …"


def _degrees() -> Choices:
    words = {0: "0, temperate", 4: "+4, the utmost", -4: "\u22124, the utmost"}
    return [CHOOSE, *[(str(n), words.get(n, f"{n:+d}".replace("-", "\u2212"))) for n in range(4, -5, -1)]]


def _strengths() -> Choices:
    return [CHOOSE, *[(str(n), f"{n}, {STRENGTHS[n]}") for n in (3, 2, 1, 0)]]
