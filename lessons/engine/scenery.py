"""The vocabulary questions are written from: what is asked, patterns, findings, people."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from herbs.engine import AXES, AXIS_INDEX, Pattern

SEVERITIES = (1, 2, 3)


@dataclass(frozen=True)
class Asking:
    """An action class asked about at a site, with the complaint that brings the person."""

    slug: str
    action: str
    site: str
    where: str
    groups: tuple[str, ...]
    complaints: tuple[str, ...]
    only: str | None


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
    """A sign or symptom: phrasings, evidence by axis, how it is learned (told, seen, tongue, pulse)."""

    slug: str
    site: str
    kind: str
    texts: tuple[str, ...]
    evidence: tuple[float, float, float, float]
    ambiguous: bool


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


@dataclass(frozen=True)
class Scenery:
    """Everything an item is written from."""

    askings: tuple[Asking, ...]
    patterns: tuple[PatternForm, ...]
    findings: tuple[Finding, ...]
    orders: tuple[OrderFinding, ...]
    words: Mapping[str, PersonWord]


def at_severity(degrees: Mapping[str, float], follows: Mapping[str, str], severity: int) -> Pattern:
    """A pattern whose leading axes have the degree of the severity; the others keep their own, but never a greater one."""
    base = Pattern.from_mapping(
        {axis: {"degree": degrees.get(axis, 0), "follows": follows.get(axis)} for axis in AXES}
    )
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
            entry.get("only"),
        )
        for slug, entry in terms["asking"].items()
    )  # fmt: skip
    patterns = build_patterns([*terms["state"].values(), *terms["mixed-pattern"].values()])
    findings = tuple(
        Finding(
            slug, entry["site"], entry.get("kind", "told"), tuple(entry["texts"]),
            tuple(float(entry.get("evidence", {}).get(axis, 0)) for axis in AXES),  # type: ignore[arg-type]
            bool(entry.get("ambiguous")),
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
        slug: PersonWord(slug, entry["name"], entry["group"], entry["yes"], entry["no"])
        for slug, entry in terms["person-word"].items()
    }
    return Scenery(askings, patterns, findings, orders, words)
