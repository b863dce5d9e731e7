"""From the claims in the data files to profile figures, in plain Python.

Nothing here is shared with the application: the files are read, the teaching set is applied and the figures
are worked out again, so that agreement between the two routes means something. Strengths are on the scale 0-3
in the files and 0-1 in the figures; axis effects run from -4 to +4.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

AXES = ("temperature", "moisture", "tone", "movement")
UNKNOWN = (-1.0, 1.0)
FULL_STRENGTH = 3
SYSTEM_TO_ORGAN, ORGAN_TO_SYSTEM, ORGAN_TO_SIBLING, TISSUE_TO_SERVED = 0.8, 0.67, 0.33, 0.67
DERIVED_SHARE = 0.67
PLAIN = 2
UNSAFE_LEVELS = {"contraindicated", "avoid"}
UNSAFE_REASONS = {"harm-known", "harm-expected"}

Claim = dict[str, Any]


def read(path: Path) -> Any:
    """The content of one data file."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))  # noqa: S506


class Vocabulary:
    """The words the claims are written in: sites, actions, sources and their roles, findings, patterns."""

    def __init__(self, folder: Path, teaching_set: str | None = None) -> None:
        """Reads the folder; roles are those of the teaching set named, or of the default one."""
        words = folder / "vocabulary"
        self.sites = {row["slug"]: row for row in read(words / "sites.yaml")}
        self.actions = {row["slug"]: row for row in read(words / "actions.yaml")}
        self.derived = read(words / "derived_actions.yaml")
        self.sources = {row["slug"]: row for row in read(words / "sources.yaml")}
        self.findings = {row["slug"]: row for row in read(words / "findings.yaml")}
        self.order_findings = {row["slug"]: row for row in read(words / "order_findings.yaml")}
        self.red_flags = {row["slug"]: row for row in read(words / "red_flags.yaml")}
        patterns = [*read(words / "states.yaml"), *read(words / "mixed_patterns.yaml")]
        self.patterns = {row["name"]: row for row in patterns}
        self.states = {row["slug"]: row for row in patterns}
        self.taste_rules = read(words / "taste_rules.yaml")
        self.traditions = {row["slug"]: row["name"] for row in read(words / "traditions.yaml")}
        self.plain = read(words / "plain.yaml")
        self.askings = {row["slug"]: row for row in read(words / "askings.yaml")}
        # YAML 1.1 reads the bare keys yes and no as truth values.
        plain = {True: "yes", False: "no"}
        self.person_words = {
            row["slug"]: {plain.get(key, key): value for key, value in row.items()}
            for row in read(words / "person_words.yaml")
        }
        sets = read(folder / "teaching_sets.yaml")
        self.teaching_sets = [row["slug"] for row in sets]
        chosen = next(
            row for row in sets if row["slug"] == teaching_set or (not teaching_set and row.get("is_default"))
        )
        self.teaching_set: str = chosen["slug"]
        role = {row["tradition"]: row["role"] for row in chosen["roles"]}
        order = [row["tradition"] for row in chosen["roles"]]
        by_role = {
            wanted: [
                source
                for tradition in order
                if role[tradition] == wanted
                for source, row in self.sources.items()
                if row["tradition"] == tradition
            ]
            for wanted in ("decides", "widens")
        }
        self.deciding: list[str] = by_role["decides"]
        self.widening: list[str] = by_role["widens"]

    def above(self, site: str) -> tuple[str, ...]:
        """The systems an organ belongs to; none for a system or a tissue."""
        row = self.sites[site]
        return tuple(row.get("of", ())) if row["kind"] == "organ" else ()

    def covering(self, site: str) -> tuple[str, ...]:
        """The site and the systems above it: where a claim counts in full."""
        return (site, *self.above(site))

    def step(self, start: str, end: str) -> float:
        """How much of an affinity claimed at `start` arrives at `end` in a single step, 0-1."""
        if start == end:
            return 1.0
        kind = self.sites[start]["kind"]
        if kind == "tissue":
            return TISSUE_TO_SERVED if end in self.sites[start]["serves"] else 0.0
        if start in self.above(end):
            return SYSTEM_TO_ORGAN
        if end in self.above(start):
            return ORGAN_TO_SYSTEM
        return ORGAN_TO_SIBLING if set(self.above(start)) & set(self.above(end)) else 0.0

    def opponents(self, action: str) -> set[str]:
        """The actions that undo this one: the relation holds both ways."""
        named = set(self.actions[action].get("opposed", ()))
        return named | {other for other, row in self.actions.items() if action in row.get("opposed", ())}


@dataclass
class Row:
    """One part in one form, with the claims that hold for it."""

    words: Vocabulary
    slug: str
    part: str
    label: str
    form: str
    claims: list[Claim]
    latin: str = ""
    marks: tuple[str, ...] = ()
    cache: dict[str, Any] = field(default_factory=dict)

    def degree_of(self, source: str, axis: str, site: str | None) -> float | None:
        """What one source says of an axis at a site: its most specific claim, or nothing."""
        places = [None] if site is None else [site, *self.words.above(site), None]
        best: tuple[tuple[int, int], float] | None = None
        for claim in self.claims:
            if claim.get("degree") != axis or claim["source"] != source or claim.get("site") not in places:
                continue
            place = claim.get("site")
            nearness = 2 if place == site and site is not None else int(place is not None)
            rank = (int("form" in claim), nearness)
            if best is not None and rank == best[0] and claim["value"] != best[1]:
                raise ValueError(f"{self.slug}: {source} says two things of {axis} with equal right")
            if best is None or rank > best[0]:
                best = (rank, float(claim["value"]))
        return None if best is None else best[1]

    def degrees_of(self, sources: Iterable[str], axis: str, site: str | None) -> list[float]:
        """What the sources that speak say of an axis at a site, in their order."""
        said = (self.degree_of(source, axis, site) for source in sources)
        return [degree for degree in said if degree is not None]

    def axis(self, axis: str, site: str | None) -> tuple[float, float, float]:
        """Working value, low and high of an axis at a site (None: taken generally)."""
        deciding = self.degrees_of(self.words.deciding, axis, site)
        widening = self.degrees_of(self.words.widening, axis, site)
        if deciding:
            return deciding[0], min(deciding + widening), max(deciding + widening)
        return 0.0, min([UNKNOWN[0], *widening]), max([UNKNOWN[1], *widening])

    def axes(self, site: str | None) -> tuple[tuple[float, float, float], ...]:
        """Value, low and high of the four axes at a site."""
        key = f"axes {site}"
        if key not in self.cache:
            self.cache[key] = tuple(self.axis(axis, site) for axis in AXES)
        return self.cache[key]

    @cached_property
    def affinities(self) -> dict[str, int]:
        """Claimed site -> strength 1-3."""
        sites = {claim["affinity"] for claim in self.claims if "affinity" in claim}
        found: dict[str, int] = {}
        for site in sites:
            for source in self.words.deciding:
                said = [c for c in self.claims if c.get("affinity") == site and c["source"] == source]
                if said:
                    found[site] = strongest_right(said)
                    break
        return found

    @cached_property
    def claimed_actions(self) -> dict[str, dict[str | None, int]]:
        """Action -> claimed site (None: said of no place) -> strength 1-3."""
        found: dict[str, dict[str | None, int]] = {}
        for action in sorted({claim["action"] for claim in self.claims if "action" in claim}):
            for source in self.words.deciding:
                said = [c for c in self.claims if c.get("action") == action and c["source"] == source]
                if said:
                    sites = {c.get("site") for c in said}
                    found[action] = {site: strongest_right(c for c in said if c.get("site") == site) for site in sites}
                    break
        return found

    def affinity(self, site: str) -> float:
        """How far the part reaches a site, 0-1."""
        claimed = self.affinities.items()
        return max((share / FULL_STRENGTH * self.words.step(start, site) for start, share in claimed), default=0.0)

    def claimed_at(self, action: str, site: str) -> int:
        """The strength, 0-3, at which an action is claimed at a site or at a system above it."""
        claims = self.claimed_actions.get(action, {})
        return max((claims.get(place, 0) for place in self.words.covering(site)), default=0)

    def plain_action(self, action: str, site: str) -> float:
        """The strength of a claimed action at a site, 0-1."""
        claims = self.claimed_actions.get(action, {})
        elsewhere = max(claims.values(), default=0) / FULL_STRENGTH * self.affinity(site)
        return max(self.claimed_at(action, site) / FULL_STRENGTH, elsewhere)

    def derived_action(self, action: str, site: str) -> float:
        """The strength, 0-1, that a rule gives to an action at a site; it holds there and nowhere else."""
        best = 0.0
        for rule in self.words.derived:
            if rule["target"] != action or rule["site"] not in self.words.covering(site):
                continue
            strength = self.claimed_at(rule["source"], site)
            vetoed = any(self.claimed_at(other, site) >= strength for other in self.words.opponents(action))
            if strength >= PLAIN and not vetoed:
                best = max(best, DERIVED_SHARE * strength / FULL_STRENGTH)
        return best

    def action(self, action: str, site: str) -> float:
        """The strength of an action at a site, claimed or derived, 0-1."""
        return max(self.plain_action(action, site), self.derived_action(action, site))

    def opposed(self, action: str, site: str) -> bool:
        """Whether an action that undoes this one is plainly claimed at the site or at a system above it."""
        return any(self.claimed_at(other, site) >= PLAIN for other in self.words.opponents(action))

    def listed(self, action: str) -> bool:
        """Whether the part is claimed to have the action anywhere."""
        return action in self.claimed_actions

    def plainly(self, action: str) -> bool:
        """Whether the action has strength 2 or more at some site, claimed or by a rule."""
        claimed = max(self.claimed_actions.get(action, {}).values(), default=0)
        by_rule = max((self.derived_action(action, site) for site in self.words.sites), default=0.0)
        return claimed >= PLAIN or by_rule >= PLAIN / FULL_STRENGTH

    def spoken_of(self, axis: str) -> bool:
        """Whether a deciding or widening source speaks of an axis, taken generally."""
        return bool(self.degrees_of([*self.words.deciding, *self.words.widening], axis, None))

    def said_in(self, tradition: str, axis: str) -> float | None:
        """The degree that the first source of a tradition gives to an axis, taken generally."""
        sources = [slug for slug, row in self.words.sources.items() if row["tradition"] == tradition]
        return next(iter(self.degrees_of(sources, axis, None)), None)

    def named(self, predicate: str) -> set[str]:
        """The values of one predicate from any source: its tastes, its constituents, its preparations."""
        return {claim[predicate] for claim in self.claims if predicate in claim}

    @cached_property
    def cautioned_words(self) -> set[str]:
        """The words about a person on which any source has any caution, however mild."""
        return self.named("caution")

    @cached_property
    def unsafe_words(self) -> set[str]:
        """The words about a person that make the part unsafe, from any source."""
        return {
            claim["caution"]
            for claim in self.claims
            if "caution" in claim and claim["level"] in UNSAFE_LEVELS and claim["reason"] in UNSAFE_REASONS
        }


def strongest_right(claims: Iterable[Claim]) -> int:
    """The strength that one source gives at one site: a claim about the form replaces the general one."""
    found = list(claims)
    own = [claim for claim in found if "form" in claim] or found
    return max((value_of(claim) for claim in own), default=0)


def value_of(claim: Claim) -> int:
    """The strength of an action or affinity claim."""
    return int(claim["strength"])


def rows(folder: Path, words: Vocabulary) -> dict[str, Row]:
    """Every part in every form that has claims of its own, by slug."""
    found: dict[str, Row] = {}
    for path in sorted((folder / "herbs").glob("*.yaml")):
        herb = read(path)
        for part in herb["parts"]:
            slug = f"{herb['slug']}-{part['part'].replace(' ', '-')}"
            usual = part["usual_form"]
            others = sorted({claim["form"] for claim in part["claims"] if "form" in claim} - {usual})
            for form in (usual, *others):
                own = [claim for claim in part["claims"] if claim.get("form", form) == form]
                name = slug if form == usual else f"{slug}-{form}"
                found[name] = Row(
                    words, name, part["part"], part["label"], form, own, herb["latin"], tuple(herb["status"])
                )
    return found
