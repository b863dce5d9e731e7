"""The vocabulary questions are written from: what is asked, patterns, findings, people."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from herbs.engine import AXES, AXIS_INDEX, Pattern

SEVERITIES = (1, 2, 3)
GENERAL = "general"  # the site of findings that fit any complaint


@dataclass(frozen=True)
class Asking:
    """An action class asked about at a site, with the complaint that brings the person.

    ``holds`` are person words true of everybody who comes with the complaint, as of a nursing mother short of milk.
    ``bars`` are person words never drawn there; ``not_offered`` lists (part, axis, sign): where the state leans that way
    practice disputes the part, so it is no option. ``left_out`` are states that make no sense there; ``own_only`` keeps general
    findings of long standing away from an acute complaint, the tongue and the pulse apart.
    """

    slug: str
    action: str
    site: str
    where: str
    groups: tuple[str, ...]
    complaints: tuple[str, ...]
    only: str | None
    bars: frozenset[str]
    not_offered: tuple[tuple[str, int, int], ...]
    left_out: frozenset[str]
    own_only: bool
    holds: frozenset[str] = frozenset()


@dataclass(frozen=True)
class PatternForm:
    """A tissue state or mixed pattern at one severity (1-3, the degree of its leading axes)."""

    slug: str
    name: str
    severity: int
    pattern: Pattern
    vigour: str = "ordinary"


@dataclass(frozen=True)
class Finding:
    """A sign or symptom: phrasings, evidence by axis, how it is learned (told, seen, tongue, pulse).

    An ambiguous one never stands alone; a causal one tells a cause of its own, so it never speaks for a consequence.
    """

    slug: str
    site: str
    kind: str
    texts: tuple[str, ...]
    evidence: tuple[float, float, float, float]
    ambiguous: bool
    causal: bool


@dataclass(frozen=True)
class OrderFinding:
    """A finding that shows which quality came first: root axis and sign, follower axis and sign."""

    slug: str
    site: str
    root: tuple[int, int]
    follower: tuple[int, int]
    texts: tuple[str, ...]


@dataclass(frozen=True)
class PersonWord:
    """A word about a person that a caution can turn on."""

    slug: str
    name: str
    group: str
    yes: str
    no: str
    only_for: frozenset[str]
    not_with: tuple[int, int] | None
    treated: bool
    from_age: int
    implies: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Scenario:
    """Who a person is or why they come now: a neutral clause ("who collects coins") for an age in years, both ends included.

    It hints at no quality, and is never drawn with the person words it bars, as a trade with "drives for a living".
    """

    slug: str
    text: str
    from_age: int
    to_age: int
    bars: frozenset[str] = frozenset()


Pole = tuple[int, bool]  # an axis and whether the state is on its positive side


@dataclass(frozen=True)
class Scenery:
    """Everything an item is written from.

    For each asking: ``single`` holds the findings on one pole (of the complaint itself, of the body in general), ``paired``
    those that speak for two axes; ``idle`` are findings that bear on nothing. ``scenarios`` say who the person is.
    """

    askings: tuple[Asking, ...]
    patterns: tuple[PatternForm, ...]
    orders: tuple[OrderFinding, ...]
    words: Mapping[str, PersonWord]
    single: Mapping[str, Mapping[Pole, tuple[list[Finding], list[Finding]]]]
    paired: Mapping[str, list[Finding]]
    idle: list[Finding]
    scenarios: tuple[Scenario, ...] = ()

    @cached_property
    def orders_of(self) -> Mapping[tuple[tuple[int, int], tuple[int, int]], list[OrderFinding]]:
        """Order findings by root and follower, each an axis with its sign."""
        found: dict[tuple[tuple[int, int], tuple[int, int]], list[OrderFinding]] = {}
        for order in self.orders:
            found.setdefault((order.root, order.follower), []).append(order)
        return found


def fits(finding: Finding, asking: Asking) -> bool:
    """Whether a finding may be met with an asking's complaint."""
    if finding.site in asking.groups:
        return True
    return finding.site == GENERAL and (not asking.own_only or finding.kind in ("tongue", "pulse"))


def sort_findings(findings: Sequence[Finding], asking: Asking) -> dict[Pole, tuple[list[Finding], list[Finding]]]:
    """Findings that speak for one axis alone, by pole: those of the complaint's groups, and the general ones."""
    sorted_out: dict[Pole, tuple[list[Finding], list[Finding]]] = {
        (axis, positive): ([], []) for axis in range(len(AXES)) for positive in (True, False)
    }
    for finding in findings:
        bearing = [axis for axis, evidence in enumerate(finding.evidence) if evidence]
        if len(bearing) == 1 and fits(finding, asking):
            pole = bearing[0], finding.evidence[bearing[0]] > 0
            sorted_out[pole][finding.site == GENERAL].append(finding)
    return sorted_out


def at_severity(degrees: Mapping[str, float], follows: Mapping[str, str], severity: int) -> Pattern:
    """A pattern whose leading axes have the degree of the severity; the others keep their own, but never a greater one."""
    base = Pattern.from_mapping({axis: {"degree": degrees.get(axis, 0), "follows": follows.get(axis)} for axis in AXES})
    scaled = []
    for axis, degree in enumerate(base.degrees):
        size = severity if axis in base.leading else min(abs(degree), severity)
        scaled.append(0.0 if not degree else float(size if degree > 0 else -size))
    return Pattern(tuple(scaled), base.follows)  # type: ignore[arg-type]


def build_patterns(entries: Sequence[Mapping[str, Any]]) -> tuple[PatternForm, ...]:
    """Every state and mixed pattern at every severity; patterns that come out the same are kept once."""
    forms: dict[tuple[object, ...], PatternForm] = {}
    for entry in entries:
        for severity in SEVERITIES:
            pattern = at_severity(entry["pattern"], entry.get("follows", {}), severity)
            key = (pattern.degrees, pattern.follows)
            form = PatternForm(entry["slug"], entry["name"], severity, pattern, entry.get("vigour", "ordinary"))
            forms.setdefault(key, form)
    return tuple(forms.values())


def build_scenery(terms: Mapping[str, Mapping[str, dict[str, Any]]]) -> Scenery:
    """Scenery from vocabulary terms by kind and slug."""
    askings = tuple(
        Asking(
            slug, entry["action"], entry["site"], entry["where"], tuple(entry["findings"]), tuple(entry["complaints"]),
            entry.get("only"), frozenset(entry.get("bars", [])),
            tuple((d["part"], AXIS_INDEX[d["axis"]], d["sign"]) for d in entry.get("not_offered", [])),
            frozenset(entry.get("left_out", [])),
            bool(entry.get("own_only")),
            frozenset(entry.get("holds", [])),
        )
        for slug, entry in terms["asking"].items()
    )  # fmt: skip
    patterns = build_patterns([*terms["state"].values(), *terms["mixed-pattern"].values()])
    findings = tuple(
        Finding(
            slug, entry["site"], entry.get("kind", "told"), tuple(entry["texts"]),
            tuple(float(entry.get("evidence", {}).get(axis, 0)) for axis in AXES),  # type: ignore[arg-type]
            bool(entry.get("ambiguous")), bool(entry.get("causal")),
        )
        for slug, entry in terms["finding"].items()
    )  # fmt: skip
    orders = tuple(
        OrderFinding(
            slug, entry["site"], (AXIS_INDEX[entry["root"]["axis"]], entry["root"]["sign"]),
            (AXIS_INDEX[entry["follower"]["axis"]], entry["follower"]["sign"]), tuple(entry["texts"]),
        )
        for slug, entry in terms["order-finding"].items()
    )  # fmt: skip
    words = {
        slug: PersonWord(
            slug,
            entry["name"],
            entry["group"],
            entry["yes"],
            entry["no"],
            frozenset(entry.get("only_for", [])),
            (AXIS_INDEX[entry["not_with"]["axis"]], entry["not_with"]["sign"]) if "not_with" in entry else None,
            bool(entry.get("treated")),
            int(entry.get("from_age", 0)),
            frozenset(entry.get("implies", [])),
        )
        for slug, entry in terms["person-word"].items()
    }
    scenarios = tuple(
        Scenario(slug, entry["text"], entry["from_age"], entry["to_age"], frozenset(entry.get("bars", [])))
        for slug, entry in terms["scenario"].items()
    )
    paired = [f for f in findings if sum(map(bool, f.evidence)) == 2 and not f.ambiguous]
    return Scenery(
        askings, patterns, orders, words,
        single={asking.slug: sort_findings(findings, asking) for asking in askings},
        paired={asking.slug: [f for f in paired if fits(f, asking)] for asking in askings},
        idle=[f for f in findings if f.site == GENERAL and f.kind == "told" and not any(f.evidence)],
        scenarios=scenarios,
    )  # fmt: skip
