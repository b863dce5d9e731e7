"""Claims under a teaching set become profiles: arrays over parts, sites and actions."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .axes import AXES, AXIS_INDEX, OPPOSED_STRENGTH
from .claims import ActionTerm, DerivedRule, PartRecord, Statement, TeachingSet
from .errors import UnknownNameError
from .sites import STRONGEST, SiteGraph

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
DERIVED_SHARE = 0.67  # of the strength of the action it is derived from
DERIVED_MIN = 2.0  # only of an action this strong, at a site claimed this strongly
UNKNOWN = (0.0, -1.0, 1.0)  # working value and interval of an axis nobody speaks of


@dataclass(frozen=True)
class Row:
    """One line of the catalogue: a part in its usual form, or in a form that changes what it does."""

    slug: str
    label: str
    latin: str
    part: str
    part_slug: str
    form: str
    is_usual: bool
    marks: tuple[str, ...]


@dataclass(frozen=True)
class Catalogue:
    """Compiled profiles. P rows, S sites, A actions, W person words; all arrays are float64 or bool.

    ``value``, ``low``, ``high`` are (P, 4); ``at[site]`` replaces them where a claim is qualified by a site;
    ``affinity`` (P, S), ``strength`` and ``opposes`` (P, A, S); ``unsafe`` and ``cautioned``
    (any caution at all) (P, W); ``derived`` names the rule behind a (row, action, site).
    """

    rows: tuple[Row, ...]
    graph: SiteGraph
    actions: Mapping[str, ActionTerm]
    site_index: Mapping[str, int]
    action_index: Mapping[str, int]
    word_index: Mapping[str, int]
    value: Array
    low: Array
    high: Array
    at: Mapping[str, tuple[Array, Array, Array]]
    affinity: Array
    strength: Array
    claims_action: Bools
    derived: Mapping[tuple[int, str, str], DerivedRule]
    opposes: Bools
    unsafe: Bools
    cautioned: Bools
    teaching_set: str
    teaching_set_revision: int
    data_version: str

    def effects(self, site: str) -> tuple[Array, Array, Array]:
        """Working values and interval ends (P, 4) at a site."""
        return self.at.get(site, (self.value, self.low, self.high))

    def only(self, numbers: Sequence[int]) -> "Catalogue":
        """The same catalogue with some of its rows alone, renumbered in the order given."""
        kept = list(numbers)
        renumbered = {old: new for new, old in enumerate(kept)}
        arrays = {
            name: getattr(self, name)[kept]
            for name in (
                "value",
                "low",
                "high",
                "affinity",
                "strength",
                "claims_action",
                "opposes",
                "unsafe",
                "cautioned",
            )
        }
        return replace(
            self,
            rows=tuple(self.rows[number] for number in kept),
            at={site: (value[kept], low[kept], high[kept]) for site, (value, low, high) in self.at.items()},
            derived={
                (renumbered[row], action, site): rule
                for (row, action, site), rule in self.derived.items()
                if row in renumbered
            },
            **arrays,
        )

    def row_number(self, slug: str) -> int:
        """Index of a row by slug; UnknownNameError when there is none."""
        if slug not in self.row_index:
            raise UnknownNameError(f"There is no part {slug!r} in the materia medica.")
        return self.row_index[slug]

    @cached_property
    def row_index(self) -> Mapping[str, int]:
        """Row numbers by slug."""
        return {row.slug: number for number, row in enumerate(self.rows)}

    def site_number(self, slug: str) -> int:
        """Index of a site by slug; UnknownNameError when there is none."""
        if slug not in self.site_index:
            raise UnknownNameError(f"There is no body site {slug!r}.")
        return self.site_index[slug]

    def action_number(self, slug: str) -> int:
        """Index of an action by slug; UnknownNameError when there is none."""
        if slug not in self.action_index:
            raise UnknownNameError(f"There is no action {slug!r}.")
        return self.action_index[slug]

    def unsafe_for(self, person: Iterable[str]) -> Bools:
        """(P,) whether a caution of known or expected harm meets any of the person's words."""
        numbers = [self.word_index[word] for word in person if word in self.word_index]
        if not numbers:
            return np.zeros(len(self.rows), dtype=bool)
        return np.asarray(self.unsafe[:, numbers].any(axis=1))

    def unsafe_words(self, row: int) -> tuple[str, ...]:
        """The person words that make a row unsafe."""
        return self._unsafe_words[row]

    @cached_property
    def _unsafe_words(self) -> tuple[tuple[str, ...], ...]:
        words = list(self.word_index)
        return tuple(tuple(words[number] for number in np.flatnonzero(row)) for row in self.unsafe)


def resolve(
    statements: Iterable[Statement], form: str | None, graph: SiteGraph, site: str | None
) -> dict[str, Statement]:
    """The most specific degree statement of each source for a form and a site: {source: statement}."""
    best: dict[str, tuple[tuple[bool, int], Statement]] = {}
    for statement in statements:
        if statement.form is not None and statement.form != form:
            continue
        where = 0 if statement.site is None else (None if site is None else graph.specificity(statement.site, site))
        if where is None:
            continue
        rank = (statement.form is not None, where)
        if statement.source not in best or rank > best[statement.source][0]:
            best[statement.source] = (rank, statement)
    return {source: statement for source, (_, statement) in best.items()}


def axis_profile(
    said: Mapping[str, float], teaching_set: TeachingSet, override: float | None
) -> tuple[float, float, float]:
    """Working value and interval from what each source says of one axis.

    The working value is the override, else the first deciding source; deciding and widening sources span the
    interval. Where no deciding source speaks the value is 0 and the interval at least -1 to +1.
    """
    deciding = [said[source] for source in teaching_set.sources("decides") if source in said]
    heard = [said[source] for source in teaching_set.sources("decides", "widens") if source in said]
    value, low, high = UNKNOWN
    if override is not None:
        value = low = high = override
    elif deciding:
        value = low = high = deciding[0]
    return value, min([low, *heard]), max([high, *heard])


def strengths(statements: Iterable[Statement], form: str | None, teaching_set: TeachingSet) -> dict[str | None, float]:
    """Strength by claimed site from the first deciding source that speaks; a claim for the form overrides a general one."""
    speaking = [s for s in statements if s.form is None or s.form == form]
    for source in teaching_set.sources("decides"):
        mine = sorted((s for s in speaking if s.source == source), key=lambda s: s.form is not None)
        if mine:
            return {s.site: s.amount for s in mine}
    return {}


def spread_action(
    by_site: Mapping[str | None, float], affinity: Array, graph: SiteGraph, order: Sequence[str]
) -> Array:
    """X for every site (S,): strength/3 where claimed or above, else strength/3 times the affinity there."""
    spread = np.zeros(len(order))
    for claimed, strength in by_site.items():
        share = strength / STRONGEST
        for number, site in enumerate(order):
            full = claimed is not None and graph.at_or_above(claimed, site)
            spread[number] = max(spread[number], share if full else share * affinity[number])
    return spread


def derive(
    rule: DerivedRule,
    claimed: Mapping[str, Mapping[str | None, float]],
    affinities: Mapping[str, float],
    opposed: Iterable[str],
    graph: SiteGraph,
) -> dict[str, float]:
    """Strength by site that a rule lends to its target action: .67 of the source's, vetoed by an equal opposed action."""
    source = claimed.get(rule.source, {})
    if not source:
        return {}
    lent: dict[str, float] = {}
    for site in graph.within(rule.site):
        at_site = max(affinities.get(site, 0.0), source.get(site, 0.0))
        if at_site < DERIVED_MIN:
            continue
        holding = [v for where, v in source.items() if where is None or graph.at_or_above(where, site)]
        strength = max(holding, default=0.0)
        against = max(
            (
                v
                for name in opposed
                for where, v in claimed.get(name, {}).items()
                if where is None or graph.at_or_above(where, site)
            ),
            default=0.0,
        )
        if strength >= DERIVED_MIN and against < strength:
            lent[site] = DERIVED_SHARE * strength
    return lent


def compile_catalogue(
    parts: Sequence[PartRecord],
    teaching_set: TeachingSet,
    graph: SiteGraph,
    actions: Mapping[str, ActionTerm],
    rules: Sequence[DerivedRule],
    words: Sequence[str],
    data_version: str,
) -> Catalogue:
    """Compile every part, and every form with claims of its own, under a teaching set."""
    sites, names = list(graph.sites), list(actions)
    site_index = {slug: number for number, slug in enumerate(sites)}
    action_index = {slug: number for number, slug in enumerate(names)}
    word_index = {slug: number for number, slug in enumerate(words)}
    rows, tables = [], []
    for part in parts:
        forms = sorted({s.form for s in part.statements if s.form is not None and s.form != part.usual_form})
        for form in (None, *forms):
            rows.append(_row(part, form))
            tables.append((part, form if form is not None else part.usual_form))
    count = len(rows)
    value, low, high = (np.zeros((count, len(AXES))) for _ in range(3))
    qualified = sorted({s.site for p in parts for s in p.statements if s.predicate == "degree" and s.site})
    touched = [site for site in sites if any(graph.specificity(q, site) for q in qualified)]
    at = {site: tuple(np.zeros((count, len(AXES))) for _ in range(3)) for site in touched}
    affinity = np.zeros((count, len(sites)))
    strength = np.zeros((count, len(names), len(sites)))
    claims_action = np.zeros((count, len(names)), dtype=bool)
    opposes = np.zeros((count, len(names), len(sites)), dtype=bool)
    unsafe = np.zeros((count, len(words)), dtype=bool)
    cautioned = np.zeros((count, len(words)), dtype=bool)
    derived: dict[tuple[int, str, str], DerivedRule] = {}

    for number, (part, form) in enumerate(tables):
        groups = _grouped(part.statements)
        slug = rows[number].slug
        for axis, column in AXIS_INDEX.items():
            statements = groups.get(("degree", axis), ())
            override = teaching_set.overrides.get((slug, axis))
            for site, arrays in [(None, (value, low, high)), *at.items()]:
                said = {source: s.amount for source, s in resolve(statements, form, graph, site).items()}
                profile = axis_profile(said, teaching_set, override)
                for array, figure in zip(arrays, profile, strict=True):
                    array[number, column] = figure
        claimed_sites: dict[str, float] = {}
        for (predicate, subject), statements in groups.items():
            if predicate == "affinity":
                found = strengths(statements, form, teaching_set)
                if found:
                    claimed_sites[subject] = max(found.values())
            elif predicate == "caution" and subject in word_index:
                applies = [s for s in statements if s.form is None or s.form == form]
                cautioned[number, word_index[subject]] = bool(applies)
                unsafe[number, word_index[subject]] = any(s.amount for s in applies)
        for claimed, amount in claimed_sites.items():
            for column, site in enumerate(sites):
                reach = amount / STRONGEST * graph.reach(claimed, site)
                affinity[number, column] = max(affinity[number, column], reach)
        claimed_actions = {
            subject: found
            for (predicate, subject), statements in groups.items()
            if predicate == "action" and (found := strengths(statements, form, teaching_set))
        }
        for action, by_site in claimed_actions.items():
            claims_action[number, action_index[action]] = True
            strength[number, action_index[action]] = spread_action(by_site, affinity[number], graph, sites)
        for action, by_site in claimed_actions.items():
            firm: dict[str | None, float] = {w: v for w, v in by_site.items() if v >= OPPOSED_STRENGTH}
            here = spread_action(firm, np.zeros(len(sites)), graph, sites)
            if None in firm:
                here = np.maximum(here, firm[None] / STRONGEST)
            for name, term in actions.items():
                if action in term.opposed:
                    opposes[number, action_index[name]] |= here * STRONGEST >= OPPOSED_STRENGTH
        for rule in rules:
            lent = derive(rule, claimed_actions, claimed_sites, actions[rule.target].opposed, graph)
            # A derived action holds where it was claimed and in the organs there, and is carried no further.
            extra = spread_action({site: lent[site] for site in lent}, np.zeros(len(sites)), graph, sites)
            column = action_index[rule.target]
            for place in np.flatnonzero(extra > strength[number, column]):
                derived[(number, rule.target, sites[place])] = rule
            strength[number, column] = np.maximum(strength[number, column], extra)

    return Catalogue(
        rows=tuple(rows), graph=graph, actions=dict(actions), site_index=site_index, action_index=action_index,
        word_index=word_index, value=value, low=low, high=high, at=at, affinity=affinity, strength=strength,  # type: ignore[arg-type]
        claims_action=claims_action, derived=derived, opposes=opposes, unsafe=unsafe, cautioned=cautioned,
        teaching_set=teaching_set.slug,
        teaching_set_revision=teaching_set.revision, data_version=data_version,
    )  # fmt: skip


def _grouped(statements: Iterable[Statement]) -> dict[tuple[str, str], list[Statement]]:
    groups: dict[tuple[str, str], list[Statement]] = {}
    for statement in statements:
        groups.setdefault((statement.predicate, statement.subject), []).append(statement)
    return groups


def _row(part: PartRecord, form: str | None) -> Row:
    if form is None:
        return Row(part.slug, part.label, part.latin, part.part, part.slug, part.usual_form, True, part.marks)
    words = form.replace("-", " ")
    return Row(
        f"{part.slug}-{form}", f"{part.label}, {words}", part.latin, part.part, part.slug, form, False, part.marks
    )
