"""name-the-state: which state of the tissue do these findings add up to, and what is its root?

A state is a kind: the signs of its four axes, and what follows what. Its distance from the findings is the sum over the axes of
|summed evidence - degree|, the least over its degrees of severity. Valid only if the key is nearer by a degree than every option
with other signs, and its root and consequence are those that the findings of order show. An option may have the same signs with
root and consequence exchanged: only the order told speaks against it. The order is told in findings, not in the names of the
options: no vignette says "coldness at the start, from which the dryness grew".
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from random import Random
from typing import Any

from herbs.engine import AXES, STATE_POLES, Pattern
from lessons.engine.because import DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Case, Draft, article, tell
from lessons.engine.drawing import ATTEMPTS, within
from lessons.engine.scenery import OrderFinding
from lessons.engine.state_kinds import Kind, degrees_apart, exchanged, fault_between, kinds_of, noun, plainly_said
from lessons.engine.workshop import Workshop

NAME = "name-the-state"
TITLE = "Name the state"
RESPONSE = "choose"
FINITE = PANEL = False
DISTRACTORS = 3
CLEAR = 1.0  # degrees by which the key is nearer than any option with other signs
EXCHANGED = "root and consequence exchanged"
NEARNESS = 4.0  # how far chance may outweigh a degree of distance in the choice of distractors
SAME_FAULT = 6.0  # what a fault that is there already counts, in degrees of distance
LOUD_CHANCE = 0.7  # how often the loudest quality is taken for the root, where the root is in question
# Names of a quality as a whole, + and -, as against its signs in one place: "dryness", not "a dry throat".
NAMES: tuple[tuple[set[str], set[str]], ...] = (
    ({"heat"}, {"cold", "coldness", "chill", "chilliness"}),
    ({"damp", "wetness"}, {"dryness"}),
    ({"tension", "tightness"}, {"laxity", "slackness"}),
    ({"excitement", "restlessness"}, {"torpor", "sluggishness"}),
)
STEMS = (
    "Which state do these findings add up to?",
    "Which state of the tissue do the findings show here?",
    "Which of these names the state told of here, root first?",
    "What would you write down as the state of the tissue here?",
)
LOUD = (
    "The quality that troubles the person most is the root of the rest.",
    "The quality felt most strongly is the one that came first.",
)


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing is asked within the constraints."""
    scenery = workshop.scenery
    askings, forms = within(scenery, constraints)
    kinds = _kinds(workshop)
    orders = {order.slug: order for order in scenery.orders}
    for _ in range(ATTEMPTS):
        asking, form = rng.choice(askings), rng.choice(forms)
        if form.slug in asking.left_out:
            continue
        # No leaning of the constitution: it would read as one more quality of the state.
        told = tell(scenery, Case(asking, form), rng, labels=())
        if told is None:
            continue
        if any(names_both(finding.text, orders[finding.slug]) for finding in told.findings if finding.order):
            continue
        key = next(kind for kind in kinds if kind.is_of(form.pattern))
        evidence = _evidence(told.presentation)
        picked = _distractors(kinds, key, evidence, rng)
        if picked is None:
            continue
        options = [key, *picked]
        rng.shuffle(options)
        shown = [orders[finding.slug] for finding in told.findings if finding.order]
        yield {
            "stem": rng.choice(STEMS),
            "vignette": told.vignette,
            "presentation": told.presentation,
            "options": [
                {
                    "slug": kind.slug,
                    "label": kind.label,
                    "degrees": [list(degrees) for degrees in kind.degrees],
                    "follows": list(kind.follows),
                    "fault": None if kind is key else fault_between(key, kind),
                }
                for kind in options
            ],
            "key": options.index(key),
            "because": [_reasons(kind, key, evidence, told.presentation, rng) for kind in options],
            "certificate": {"rows": [], "orders": [[*order.root, *order.follower] for order in shown]},
            "skeleton": told.skeleton,
            "sources": {},
        }


def names_both(text: str, order: OrderFinding) -> bool:
    """Whether a finding of order names both root and consequence as the options do, or by another word for the whole quality."""
    words = set(re.findall(r"[a-z]+", text.lower()))
    return all(words & NAMES[axis][sign < 0] for axis, sign in (order.root, order.follower))


def _kinds(workshop: Workshop) -> tuple[Kind, ...]:
    key = (NAME, "kinds")
    if key not in workshop.kept:
        names = {slug: term["name"] for slug, term in workshop.terms.get("state", {}).items() if "of" not in term}
        workshop.kept[key] = kinds_of(workshop.scenery.patterns, names)
    kinds: tuple[Kind, ...] = workshop.kept[key]
    return kinds


def _evidence(presentation: Mapping[str, Any]) -> tuple[int, ...]:
    findings = presentation["findings"]
    return tuple(sum(finding["evidence"].get(axis, 0) for finding in findings) for axis in AXES)


def _distractors(kinds: Sequence[Kind], key: Kind, evidence: Sequence[float], rng: Random) -> list[Kind] | None:
    """Three other kinds, the exchanged one first where the key has a root; then near ones with faults as different as may be."""
    nearest = degrees_apart(key.degrees, evidence)
    picked = []
    if any(root is not None for root in key.follows):
        contrary = exchanged(key, kinds)
        if contrary is None:
            return None
        picked.append(contrary)
    worth = {}
    for kind in kinds:
        away = degrees_apart(kind.degrees, evidence)
        # A state that has nothing in common with the key is no temptation.
        akin = any(one == other for one, other in zip(kind.signs, key.signs, strict=True))
        if akin and kind.signs != key.signs and away >= nearest + CLEAR:
            worth[kind] = away + NEARNESS * rng.random()
    while len(picked) < DISTRACTORS:
        there = {fault_between(key, kind) for kind in picked}
        left = [kind for kind in worth if kind not in picked]
        if not left:
            return None
        picked.append(min(left, key=lambda kind: worth[kind] + SAME_FAULT * (fault_between(key, kind) in there)))
    return picked


def _reasons(
    kind: Kind, key: Kind, evidence: Sequence[int], presentation: Mapping[str, Any], rng: Random
) -> list[Reason]:
    """Four or five reasons for one option, shuffled. What decides is the order told where it names the root, the axis on which
    the option goes astray, and otherwise what the findings say together."""
    follower = next((axis for axis, root in enumerate(key.follows) if root is not None), None)
    fault = None if kind is key else fault_between(key, kind)
    found: list[Reason] = []

    def add(code: str, status: str) -> None:
        if all(reason["code"] != code for reason in found):
            found.append({"code": code, "status": status})

    if fault in (None, EXCHANGED) and follower is not None:
        add("order", DECISIVE)
        add(f"axis:{rng.choice([axis for axis in range(len(AXES)) if key.signs[axis]])}", TRUE)
        add("disorder", FALSE)
    else:
        astray = astray_on(kind, key)
        if astray is None:
            add("whole", DECISIVE)
            idle = [axis for axis in range(len(AXES)) if not key.signs[axis]]
            add(f"axis:{rng.choice(idle)}", TRUE)
            turned = rng.choice([axis for axis in range(len(AXES)) if key.signs[axis]])
            add(f"claim:{turned}:{-key.signs[turned]}", FALSE)
        else:
            add(f"axis:{astray}", DECISIVE)
            add(f"axis:{rng.choice(beside(kind, key, astray))}", TRUE)
            if kind.signs[astray]:
                add(f"claim:{astray}:{kind.signs[astray]}", FALSE)
            else:
                add(f"silent:{astray}", FALSE)
    at_root = found[0]["code"] == "order" and rng.random() < LOUD_CHANCE
    add(f"loud:{rng.randrange(len(LOUD))}" if at_root else "complaint", MISCONCEPTION)
    signs = [
        number
        for number, finding in enumerate(presentation["findings"])
        if any(kind.signs[AXES.index(axis)] * weight > 0 for axis, weight in finding["evidence"].items())
    ]
    if signs:
        add(f"sign:{rng.choice(signs)}", MISCONCEPTION)
    rng.shuffle(found)
    return found


def beside(kind: Kind, key: Kind, astray: int) -> list[int]:
    """Axes of which something true can be said that does not speak against an option: it agrees with the key on them.

    Those with a quality, or where there are none those without.
    """
    agreed = [axis for axis in range(len(AXES)) if kind.signs[axis] == key.signs[axis] and axis != astray]
    return [axis for axis in agreed if key.signs[axis]] or agreed


def astray_on(kind: Kind, key: Kind) -> int | None:
    """The axis on which an option goes astray: the contrary quality, or one that nothing speaks for, or one left out."""
    axes = range(len(AXES))
    contrary = [axis for axis in axes if kind.signs[axis] * key.signs[axis] < 0]
    invented = [axis for axis in axes if kind.signs[axis] and not key.signs[axis]]
    missed = [axis for axis in axes if key.signs[axis] and not kind.signs[axis]]
    return next(iter([*contrary, *invented, *missed]), None)


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for, of one option."""
    kind, _, rest = code.partition(":")
    presentation = item["presentation"]
    if kind == "axis":
        axis = int(rest)
        total = _evidence(presentation)[axis]
        return _adds_up(axis, total) if total else _silent(axis)
    if kind == "claim":
        axis, sign = (int(figure) for figure in rest.split(":"))
        return _adds_up(axis, sign)
    if kind == "silent":
        return _silent(int(rest))
    if kind in ("order", "disorder"):
        pattern = Pattern.from_mapping(presentation["pattern"])
        axis, root = next((axis, root) for axis, root in enumerate(pattern.follows) if root is not None)
        first, second = noun(root, pattern.degrees[root]), noun(axis, pattern.degrees[axis])
        if kind == "disorder":
            first, second = second, first
        return f"The order told puts {first} first, with {second} coming of it."
    if kind == "whole":
        pattern = Pattern.from_mapping(presentation["pattern"])
        return f"Taken together the findings speak for {plainly_said(pattern.degrees, pattern.follows)}."
    if kind == "complaint":
        option = item["options"][number]
        degrees, follows = option["degrees"][-1], option["follows"]
        lead = max(
            (axis for axis in range(len(AXES)) if degrees[axis] and follows[axis] is None),
            key=lambda axis: (axis in follows, abs(degrees[axis])),
        )
        return f"In most people such a complaint comes of {noun(lead, degrees[lead])}."
    if kind == "sign":
        return f"One sign is enough to name it: {presentation['findings'][int(rest)]['text']}."
    return LOUD[int(rest)]


def _adds_up(axis: int, total: float) -> str:
    return f"The findings on {AXES[axis]} add up to {noun(axis, total)}."


def _silent(axis: int) -> str:
    return f"Among the findings none speaks for {article(' or '.join(STATE_POLES[AXES[axis]]))} state."


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What does not hold of a key, worked out again from the findings' evidence and order and the degrees of the options."""
    key, presentation = item["key"], item["presentation"]
    evidence = _evidence(presentation)
    if not isinstance(key, int) or not 0 <= key < len(item["options"]):
        return ["The key is none of the options."]
    wrong = []
    shown = [[root, r, follower, f] for root, r, follower, f in item["certificate"]["orders"]]
    right = item["options"][key]
    pattern = Pattern.from_mapping(presentation["pattern"])
    if list(pattern.degrees) not in right["degrees"] or list(pattern.follows) != right["follows"]:
        wrong.append("The key is another state than the one presented.")
    follows: list[int | None] = [None] * len(AXES)
    for root, root_sign, follower, sign in shown:
        follows[follower] = root
        if any(d[root] * root_sign <= 0 or d[follower] * sign <= 0 for d in right["degrees"]):
            wrong.append("A finding of order speaks of other qualities than the key.")
    if follows != right["follows"] or len(shown) != sum(finding["order"] for finding in presentation["findings"]):
        wrong.append("The findings of order do not show the key's root.")
    nearest = min(sum(abs(e - d) for e, d in zip(evidence, degrees, strict=True)) for degrees in right["degrees"])
    signs = _signs(right)
    for number, option in enumerate(item["options"]):
        if number == key:
            continue
        away = min(sum(abs(e - d) for e, d in zip(evidence, degrees, strict=True)) for degrees in option["degrees"])
        if _signs(option) == signs:
            if option["follows"] == right["follows"] or option["fault"] != EXCHANGED:
                wrong.append(f"{option['slug']}: is the same state as the key.")
        elif away < nearest + CLEAR:
            wrong.append(f"{option['slug']}: lies within {CLEAR:g} degree of the key.")
    return wrong


def _signs(option: Mapping[str, Any]) -> list[int]:
    return [(degree > 0) - (degree < 0) for degree in option["degrees"][0]]
