"""new-finding: thinking of an herb, you learn something more; does the herb now fit less or more, from -2 to +2?

There is no key without a panel. Valid if the herb claims the action, suits or partly suits by its working values, and is not
unsafe; if the new finding bears on one axis alone, on which the herb does something; and if it contradicts nothing that was
told: it adds to the state on that axis, or brings in an axis the state had left out. Presentations without a provable best
fit are taken before others. Where the arithmetic itself leans stands in the certificate, for comparison, and is no key.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from random import Random
from typing import Any

import numpy as np

from herbs.engine import (
    AXES,
    AXIS_INDEX,
    SUITS_ACTION,
    SUITS_AFFINITY,
    VERDICTS,
    Pattern,
    Presentation,
    fit_of,
)
from lessons.engine.because import DECISIVE, FALSE, MISCONCEPTION, MOST, REACH, TRUE, Reason, quality
from lessons.engine.certificate import presentation_of
from lessons.engine.constraints import Constraints
from lessons.engine.contrast import is_provable
from lessons.engine.drafts import Case, Draft, Told, class_words, judged_row, tell, turns_on
from lessons.engine.drawing import Drawn, draw_case, may_be_key, offered_rows, plainly_of
from lessons.engine.findings import SIGNS_ELSEWHERE, TOLERANCE, stems
from lessons.engine.qualities import inset
from lessons.engine.scenery import SEVERITIES, Finding
from lessons.engine.workshop import Workshop

NAME = "new-finding"
TITLE = "A new finding"
RESPONSE = "lean"
FINITE = False
PANEL = True
WORDINGS = 8  # tries at findings and vignette before another presentation is drawn
SPARE = 20  # presentations with a provable best fit kept for when there are no others
BARRED = frozenset({"toxic", "restricted"})
CONSIDERED = ("suits", "partly")  # verdicts of an herb that somebody would be thinking of
MOST_SEVERE = max(SEVERITIES)  # degrees: beyond it, more of the same says little
# The arithmetic leans by a step where the verdict or the fit changes by so much.
SLIGHT, MUCH = 0.05, 0.2
LEANS = (
    ("much-less", "fits much less"), ("less", "fits rather less"), ("as-before", "fits as well as before"),
    ("more", "fits rather more"), ("much-more", "fits much more"),
)  # fmt: skip
STEMS = (
    "You are thinking of {herb} when you {learn} {finding}. How much less or more does the herb fit now?",
    "Suppose you have {herb} in mind and then {learn} {finding}. How much less or more does the herb fit?",
    "Your mind has turned to {herb} when you {learn} {finding}. Does the herb fit less or more than it did?",
)
LEARN = ("hear of", "learn of")  # what is told
NOTICE = ("notice", "find")  # what is seen
NAME_FOR_REASON = (
    "It is {action}, and the case calls for one as much as before.",
    "It is a well-known {name}, and one finding more changes little in that.",
    "Any of the {class} would do here, and this is one of them still.",
)


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing is asked about within the constraints."""
    spare: list[Drawn] = []
    for drawn in draw_case(workshop, constraints, rng, constitution_chance=0.0):
        if _contested(workshop, drawn.case):
            yield from _of(workshop, drawn, constraints, rng, contested=True)
        elif len(spare) < SPARE:
            spare.append(drawn)
    for drawn in spare:
        yield from _of(workshop, drawn, constraints, rng, contested=False)


def _contested(workshop: Workshop, case: Case) -> bool:
    """Whether a presentation has no provable best fit; kept once found."""
    key = ("contested", case.asking.slug, case.form)
    if key not in workshop.kept:
        workshop.kept[key] = not is_provable(workshop.prover, case.asking, case.form)
    return bool(workshop.kept[key])


def _of(
    workshop: Workshop, drawn: Drawn, constraints: Constraints, rng: Random, *, contested: bool
) -> Iterator[Draft]:  # fmt: skip
    """Drafts about one presentation."""
    catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
    rows = _thought_of(drawn, constraints)
    if not rows:
        return
    known = workshop.known_of
    row = rng.choices(rows, [0.2 + known.get(catalogue.rows[row].slug, 0.0) for row in rows])[0]
    record, effects = catalogue.rows[row], proof.table.effects[row]
    for _ in range(WORDINGS):
        told = tell(
            workshop.scenery, case, rng, labels=[record.label], words=turns_on(workshop.scenery, catalogue, [row])
        )
        found = told and _new_finding(workshop, case, told, effects, rng)
        if not told or not found:
            continue
        finding, axis, text = found
        after = changed(case.form.pattern, axis, finding.evidence[axis])
        certified = judged_row(catalogue, proof, row, case.asking)
        asked = proof.table.presentation
        if torn(certified, asked, after):
            continue
        words = class_words(catalogue, case.asking)
        seen = finding.kind != "told"
        yield {
            "stem": rng.choice(STEMS).format(
                herb=inset(record.label),
                learn=rng.choice(NOTICE if seen else LEARN), finding=text,
            ),
            "vignette": told.vignette,
            "presentation": told.presentation,
            "options": [{"slug": slug, "label": label, "fault": None} for slug, label in LEANS],
            "key": None,
            "because": [_reasons(certified, axis, rng)],
            "words": words,
            "subject": {
                "part": record.slug,
                "finding": {"slug": finding.slug, "text": text, "axis": AXES[axis], "evidence": int(finding.evidence[axis]),
                            "kind": finding.kind},
            },
            "certificate": {
                "rows": [certified],
                "before": [int(degree) for degree in case.form.pattern.degrees],
                "after": [int(degree) for degree in after.degrees],
                "lean": lean(certified, asked, after),
                "contested": contested,
            },
            "skeleton": told.skeleton,
            "sources": {
                record.slug: sorted(
                    workshop.sources_of(
                        record.slug, case.asking.action, [a for a in range(len(AXES)) if after.degrees[a]]
                    )
                )
            },
        }  # fmt: skip


def _thought_of(drawn: Drawn, constraints: Constraints) -> list[int]:
    """Rows that somebody would think of here: plainly of the class, with a verdict that invites it, safe, and unmarked."""
    catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
    offered = offered_rows(catalogue, case, proof, constraints) & plainly_of(catalogue, case.asking.action)
    offered &= proof.listed & ~catalogue.unsafe_for(case.asking.holds)
    return [
        int(row)
        for row in np.flatnonzero(offered)
        if VERDICTS[proof.table.verdict[row]] in CONSIDERED
        and not BARRED & set(catalogue.rows[row].marks)
        and may_be_key(catalogue, case, int(row))
    ]


def _new_finding(
    workshop: Workshop, case: Case, told: Told, effects: Sequence[float], rng: Random
) -> tuple[Finding, int, str] | None:
    """A finding not told yet, its axis and its wording: on an axis on which the herb does something."""
    pattern = case.form.pattern
    shown = {finding.slug for finding in told.findings}
    used = stems(told.vignette)
    signs = {finding.kind for finding in told.findings} & set(SIGNS_ELSEWHERE)
    poles = workshop.scenery.single[case.asking.slug]
    fitting = [
        (finding, axis)
        for (axis, positive), (local, supporting) in poles.items()
        if effects[axis] and pattern.degrees[axis] * (1 if positive else -1) >= 0
        for finding in (*local, *supporting)
        if finding.slug not in shown and not finding.ambiguous and finding.kind not in signs
        and not (finding.causal and pattern.follows[axis] is not None)
        and abs(pattern.degrees[axis] + finding.evidence[axis]) <= MOST_SEVERE
    ]  # fmt: skip
    # The axis first, so that one with many findings is not drawn more often.
    for axis in rng.sample(range(len(AXES)), len(AXES)):
        own = [finding for finding, bearing in fitting if bearing == axis]
        rng.shuffle(own)
        for finding in own:
            text = rng.choice(finding.texts)
            if not stems(text) & used:
                return finding, axis, text
    return None


def changed(pattern: Pattern, axis: int, evidence: float) -> Pattern:
    """The pattern with a finding's evidence added on one axis; InvalidPatternError beyond four degrees."""
    degrees = list(pattern.degrees)
    degrees[axis] += evidence
    return replace(pattern, degrees=tuple(degrees))  # type: ignore[arg-type]


def lean(row: Mapping[str, Any], presentation: Presentation, after: Pattern) -> int:
    """Where the arithmetic leans, -2 to +2: the change of a certified row's verdict, and within one verdict of its fit."""
    was, now = (
        fit_of(tuple(row["value"]), row["affinity"], row["action"], asked, opposed=row["opposed"])
        for asked in (presentation, replace(presentation, pattern=after))
    )
    step = VERDICTS.index(was.verdict) - VERDICTS.index(now.verdict)
    change = now.fit - was.fit
    if not step and abs(change) < SLIGHT:
        return 0
    size = 2 if abs(step) > 1 or abs(change) >= MUCH else 1
    return size if (step or change) > 0 else -size


def torn(row: Mapping[str, Any], presentation: Presentation, after: Pattern) -> bool:
    """Whether the verdict moves one way and the fit the other: then not even the arithmetic leans, and nothing is asked."""
    was, now = (
        fit_of(tuple(row["value"]), row["affinity"], row["action"], asked, opposed=row["opposed"])
        for asked in (presentation, replace(presentation, pattern=after))
    )
    return (VERDICTS.index(was.verdict) - VERDICTS.index(now.verdict)) * (now.fit - was.fit) < 0


def _reasons(row: Mapping[str, Any], axis: int, rng: Random) -> list[Reason]:
    """Which quality of the herb the finding bears on: four or five reasons, shuffled."""
    found: list[Reason] = [
        {"code": f"bears:{axis}", "status": DECISIVE},
        {"code": f"turned:{axis}", "status": FALSE},
        {"code": f"name:{rng.randrange(len(NAME_FOR_REASON))}", "status": MISCONCEPTION},
    ]
    if row["affinity"] >= SUITS_AFFINITY and row["action"] >= SUITS_ACTION:
        found.append({"code": "reach", "status": TRUE})
    # Qualities of the herb that the finding says nothing of; those it has before those it has not.
    others = sorted(
        rng.sample([a for a in range(len(AXES)) if a != axis], 3), key=lambda other: not row["value"][other]
    )
    found += [{"code": f"bears:{other}", "status": MISCONCEPTION} for other in others]
    found = found[:MOST]
    rng.shuffle(found)
    return found


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for, of the herb thought of."""
    del number  # the same reasons whatever was answered
    kind, _, rest = code.partition(":")
    if kind == "reach":
        return REACH.format(**item["words"])
    if kind == "name":
        return NAME_FOR_REASON[int(rest)].format(**item["words"])
    axis = int(rest)
    effect = item["certificate"]["rows"][0]["value"][axis]
    return f"It {quality(axis, -effect if kind == 'turned' else effect)}, and the new finding bears on {AXES[axis]}."


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of the item does not hold: there is no key, and the pattern after follows from the one before and the finding."""
    certificate, told = item["certificate"], item["subject"]["finding"]
    row, presentation = certificate["rows"][0], presentation_of(item)
    axis, evidence = AXIS_INDEX[told["axis"]], told["evidence"]
    before, after = certificate["before"], certificate["after"]
    wrong: list[str] = []
    if item["key"] is not None:
        wrong.append("There is a key, and none is proved without a panel.")
    if row["part"] != item["subject"]["part"] or not row["listed"]:
        wrong.append("The certificate is not of an herb that claims the action asked.")
    if presentation.person & set(row["unsafe"]):
        wrong.append(f"{row['part']}: is unsafe for this person.")
    if not row["value"][axis]:
        wrong.append(f"{row['part']}: does nothing on the axis of the finding.")
    if before != list(presentation.pattern.degrees):
        wrong.append("The pattern before is not the one presented.")
    if after != [degree + evidence * (number == axis) for number, degree in enumerate(before)]:
        wrong.append("The pattern after does not follow from the finding.")
        return wrong
    if before[axis] * evidence < 0 or not evidence:
        wrong.append("The finding contradicts the state, or says nothing.")
    if any(finding["slug"] == told["slug"] for finding in item["presentation"]["findings"]):
        wrong.append("The finding is not new.")
    shown = [finding["evidence"].get(told["axis"], 0) for finding in item["presentation"]["findings"]]
    if abs(sum(shown) + evidence - after[axis]) > TOLERANCE:
        wrong.append("The findings do not add up to the pattern after.")
    if certificate["lean"] != lean(row, presentation, replace(presentation.pattern, degrees=tuple(after))):
        wrong.append("The arithmetic does not lean that way.")
    if [option["slug"] for option in item["options"]] != [slug for slug, _ in LEANS]:
        wrong.append("The answers are not the five leans in order.")
    decisive = {reason["code"] for reasons in item["because"] for reason in reasons if reason["status"] == DECISIVE}
    if decisive != {f"bears:{axis}"}:
        wrong.append("The decisive reason is not of the axis of the finding.")
    return wrong
