"""Validation of the vocabulary files."""

import re
from collections.abc import Callable, Iterator
from typing import Any

from herbs.engine import AXES, InvalidPatternError, Pattern
from herbs.models import Basis, Term, TraditionRole

from .faults import Fault
from .records import Bundle

SLUG = re.compile(r"^[a-z0-9]+(-[a-z0-9]+)*$")
KIND = Term.Kind
FILES = {
    "sites.yaml": KIND.SITE,
    "actions.yaml": KIND.ACTION,
    "person_words.yaml": KIND.PERSON_WORD,
    "states.yaml": KIND.STATE,
    "mixed_patterns.yaml": KIND.MIXED_PATTERN,
    "findings.yaml": KIND.FINDING,
    "order_findings.yaml": KIND.ORDER_FINDING,
    "red_flags.yaml": KIND.RED_FLAG,
    "derived_actions.yaml": KIND.DERIVED_RULE,
    "askings.yaml": KIND.ASKING,
    "cross_walk.yaml": KIND.CROSS_WALK,
    "taste_rules.yaml": KIND.TASTE_RULE,
    "departures.yaml": KIND.DEPARTURE,
    "scenarios.yaml": KIND.SCENARIO,
}
PLAIN = {
    "tastes": KIND.TASTE,
    "constituents": KIND.CONSTITUENT,
    "preparations": KIND.PREPARATION,
    "forms": KIND.FORM,
    "habits": KIND.HABIT,
    "menstrua": KIND.MENSTRUUM,
    "seasons": KIND.SEASON,
    "sowings": KIND.SOWING,
    "correspondences": KIND.CORRESPONDENCE,
}
CROSS_WALK_KINDS = ("state", "quality", "action")
Report = Callable[[str, Any, str], None]


def read_vocabulary(files: dict[str, Any], faults: list[Fault]) -> Bundle:
    """Validate parsed vocabulary files ({name: document}); faults are appended."""

    def report(name: str, entry: Any, message: str) -> None:
        faults.append(Fault(f"vocabulary/{name}", getattr(entry, "line", 1), message))

    bundle = Bundle()
    for name, kind in FILES.items():
        bundle.terms[kind] = list(_entries(name, files.get(name), report))
    plain = files.get("plain.yaml") or {}
    for key, kind in PLAIN.items():
        bundle.terms[kind] = list(_entries("plain.yaml", plain.get(key), report))
    bundle.traditions = list(_entries("traditions.yaml", files.get("traditions.yaml"), report))
    bundle.sources = list(_entries("sources.yaml", files.get("sources.yaml"), report))
    _check_sources(bundle, report)
    _check_links(bundle, report)
    _check_patterns(bundle, report)
    _check_findings(bundle, report)
    _check_cross_walk(bundle, report)
    _check_taste_rules(bundle, report)
    _check_departures(bundle, report)
    _check_scenarios(bundle, report)
    return bundle


def read_teaching_sets(document: Any, bundle: Bundle, faults: list[Fault]) -> None:
    """Validate teaching_sets.yaml into the bundle."""

    def report(name: str, entry: Any, message: str) -> None:
        faults.append(Fault(name, getattr(entry, "line", 1), message))

    known = {tradition["slug"] for tradition in bundle.traditions}
    sets = list(_entries("teaching_sets.yaml", document, report))
    if sum(bool(entry.get("is_default")) for entry in sets) != 1:
        report("teaching_sets.yaml", None, "Exactly one teaching set must have is_default: true.")
    for entry in sets:
        named = [role.get("tradition") for role in entry.get("roles") or []]
        if len(named) != len(set(named)):
            report("teaching_sets.yaml", entry, "A tradition has one role in a teaching set, not two.")
        for role in entry.get("roles") or []:
            if role.get("tradition") not in known:
                report("teaching_sets.yaml", role, f"Unknown tradition {role.get('tradition')!r}.")
            if role.get("role") not in TraditionRole.Role.values:
                report("teaching_sets.yaml", role, f"A role is one of {', '.join(TraditionRole.Role.values)}.")
        for override in entry.get("overrides") or []:
            fault = _axes_fault({override["axis"]: override["value"]}, 4)
            if fault or not override["reason"].strip():
                report("teaching_sets.yaml", override, fault or "An override needs its reason.")
    bundle.teaching_sets = sets


def _entries(name: str, document: Any, report: Report) -> Iterator[dict[str, Any]]:
    if document is None:
        report(name, None, "This vocabulary file (or its list) is missing.")
        return
    seen: set[str] = set()
    if not isinstance(document, list):
        report(name, document, "This must be a list of entries that start with '- '.")
        return
    for entry in document:
        slug = entry.get("slug") if isinstance(entry, dict) else None
        if not isinstance(slug, str) or not SLUG.fullmatch(slug):
            report(name, entry, "Every entry needs a slug of lower-case words joined by hyphens.")
        elif slug in seen:
            report(name, entry, f"The slug {slug!r} stands twice.")
        else:
            seen.add(slug)
            yield entry


def _check_sources(bundle: Bundle, report: Report) -> None:
    traditions = {tradition["slug"] for tradition in bundle.traditions}
    for source in bundle.sources:
        if source.get("tradition") not in traditions:
            report("sources.yaml", source, f"Unknown tradition {source.get('tradition')!r}.")
        if source.get("basis") not in Basis.values:
            report("sources.yaml", source, f"The basis is one of {', '.join(Basis.values)}.")
        if not source.get("citation"):
            report("sources.yaml", source, "A source needs a citation.")


def _check_links(bundle: Bundle, report: Report) -> None:
    sites, actions = bundle.slugs(KIND.SITE), bundle.slugs(KIND.ACTION)
    for site in bundle.terms[KIND.SITE]:
        if site.get("kind") not in ("system", "organ", "tissue"):
            report("sites.yaml", site, "A site's kind is system, organ or tissue.")
        for other in [*(site.get("of") or []), *(site.get("serves") or [])]:
            if other not in sites:
                report("sites.yaml", site, f"Unknown site {other!r}.")
    for action in bundle.terms[KIND.ACTION]:
        for other in action.get("opposed") or []:
            if other not in actions:
                report("actions.yaml", action, f"Unknown action {other!r}.")
    for rule in bundle.terms[KIND.DERIVED_RULE]:
        for key in ("source", "target"):
            if rule.get(key) not in actions:
                report("derived_actions.yaml", rule, f"Unknown action {rule.get(key)!r}.")
        if rule.get("site") not in sites:
            report("derived_actions.yaml", rule, f"Unknown site {rule.get('site')!r}.")
    groups = {finding.get("site") for finding in bundle.terms[KIND.FINDING]}
    words = bundle.slugs(KIND.PERSON_WORD)
    states = {*bundle.slugs(KIND.STATE), *bundle.slugs(KIND.MIXED_PATTERN)}
    for asking in bundle.terms[KIND.ASKING]:
        if asking.get("site") not in sites:
            report("askings.yaml", asking, f"Unknown site {asking.get('site')!r}.")
        if asking.get("action") not in actions:
            report("askings.yaml", asking, f"Unknown action {asking.get('action')!r}.")
        for group in asking.get("findings") or []:
            if group not in groups:
                report("askings.yaml", asking, f"No finding belongs to {group!r}.")
        for word in [*(asking.get("bars") or []), *(asking.get("holds") or [])]:
            if word not in words:
                report("askings.yaml", asking, f"Unknown person word {word!r}.")
        for state in asking.get("left_out") or []:
            if state not in states:
                report("askings.yaml", asking, f"Unknown state {state!r}.")
        for disputed in asking.get("not_offered") or []:
            if disputed.get("axis") not in AXES or disputed.get("sign") not in (-1, 1) or not disputed.get("part"):
                report("askings.yaml", disputed, "A disputed part names its part, an axis and a sign of -1 or 1.")
    for word in bundle.terms[KIND.PERSON_WORD]:
        for action in word.get("only_for") or []:
            if action not in actions:
                report("person_words.yaml", word, f"Unknown action {action!r}.")


def _axes_fault(mapping: Any, limit: int) -> str | None:
    if not isinstance(mapping, dict):
        return "This must be a mapping of axes to degrees."
    for axis, degree in mapping.items():
        if axis not in AXES:
            return f"Unknown axis {axis!r}; the axes are {', '.join(AXES)}."
        if isinstance(degree, bool) or not isinstance(degree, int) or abs(degree) > limit:
            return f"The degree of {axis} must be a whole number from -{limit} to {limit}."
    return None


def _check_patterns(bundle: Bundle, report: Report) -> None:
    for name, kind in (("states.yaml", KIND.STATE), ("mixed_patterns.yaml", KIND.MIXED_PATTERN)):
        for entry in bundle.terms[kind]:
            fault = _axes_fault(entry.get("pattern"), 4)
            if fault:
                report(name, entry, fault)
                continue
            follows = entry.get("follows") or {}
            if any(axis not in AXES or root not in AXES for axis, root in follows.items()):
                report(name, entry, "An axis may follow only another of the four axes.")
                continue
            degrees = entry["pattern"]
            try:
                Pattern.from_mapping(
                    {axis: {"degree": degrees.get(axis, 0), "follows": follows.get(axis)} for axis in AXES}
                )
            except InvalidPatternError as error:
                report(name, entry, str(error))


def _check_findings(bundle: Bundle, report: Report) -> None:
    # A finding belongs to a group: a body site, or a complaint of its own that some asking names.
    groups = {group for asking in bundle.terms[KIND.ASKING] for group in asking["findings"]}
    sites = {*bundle.slugs(KIND.SITE), "general", *groups}
    for name, kind in (("findings.yaml", KIND.FINDING), ("order_findings.yaml", KIND.ORDER_FINDING),
                       ("red_flags.yaml", KIND.RED_FLAG)):  # fmt: skip
        for entry in bundle.terms[kind]:
            if entry.get("site") not in sites:
                report(name, entry, f"Unknown site {entry.get('site')!r}.")
            texts = entry.get("texts")
            if not isinstance(texts, list) or not texts or not all(isinstance(text, str) for text in texts):
                report(name, entry, "A finding needs a list of texts.")
    for entry in bundle.terms[KIND.FINDING]:
        fault = _axes_fault(entry.get("evidence"), 3)
        if fault:
            report("findings.yaml", entry, fault)
    for entry in bundle.terms[KIND.ORDER_FINDING]:
        for key in ("root", "follower"):
            part = entry.get(key) or {}
            if part.get("axis") not in AXES or part.get("sign") not in (-1, 1):
                report("order_findings.yaml", entry, f"{key} needs an axis and a sign of -1 or 1.")


def _check_cross_walk(bundle: Bundle, report: Report) -> None:
    """Every term names its tradition and its source as a claim does; a pattern is degrees on the axes."""
    traditions = {tradition["slug"] for tradition in bundle.traditions}
    bases = {source["slug"]: source.get("basis") for source in bundle.sources}
    for term in bundle.terms[KIND.CROSS_WALK]:
        source, seen = term["source"], term.get("seen") or ""
        if term["tradition"] not in traditions:
            report("cross_walk.yaml", term, f"Unknown tradition {term['tradition']!r}.")
        if term["kind"] not in CROSS_WALK_KINDS:
            report("cross_walk.yaml", term, f"The kind is one of {', '.join(CROSS_WALK_KINDS)}.")
        if not term["means"].strip():
            report("cross_walk.yaml", term, "A term needs what it means here, in words.")
        if source not in bases:
            report("cross_walk.yaml", term, f"Unknown source {source!r}.")
        elif bases[source] == Basis.PUBLISHED and seen not in ("table", "memory"):
            report("cross_walk.yaml", term, "A published source needs seen: table (read) or seen: memory (recalled).")
        elif bases[source] != Basis.PUBLISHED and seen:
            report("cross_walk.yaml", term, "Only a published source can be seen; leave seen out.")
        fault = _axes_fault(term.get("pattern") or {}, 4)
        if fault:
            report("cross_walk.yaml", term, fault)


def _check_taste_rules(bundle: Bundle, report: Report) -> None:
    """A rule speaks for one taste or one class of constituents, in its tradition's own source."""
    sources = {source["slug"]: source for source in bundle.sources}
    known = {"taste": bundle.slugs(KIND.TASTE), "constituent": bundle.slugs(KIND.CONSTITUENT)}
    for rule in bundle.terms[KIND.TASTE_RULE]:
        named = [key for key in known if key in rule]
        if len(named) != 1 or rule[named[0]] not in known[named[0]]:
            report("taste_rules.yaml", rule, "A rule names one known taste or one known constituent.")
        source = sources.get(str(rule.get("source")))
        if source is None or source["tradition"] != rule.get("tradition"):
            report("taste_rules.yaml", rule, "A rule's source must be known and of the rule's own tradition.")
        fault = _axes_fault(rule.get("axes"), 4)
        if fault:
            report("taste_rules.yaml", rule, fault)


def _check_departures(bundle: Bundle, report: Report) -> None:
    """A departure names an axis, a tradition and its reason; that the part exists is checked with the herbs."""
    traditions = {tradition["slug"] for tradition in bundle.traditions}
    for entry in bundle.terms[KIND.DEPARTURE]:
        if entry["axis"] not in AXES:
            report("departures.yaml", entry, f"Unknown axis {entry['axis']!r}.")
        if entry["tradition"] not in traditions:
            report("departures.yaml", entry, f"Unknown tradition {entry['tradition']!r}.")


def _check_scenarios(bundle: Bundle, report: Report) -> None:
    """A scenario is a clause said of grown-ups within a range of ages, and bars person words that exist."""
    words = bundle.slugs(KIND.PERSON_WORD)
    for entry in bundle.terms[KIND.SCENARIO]:
        if not re.fullmatch(r"(who|whose) [^,.;]+", entry["text"]):
            report(
                "scenarios.yaml",
                entry,
                "A scenario is a clause that starts with who or whose, without commas or a stop.",
            )
        if not 18 <= entry["from_age"] <= entry["to_age"]:
            report("scenarios.yaml", entry, "A scenario is for ages from 18 on, from_age no more than to_age.")
        for word in entry.get("bars") or []:
            if word not in words:
                report("scenarios.yaml", entry, f"Unknown person word {word!r}.")
