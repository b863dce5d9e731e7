"""taste-to-effect: tasting this, what does a tradition expect of it?

A case is a part, a tradition and two axes of which the tradition's rule of taste speaks. Valid only if rule and claim of that
tradition agree on both (same sign, within one degree), and the rule leans by half a degree at least; or if the part is an
exception: its claim departs by more than one degree and has the contrary sign on at least one of the two. Then the stem says
so, and the key is what the tradition finds of the part. Tastes are those the tradition itself gives, or where it gives none
those told today.
No toxic or restricted part: nobody is led to taste it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from random import Random
from typing import Any

from herbs.engine import AXES, HERB_POLES, TasteRule, expected, joined
from herbs.engine.tastes import EXCEPTION
from lessons.engine.because import BARE, DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason, quality
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, article, figure, profile_row
from lessons.engine.faults import WRONG
from lessons.engine.workshop import Workshop

NAME = "taste-to-effect"
TITLE = "From taste to effect"
RESPONSE = "choose"
FINITE, PANEL = True, False
TODAY = "contemporary-western"
# How a tradition is named within a sentence, and how its rule is called.
TRADITIONS = {
    "contemporary-western": "contemporary Western herbalism",
    "galenic": "Galenic-humoral medicine",
    "ayurvedic": "Ayurvedic medicine",
    "chinese": "Chinese medicine",
    "physiomedical": "physiomedicalism",
    "eclectic": "eclectic medicine",
}
BARRED = {"toxic", "restricted"}
LEANS = 0.5  # degrees by which a rule has to lean before it is asked about
REVERSED = "both qualities reversed"
SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
# Number and person keep to "the taste" and "the herb", so that hops too may be asked about.
STEMS = (
    "The taste of {herb} is {tastes}. What does the rule of taste in {tradition} lead you to expect of the herb?",
    "You are given {herb}, {tastes} to the tongue. By the rule of taste in {tradition}, what should the herb do?",
    "The tasting note of {herb} reads: {tastes}. What does {tradition} expect from such a taste?",
)
STEMS_BORROWED = (
    "The taste of {herb} is described today as {tastes}. What does the rule of taste in {tradition} lead you to expect of "
    "the herb?",
    "A tasting note of today calls {herb} {tastes}. By the rule of taste in {tradition}, what should the herb do?",
    "Today the taste of {herb} is given as {tastes}. What did {tradition} expect from such a taste?",
)
STEMS_EXCEPTION = (
    "The taste of {herb} is {tastes}, yet {tradition} makes an exception to its rule of taste here. What is the herb held "
    "to do?",
    "In {tradition} the effect of {herb} departs from what the taste, {tastes}, would suggest. What is the herb held to do?",
    "The effect of {herb}, {tastes} to the tongue, is an exception in {tradition}. What is the herb found to do there?",
)
STEMS_BORROWED_EXCEPTION = (
    "The taste of {herb} is described today as {tastes}, yet {tradition} made an exception to its rule of taste here. "
    "What was the herb held to do?",
    "A tasting note of today calls {herb} {tastes}. In {tradition} the effect departs from what that would suggest. "
    "What was the herb held to do?",
    "The effect of {herb}, {tastes} to the tongue today, is an exception in {tradition}. What is the herb found to do there?",
)
# Mistaken ways from taste to effect that need no figures.
MISTAKES = (
    "The stronger it tastes, the more it warms, whatever the taste.",
    "A pleasant taste moistens and an unpleasant one dries.",
    "One rule of taste holds in all traditions alike.",
)
ALIKE = len(MISTAKES) - 1  # says by and large what another tradition's rule says in particular
MISTAKES_EXCEPTION = (
    "An herb that departs from the rule on one quality departs on all.",
    "The rule of taste admits of no exceptions in practice.",
    "An exception means that the herb has no quality at all.",
)


@dataclass(frozen=True)
class Case:
    """Row and part, tradition, whether the tastes are borrowed from today's, the tastes, and the two axes."""

    row: int
    part: str
    tradition: str
    borrowed: bool
    tastes: tuple[str, ...]
    axes: tuple[int, int]
    rule: tuple[float, float]
    claim: tuple[float, float]
    exception: bool


def cases(workshop: Workshop, constraints: Constraints) -> Sequence[Case]:
    """Every valid case, by part, tradition and axes; of a part with several rows, the first."""
    catalogue = workshop.catalogue
    plainly = workshop.plainly(constraints.action) if constraints.action else None
    rules: dict[str, list[TasteRule]] = {}
    for rule in workshop.rules:
        if rule.is_taste:
            rules.setdefault(rule.tradition, []).append(rule)
    found: list[Case] = []
    done = set()
    for number, row in enumerate(catalogue.rows):
        part = row.part_slug
        if part in done or not row.is_usual or part not in workshop.notes or BARRED & set(row.marks):
            continue
        if not constraints.admits_part(part) or (plainly is not None and not plainly[number]):
            continue
        done.add(part)
        notes = workshop.notes[part]
        for tradition, claims in sorted(notes.degrees.items()):
            own = notes.tastes.get(tradition, ())
            tastes = own or notes.tastes.get(TODAY, ())
            speaking = {rule.subject for rule in rules.get(tradition, ())}
            if not speaking & set(tastes):
                continue
            expectation = expected(rules[tradition], tastes)
            asked = [a for a, axis in enumerate(AXES) if abs(expectation.get(axis, 0)) >= LEANS and claims.get(axis)]
            for pair in combinations(asked, 2):
                rule_pair = tuple(figure(expectation[AXES[axis]]) for axis in pair)
                claim_pair = tuple(figure(claims[AXES[axis]]) for axis in pair)
                exception = _is_exception(rule_pair, claim_pair)
                if exception is not None:
                    found.append(
                        Case(
                            number, part, tradition, not own, tuple(tastes), pair,
                            rule_pair, claim_pair, exception,  # type: ignore[arg-type]
                        )
                    )  # fmt: skip
    return found


def _is_exception(rule: Sequence[float], claim: Sequence[float]) -> bool | None:
    """False where rule and claim agree on every axis, True for a plain exception, None for what lies between."""
    if all(r * c > 0 and abs(r - c) <= EXCEPTION for r, c in zip(rule, claim, strict=True)):
        return False
    departs = [r * c < 0 and abs(r - c) > EXCEPTION for r, c in zip(rule, claim, strict=True)]
    agrees = [r * c > 0 for r, c in zip(rule, claim, strict=True)]
    return True if any(departs) and all(d or a for d, a in zip(departs, agrees, strict=True)) else None


def write(workshop: Workshop, case: Case, rng: Random) -> Draft | None:
    """One wording of a case."""
    catalogue = workshop.catalogue
    row = catalogue.rows[case.row]
    right = tuple(1 if value > 0 else -1 for value in (case.claim if case.exception else case.rule))
    signs = list(SIGNS)
    rng.shuffle(signs)
    herb, tradition = row.label, TRADITIONS.get(case.tradition, f"the {case.tradition.replace('-', ' ')} tradition")
    stems = {
        (False, False): STEMS, (True, False): STEMS_BORROWED,
        (False, True): STEMS_EXCEPTION, (True, True): STEMS_BORROWED_EXCEPTION,
    }[case.borrowed, case.exception]  # fmt: skip
    number = rng.randrange(len(stems))
    tastes = list(case.tastes)
    stem = stems[number].format(herb=herb, tastes=joined(tastes), tradition=tradition)
    names = [AXES[axis] for axis in case.axes]
    rules = {
        rule.subject: dict(rule.axes)
        for rule in workshop.rules
        if rule.is_taste and rule.tradition == case.tradition and rule.subject in case.tastes
    }
    notes = workshop.notes[case.part]
    heard = {*notes.sources.get(case.tradition, ()), *(notes.sources.get(TODAY, ()) if case.borrowed else ())}
    return {
        "stem": stem,
        "vignette": "",
        "presentation": None,
        "options": [
            {"slug": _slug(names, pair), "label": _label(case.axes, pair), "fault": _fault(case.axes, right, pair)}
            for pair in signs
        ],
        "key": signs.index(right),  # type: ignore[arg-type]
        "because": [_reasons(workshop, case, rng)],
        "words": {"herb": herb, "tradition": tradition},
        "subject": {
            "part": row.slug,
            "tradition": case.tradition,
            "tastes": tastes,
            "borrowed": case.borrowed,
            "exception": case.exception,
            "rule": dict(zip(names, case.rule, strict=True)),
            "claim": dict(zip(names, case.claim, strict=True)),
        },
        "certificate": {"rows": [profile_row(catalogue, case.row)], "rules": rules},
        "skeleton": f"{NAME}:{number}:{row.slug}",
        "sources": {row.slug: sorted(heard)},
    }


def _slug(axes: Sequence[str], signs: Sequence[int]) -> str:
    return "-and-".join(HERB_POLES[axis][sign < 0] for axis, sign in zip(axes, signs, strict=True))


def _label(axes: Sequence[int], signs: Sequence[int]) -> str:
    """ "It warms and dries"."""
    return "It " + " and ".join(HERB_POLES[AXES[axis]][sign < 0] for axis, sign in zip(axes, signs, strict=True))


def _fault(axes: Sequence[int], right: Sequence[int], named: Sequence[int]) -> str | None:
    astray = [axis for axis, r, n in zip(axes, right, named, strict=True) if r != n]
    if len(astray) == 2:
        return REVERSED
    return WRONG[AXES[astray[0]]] if astray else None


def _reasons(workshop: Workshop, case: Case, rng: Random) -> list[Reason]:
    """Four or five reasons, the same whatever was answered: the rule, or in an exception the claim, decides."""
    flipped = rng.randrange(2)
    if case.exception:
        found = [
            {"code": "claim", "status": DECISIVE},
            {"code": "rule", "status": TRUE},
            {"code": f"unclaim:{flipped}", "status": FALSE},
        ]
        mistakes = MISTAKES_EXCEPTION
    else:
        found = [{"code": "rule", "status": DECISIVE}, {"code": f"unrule:{flipped}", "status": FALSE}]
        mistakes = MISTAKES
    other = _elsewhere(workshop, case)
    if other:
        found.append({"code": f"elsewhere:{rng.choice(other)}", "status": MISCONCEPTION})
    third = _third(workshop, case)
    if third and not case.exception:
        found.append({"code": f"besides:{rng.choice(third)}", "status": TRUE})
    fitting = [number for number in range(len(mistakes)) if not (other and mistakes is MISTAKES and number == ALIKE)]
    for number in rng.sample(fitting, 2 if len(found) < 4 else 1):
        found.append({"code": f"mistake:{number}", "status": MISCONCEPTION})
    rng.shuffle(found)
    return found


def _elsewhere(workshop: Workshop, case: Case) -> list[str]:
    """What another tradition's rule makes of the same tastes on the two axes, as codes, where that has other signs."""
    codes = []
    for tradition in sorted({rule.tradition for rule in workshop.rules} - {case.tradition}):
        rules = [rule for rule in workshop.rules if rule.is_taste and rule.tradition == tradition]
        found = expected(rules, case.tastes)
        degrees = [found.get(AXES[axis], 0.0) for axis in case.axes]
        truth = case.claim if case.exception else case.rule
        if all(abs(d) >= LEANS for d in degrees) and any(d * t < 0 for d, t in zip(degrees, truth, strict=True)):
            signs = "".join("+" if d > 0 else "-" for d in degrees)
            if not case.exception or any(d * r < 0 for d, r in zip(degrees, case.rule, strict=True)):
                codes.append(f"{tradition}:{signs}")
    return codes


def _third(workshop: Workshop, case: Case) -> list[str]:
    """Codes of what the tradition finds of the part on axes that are not asked about."""
    claims = workshop.notes[case.part].degrees[case.tradition]
    return [f"{axis}:{claims[name]:g}" for axis, name in enumerate(AXES) if axis not in case.axes and claims.get(name)]


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for."""
    kind, _, rest = code.partition(":")
    subject, words = item["subject"], item["words"]
    # Tastes on which the tradition is silent take no part in its rule.
    speaking = [taste for taste in subject["tastes"] if taste in item["certificate"]["rules"]]
    tradition = words["tradition"]
    axes = [AXES.index(name) for name in subject["rule"]]
    rule = [1 if value > 0 else -1 for value in subject["rule"].values()]
    claim = [1 if value > 0 else -1 for value in subject["claim"].values()]
    if kind in ("rule", "unrule"):
        signs = rule if kind == "rule" else _turned(rule, int(rest))
        if subject["exception"]:
            return f"By taste alone it would be expected to {_bare(axes, signs)}."
        together = "together are" if len(speaking) > 1 else "by itself is"
        return f"In {tradition} {_named(speaking)} {together} held to {_bare(axes, signs)}."
    if kind in ("claim", "unclaim"):
        signs = claim if kind == "claim" else _turned(claim, int(rest))
        return f"In {tradition} it is held to {_bare(axes, signs)}, whatever its taste."
    if kind == "elsewhere":
        _, _, signs_text = rest.partition(":")
        signs = [1 if sign == "+" else -1 for sign in signs_text]
        every = subject["tastes"]
        return (
            f"Whatever the school, {_named(every)} {'are' if len(every) > 1 else 'is'} bound to {_bare(axes, signs)}."
        )
    if kind == "besides":
        axis, _, degree = rest.partition(":")
        return f"In {tradition} it also {quality(int(axis), float(degree))}."
    return (MISTAKES_EXCEPTION if subject["exception"] else MISTAKES)[int(rest)]


def _named(tastes: Sequence[str]) -> str:
    """ "a bitter taste", "sweet and aromatic tastes"."""
    return f"{joined(tastes)} tastes" if len(tastes) > 1 else f"{article(tastes[0])} taste"


def _turned(signs: Sequence[int], which: int) -> list[int]:
    """Signs with one of them turned."""
    return [-sign if number == which else sign for number, sign in enumerate(signs)]


def _bare(axes: Sequence[int], signs: Sequence[int]) -> str:
    """ "warm and dry"."""
    return " and ".join(BARE[HERB_POLES[AXES[axis]][sign < 0]] for axis, sign in zip(axes, signs, strict=True))


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What does not hold, worked out again from the degrees of each taste, the claim and the words of the options."""
    subject, rules = item["subject"], item["certificate"]["rules"]
    wrong: list[str] = []
    axes = list(subject["rule"])
    if list(subject["claim"]) != axes or len(axes) != 2:
        return ["Rule and claim are not of the same two qualities."]
    if not set(rules) <= set(subject["tastes"]):
        wrong.append("The rule is of other tastes.")
    departs, agrees = [], []
    for axis in axes:
        spoken = [degrees[axis] for degrees in rules.values() if axis in degrees]
        mean = sum(spoken) / len(spoken) if spoken else 0.0
        rule, claim = subject["rule"][axis], subject["claim"][axis]
        if abs(mean - rule) > 1e-6 or abs(mean) < LEANS - 1e-6:
            wrong.append(f"The tastes do not lead one to expect {rule:g} of {axis}.")
        agrees.append(rule * claim > 0)
        departs.append(abs(rule - claim) > EXCEPTION)
    if subject["exception"]:
        if not any(d and not a for d, a in zip(departs, agrees, strict=True)):
            wrong.append("The herb is no exception to the rule.")
    elif not all(agrees) or any(departs):
        wrong.append("Rule and claim do not agree.")
    truth = subject["claim"] if subject["exception"] else subject["rule"]
    right = " and ".join(HERB_POLES[axis][0 if truth[axis] > 0 else 1] for axis in axes)
    labels = [option["label"] for option in item["options"]]
    if not isinstance(item["key"], int) or labels[item["key"]] != f"It {right}":
        wrong.append("The key is another effect than the one found.")
    if len(set(labels)) != len(labels):
        wrong.append("Two options are the same.")
    return wrong
