"""Choosing findings that alone determine a pattern."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from herbs.engine import AXES, Pattern

from .scenery import Asking, Finding, OrderFinding, Scenery

PER_AXIS = 2  # every needed axis shows in at least two findings
TOLERANCE = 1.0  # summed evidence lies within one degree of the pattern
IDLE_CHANCE = 0.2  # how often one finding that does not bear is added
PAIRED_CHANCE = 0.35  # how often one finding speaks for two axes at once
GENERAL = "general"


@dataclass(frozen=True)
class Shown:
    """A finding as it is worded in one item; ``evidence`` is empty for order findings and idle ones."""

    slug: str
    text: str
    evidence: dict[str, int]
    order: bool
    kind: str


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
    pool = [finding for finding in scenery.findings if finding.site in (*asking.groups, GENERAL)]
    rng.shuffle(pool)
    # Findings of the complaint itself come first; the tongue, the pulse and the body in general support them.
    pool.sort(key=lambda finding: finding.site == GENERAL and rng.random() < 0.75)
    chosen: list[Finding] = []
    remaining = [degree for degree in pattern.degrees]
    if rng.random() < PAIRED_CHANCE:
        paired = next((f for f in pool if _speaks_for_two(f, pattern)), None)
        if paired:
            chosen.append(paired)
            remaining = [left - have for left, have in zip(remaining, paired.evidence, strict=True)]
    for axis, degree in enumerate(pattern.degrees):
        if degree:
            picked = _for_axis(pool, chosen, axis, degree, remaining[axis], rng)
            if picked is None:
                return None
            chosen += picked
    orders = []
    for axis, root in enumerate(pattern.follows):
        if root is not None:
            found = _order(scenery.orders, asking, pattern, root, axis, rng)
            if found is None:
                return None
            orders.append(found)
    shown = [
        Shown(f.slug, rng.choice(f.texts), {a: int(e) for a, e in zip(AXES, f.evidence, strict=True) if e}, False, f.kind)
        for f in chosen
    ]
    if len(shown) <= 4 and rng.random() < IDLE_CHANCE:
        idle = next((f for f in pool if not any(f.evidence)), None)
        if idle:
            shown.append(Shown(idle.slug, rng.choice(idle.texts), {}, False, idle.kind))
    told = [finding for finding in shown if finding.kind == "told"]
    seen = [finding for finding in shown if finding.kind != "told"]
    rng.shuffle(told)
    seen.sort(key=lambda finding: ("seen", "tongue", "pulse").index(finding.kind))
    findings = [*told, *(Shown(o.slug, rng.choice(o.texts), {}, True, "told") for o in orders), *seen]
    return findings if determines(findings, pattern) else None


def _speaks_for_two(finding: Finding, pattern: Pattern) -> bool:
    axes = [axis for axis, evidence in enumerate(finding.evidence) if evidence]
    return len(axes) == 2 and not finding.ambiguous and all(
        pattern.degrees[axis] * finding.evidence[axis] > 0 and abs(finding.evidence[axis]) <= abs(pattern.degrees[axis])
        for axis in axes
    )  # fmt: skip


def _for_axis(
    pool: Sequence[Finding], chosen: Sequence[Finding], axis: int, degree: float, remaining: float, rng: Random
) -> list[Finding] | None:
    """Findings on one axis that bring the evidence to within a degree; the nearest sum that the pool offers."""
    count = PER_AXIS - sum(1 for finding in chosen if finding.evidence[axis])
    tongues = {finding.kind for finding in chosen if finding.kind in ("tongue", "pulse")}
    single = [
        f for f in pool
        if f.evidence[axis] * degree > 0 and sum(map(bool, f.evidence)) == 1 and f not in chosen and f.kind not in tongues
    ][:14]  # fmt: skip
    best: tuple[float, list[Finding]] | None = None
    if count == 1:
        options = [[f] for f in single]
    else:
        options = [[f, g] for i, f in enumerate(single) for g in single[i + 1 :]]
    for option in options:
        kinds = [f.kind for f in option if f.kind in ("tongue", "pulse")]
        if len(kinds) != len(set(kinds)) or sum(f.ambiguous for f in option) > 0 and all(f.ambiguous for f in option):
            continue
        distance = abs(sum(f.evidence[axis] for f in option) - remaining)
        if distance <= TOLERANCE and (best is None or distance < best[0]):
            best = (distance, list(option))
            if not distance:
                break
    return None if best is None else best[1]


def _order(
    orders: Sequence[OrderFinding], asking: Asking, pattern: Pattern, root: int, follower: int, rng: Random
) -> OrderFinding | None:
    signs = (1 if pattern.degrees[root] > 0 else -1), (1 if pattern.degrees[follower] > 0 else -1)
    fitting = [o for o in orders if o.root == (root, signs[0]) and o.follower == (follower, signs[1])]
    local = [o for o in fitting if o.site in asking.groups]
    chosen = local or [o for o in fitting if o.site == GENERAL]
    return rng.choice(chosen) if chosen else None
