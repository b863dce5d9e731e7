"""Choosing findings that alone determine a pattern."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from random import Random

from herbs.engine import AXES, Pattern

from .scenery import GENERAL, Asking, Finding, Scenery

PER_AXIS = 2  # every needed axis shows in at least two findings
TOLERANCE = 1.0  # summed evidence lies within one degree of the pattern
IDLE_CHANCE = 0.2  # how often one finding that does not bear is added
NO_EVIDENCE = (0.0, 0.0, 0.0, 0.0)
PAIRED_CHANCE = 0.35  # how often one finding speaks for two axes at once
LOCAL, SUPPORTING = 6, 4  # candidates looked at on one axis: of the complaint itself, of the body in general
SIGNS_ELSEWHERE = ("tongue", "pulse")
# Stems too common to make two phrases say the same thing.
COMMON_STEMS = frozenset((
    "about", "after", "again", "alway", "anyth", "befor", "belly", "bowel", "cough", "eveni", "every", "feeli",
    "first", "gland", "later", "month", "morni", "never", "pulse", "since", "stoma", "stool", "there", "throa",
    "tongu", "under", "until", "urine", "weeks", "which", "while",
))  # fmt: skip


@dataclass(frozen=True)
class Shown:
    """A finding as it is worded in one item; ``evidence`` is empty for order findings and idle ones."""

    slug: str
    text: str
    evidence: dict[str, int]
    order: bool
    kind: str


@dataclass(frozen=True)
class Worded:
    """A finding with one of its phrasings and the stems that carry its meaning."""

    finding: Finding
    text: str
    stems: frozenset[str]


@lru_cache(maxsize=8192)
def stems(text: str) -> frozenset[str]:
    """Words that carry meaning, cut short, so that two phrases that say one thing are seen to share one."""
    return frozenset(word[:5] for word in re.findall(r"[a-z]+", text.lower()) if len(word) >= 5) - COMMON_STEMS


def evidence_of(findings: Sequence[Shown]) -> dict[str, int]:
    """Summed evidence by axis."""
    return {axis: sum(finding.evidence.get(axis, 0) for finding in findings) for axis in AXES}


def determines(findings: Sequence[Shown], pattern: Pattern) -> bool:
    """Whether findings alone determine the pattern: each needed axis in two of them, the sum of its sign and within one
    degree, every other axis 0, and one finding of order for each root."""
    total = evidence_of(findings)
    for axis, degree in zip(AXES, pattern.degrees, strict=True):
        bearing = sum(1 for finding in findings if finding.evidence.get(axis))
        if not degree:
            if total[axis]:
                return False
        elif bearing < PER_AXIS or total[axis] * degree <= 0 or abs(total[axis] - degree) > TOLERANCE:
            return False
    return sum(finding.order for finding in findings) == sum(root is not None for root in pattern.follows)


def choose(scenery: Scenery, asking: Asking, pattern: Pattern, rng: Random) -> list[Shown] | None:
    """Findings for a pattern at a site, in the order told, order, seen; None when the vocabulary has no such set."""
    orders = []
    for axis, root in enumerate(pattern.follows):
        if root is not None:
            order = _order(scenery, asking, pattern, root, axis, rng)
            if order is None:
                return None
            orders.append(order)
    used = set().union(*(stems(order.text) for order in orders)) if orders else set()
    chosen: list[Worded] = []
    if rng.random() < PAIRED_CHANCE:
        pairs = [f for f in scenery.paired[asking.slug] if _speaks_for_two(f, pattern) and _may_speak(f, pattern)]
        for finding in rng.sample(pairs, min(2, len(pairs))):
            worded = _word(finding, rng)
            if not worded.stems & used:
                chosen.append(worded)
                used |= worded.stems
                break
    for axis, degree in enumerate(pattern.degrees):
        if degree:
            picked = _for_axis(scenery, asking, pattern, axis, chosen, used, rng)
            if picked is None:
                return None
            chosen += picked
            used |= set().union(*(worded.stems for worded in picked))
    shown = [
        Shown(
            w.finding.slug,
            w.text,
            {a: int(e) for a, e in zip(AXES, w.finding.evidence, strict=True) if e},
            False,
            w.finding.kind,
        )
        for w in chosen
    ]
    if len(shown) <= 4 and rng.random() < IDLE_CHANCE and scenery.idle:
        idle = _word(rng.choice(scenery.idle), rng)
        shown.append(Shown(idle.finding.slug, idle.text, {}, False, idle.finding.kind))
    told = [finding for finding in shown if finding.kind == "told"]
    seen = [finding for finding in shown if finding.kind != "told"]
    rng.shuffle(told)
    seen.sort(key=lambda finding: ("seen", *SIGNS_ELSEWHERE).index(finding.kind))
    findings = [*told, *orders, *seen]
    return findings if determines(findings, pattern) else None


def _word(finding: Finding, rng: Random) -> Worded:
    text = rng.choice(finding.texts)
    return Worded(finding, text, stems(text))


def _may_speak(finding: Finding, pattern: Pattern) -> bool:
    """A finding with a cause of its own does not speak for a consequence."""
    return not finding.causal or all(
        pattern.follows[axis] is None for axis, evidence in enumerate(finding.evidence) if evidence
    )


def _speaks_for_two(finding: Finding, pattern: Pattern) -> bool:
    return all(
        pattern.degrees[axis] * evidence > 0 and abs(evidence) <= abs(pattern.degrees[axis])
        for axis, evidence in enumerate(finding.evidence)
        if evidence
    )


def _for_axis(
    scenery: Scenery, asking: Asking, pattern: Pattern, axis: int, chosen: Sequence[Worded], used: set[str], rng: Random,
    barred: frozenset[str] = frozenset(),
) -> list[Worded] | None:  # fmt: skip
    """Findings on one axis, none of those barred (slugs), that bring the evidence to within a degree of the pattern; the nearest
    sum on offer.

    Findings of the complaint itself come first; the tongue, the pulse and the body in general support them.
    """
    degree = pattern.degrees[axis]
    remaining = degree - sum(worded.finding.evidence[axis] for worded in chosen)
    count = PER_AXIS - sum(1 for worded in chosen if worded.finding.evidence[axis])
    taken = {worded.finding.kind for worded in chosen} & set(SIGNS_ELSEWHERE)
    local, supporting = scenery.single[asking.slug][(axis, degree > 0)]
    drawn = rng.sample(local, min(LOCAL, len(local))) + rng.sample(supporting, min(SUPPORTING, len(supporting)))
    offered = [
        worded
        for finding in drawn
        if finding.kind not in taken and finding.slug not in barred and _may_speak(finding, pattern)
        if not (worded := _word(finding, rng)).stems & used
    ]
    best: tuple[float, list[Worded]] | None = None
    for option in _sets(offered, count):
        distance = abs(sum(worded.finding.evidence[axis] for worded in option) - remaining)
        if distance <= TOLERANCE and (best is None or distance < best[0]):
            best = (distance, option)
            if not distance:
                break
    return None if best is None else best[1]


def _sets(offered: Sequence[Worded], count: int) -> Iterator[list[Worded]]:
    """Sets of findings that may stand together: not all ambiguous, one tongue and one pulse at most, nothing said twice."""
    if count == 1:
        yield from ([worded] for worded in offered if not worded.finding.ambiguous)
        return
    for first, second in combinations(offered, 2):
        if first.finding.ambiguous and second.finding.ambiguous:
            continue
        if first.finding.kind == second.finding.kind and first.finding.kind in SIGNS_ELSEWHERE:
            continue
        if not first.stems & second.stems:
            yield [first, second]


def _order(scenery: Scenery, asking: Asking, pattern: Pattern, root: int, follower: int, rng: Random) -> Shown | None:
    signs = (1 if pattern.degrees[root] > 0 else -1), (1 if pattern.degrees[follower] > 0 else -1)
    fitting = scenery.orders_of.get(((root, signs[0]), (follower, signs[1])), [])
    local = [o for o in fitting if o.site in asking.groups]
    chosen = local or [o for o in fitting if o.site == GENERAL]
    if not chosen:
        return None
    order = rng.choice(chosen)
    return Shown(order.slug, rng.choice(order.texts), {}, True, "told")


def instead(
    scenery: Scenery, asking: Asking, pattern: Pattern, axis: int, kept: Sequence[Shown], gone: Sequence[Shown], rng: Random
) -> list[Shown] | None:  # fmt: skip
    """Two findings that show exactly a pattern's degree on one axis, beside some that stay, in place of some that go; or None."""
    staying = [Worded(Finding(f.slug, "", f.kind, (), NO_EVIDENCE, False, False), f.text, stems(f.text)) for f in kept]
    used = set().union(*(stems(f.text) for f in (*kept, *gone)))
    shown = frozenset(f.slug for f in (*kept, *gone))
    picked = _for_axis(scenery, asking, pattern, axis, staying, used, rng, barred=shown)
    if picked is None or sum(worded.finding.evidence[axis] for worded in picked) != pattern.degrees[axis]:
        return None
    return [
        Shown(w.finding.slug, w.text, {AXES[axis]: int(w.finding.evidence[axis])}, False, w.finding.kind)
        for w in picked
    ]
