"""what-would-have-to-change: an herb does not suit; which changed findings would make it right?

Valid only if the herb is never right as things stand; exactly one of four changes, each on one axis that neither follows
another nor is followed, makes it *suit* over its whole interval, under any weights and half a degree of doubt; and with each of
the others *suits* is not possible under the same. New findings show the new degree exactly, and nothing else of the case changes.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np

from herbs.engine import AXES, SHIFT, STATE_POLES, SUITS_ACTION, SUITS_AFFINITY, Pattern, Presentation, capital, pole
from herbs.engine import degree_number as number_of
from lessons.engine.because import (
    DECISIVE,
    DEGREE_WORDS,
    FALSE,
    MISCONCEPTION,
    NAME_FOR_REASON,
    REACH,
    TRUE,
    Reason,
    does,
)
from lessons.engine.certificate import extremes, presentation_of
from lessons.engine.changes import (
    Change,
    Telling,
    changed,
    fault_of,
    judged_after,
    obstacle,
    possible,
    proved,
    tell_change,
    unlinked,
)
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import (
    Draft,
    class_words,
    disputed,
    figure,
    judged_row,
    own_words,
    sources_on,
    tell,
    turns_on,
)
from lessons.engine.drawing import Drawn, draw_case, may_be_key, offered_rows
from lessons.engine.findings import Shown, choose
from lessons.engine.qualities import inset
from lessons.engine.scenery import PatternForm
from lessons.engine.workshop import Workshop

NAME = "what-would-have-to-change"
TITLE = "What would have to change"
RESPONSE = "choose"
FINITE = PANEL = False
WORDINGS = 8  # tries at findings and vignette before another presentation is drawn
LONGEST = 160  # characters of an option
HERBS = 6  # looked at for one presentation
OTHERS = 3
SAME_AXIS = 2  # options on the key's axis at most, with the key
MARKED = {"toxic", "restricted"}
STEMS = (
    "As it stands, {herb} is no good fit. Which of these changes would make it suit?",
    "{Herb} does not suit here as yet. What would have to change for it to become right?",
    "A fellow student thinks of {herb}, which does not fit. Which of these changes would make it the right {name}?",
    "{Herb} falls short in this case. With which of these changes would it suit?",
)
MADE = {"made+": 2.0, "made-": -2.0}  # an effect that the herb has not
BE = {True: "and the state would then be", False: "and the state would still be"}


Answers = tuple[tuple[Change, ...], tuple[Change, ...]]


@dataclass(frozen=True)
class Chosen:
    """The herb (row number), the change that makes it right, and the changes after which it plainly does not suit."""

    herb: int
    key: Change
    wrong: tuple[Change, ...]


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing within the constraints can be proved."""
    for drawn in draw_case(workshop, constraints, rng, constitution_chance=0.0):
        pattern = drawn.case.form.pattern
        # Where every quality is a root or a consequence, there is nothing that could give way alone.
        if not any(pattern.degrees[axis] for axis in unlinked(pattern)):
            continue
        chosen = _choose(workshop, drawn, constraints, rng)
        if chosen is None:
            continue
        for _ in range(WORDINGS):
            draft = _write(workshop, drawn, chosen, rng)
            if draft is not None:
                yield draft


def _choose(workshop: Workshop, drawn: Drawn, constraints: Constraints, rng: Random) -> Chosen | None:
    case, rows = drawn.case, drawn.catalogue.rows
    key = (NAME, case.asking.slug, case.form, rows[0].slug if rows else "", constraints.scope)
    if key not in workshop.kept:
        workshop.kept[key] = _herbs(workshop, drawn, constraints)
    herbs: dict[int, Answers] = workshop.kept[key]
    for herb in rng.sample(list(herbs), min(HERBS, len(herbs))):
        keys, wrong = herbs[herb]
        right = rng.choice(keys)
        if _holds(workshop, drawn, right, herb, sure=True):
            return Chosen(herb, right, wrong)
    return None


def _herbs(workshop: Workshop, drawn: Drawn, constraints: Constraints) -> dict[int, Answers]:
    """Every herb that could be asked about in one case, by row: the changes after which it suits, and after which it plainly
    does not, by the working figures; worked out once."""
    catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
    offered = offered_rows(catalogue, case, proof, constraints) & proof.listed & proof.never & ~proof.table.opposed
    offered = offered & ~catalogue.unsafe_for(case.asking.holds)
    offered = offered & (proof.table.affinity >= SUITS_AFFINITY) & (proof.table.action >= SUITS_ACTION)
    herbs = [row for row in np.flatnonzero(offered).tolist() if not MARKED & set(catalogue.rows[row].marks)]
    pattern = case.form.pattern
    pool = _pool(workshop, drawn)
    judged = {
        change: judged_after(workshop, case.asking, changed(pattern, change.axis, change.degree), pool)
        for change in (possible(workshop.scenery, case.asking, pattern) if herbs else ())
    }
    found = {}
    for herb in herbs:
        keys = tuple(
            change
            for change, (suits, _) in judged.items()
            if suits[herb]
            and pattern.degrees[change.axis] * change.degree <= 0  # more or less of the same is a matter of shades
            and _may_suit(drawn, change, herb)
        )
        others = tuple(change for change, (_, blocked) in judged.items() if blocked[herb])
        if keys and len(others) >= OTHERS:
            found[herb] = keys, others
    return found


def _others(
    workshop: Workshop, drawn: Drawn, chosen: Chosen, findings: Sequence[Shown], rng: Random
) -> dict[Change, Telling] | None:
    """Three changes that can be told beside the right one and provably leave the herb wrong."""
    pattern, key = drawn.case.form.pattern, chosen.key
    told: dict[Change, Telling] = {}
    taken = {(key.axis, np.sign(key.degree))}
    for change in rng.sample(chosen.wrong, len(chosen.wrong)):
        side = change.axis, np.sign(change.degree)
        on_axis = sum(other.axis == key.axis for other in told) + 1
        if (
            side in taken
            or fault_of(pattern, key, change) is None
            or (change.axis == key.axis and on_axis >= SAME_AXIS)
        ):
            continue
        # The last one has to be put in the same way as the key, if none is yet: replaced, added or gone.
        alike = any(other.kind(pattern) == key.kind(pattern) for other in (*told, change))
        if len(told) == OTHERS - 1 and not alike:
            continue
        telling = _telling(workshop, drawn, change, findings, rng)
        if telling is not None and _holds(workshop, drawn, change, chosen.herb, sure=False):
            told[change] = telling
            taken.add(side)
        if len(told) == OTHERS:
            return told if any(other.axis != key.axis for other in told) else None
    return None


def _telling(
    workshop: Workshop, drawn: Drawn, change: Change, findings: Sequence[Shown], rng: Random
) -> Telling | None:
    """A change in words, of bearable length; None where the vocabulary fails."""
    case = drawn.case
    telling = tell_change(workshop.scenery, case.asking, case.form.pattern, change, findings, rng)
    return telling if telling is not None and len(telling.label) <= LONGEST else None


def _presented(drawn: Drawn, pattern: Pattern) -> Presentation:
    return Presentation(drawn.case.asking.site, drawn.case.asking.action, pattern)


def _pool(workshop: Workshop, drawn: Drawn) -> int:
    pools = workshop.prover.pools(drawn.case.asking.action)
    return next(number for number, one in enumerate(pools) if one is drawn.catalogue)


def _holds(workshop: Workshop, drawn: Drawn, change: Change, herb: int, *, sure: bool) -> bool:
    """Whether an herb is sure to suit, or never suits, after a change."""
    pattern = changed(drawn.case.form.pattern, change.axis, change.degree)
    proof = proved(workshop, drawn.case.asking, pattern, _pool(workshop, drawn))
    return bool(proof[0 if sure else 1][herb])


def _may_suit(drawn: Drawn, change: Change, herb: int) -> bool:
    """Whether practice disputes nothing of the herb in the changed state, and its action does not hang on another one."""
    form = drawn.case.form
    pattern = changed(form.pattern, change.axis, change.degree)
    case = type(drawn.case)(drawn.case.asking, PatternForm(form.slug, form.name, form.severity, pattern, form.vigour))
    return may_be_key(drawn.catalogue, case, herb) and not disputed(drawn.catalogue, case)[herb]


def _write(workshop: Workshop, drawn: Drawn, chosen: Chosen, rng: Random) -> Draft | None:
    catalogue, case, scenery = drawn.catalogue, drawn.case, workshop.scenery
    pattern, label = case.form.pattern, catalogue.rows[chosen.herb].label
    findings = choose(scenery, case.asking, pattern, rng)
    if findings is None:
        return None
    right = _telling(workshop, drawn, chosen.key, findings, rng)
    others = _others(workshop, drawn, chosen, findings, rng) if right is not None else None
    if right is None or others is None:
        return None
    tellings = {chosen.key: right} | others
    order = list(tellings)
    rng.shuffle(order)
    words = turns_on(scenery, catalogue, [chosen.herb])
    told = tell(scenery, case, rng, labels=[label], words=words, findings=findings)
    if told is None:
        return None
    own, _ = own_words(catalogue, case.asking, chosen.herb)
    spoken, row = inset(label), judged_row(catalogue, drawn.proof, chosen.herb, case.asking)
    said = class_words(catalogue, case.asking) | ({"derived": own["derived"]} if "derived" in own else {})
    return {
        "stem": rng.choice(STEMS).format(herb=spoken, Herb=capital(spoken), name=said["name"]),
        "vignette": told.vignette,
        "presentation": told.presentation,
        "options": [
            {
                "slug": change.slug,
                "label": tellings[change].label,
                "axis": AXES[change.axis],
                "degree": change.degree,
                "fault": None if change == chosen.key else fault_of(pattern, chosen.key, change),
            }
            for change in order
        ],
        "key": order.index(chosen.key),
        "because": [_reasons(row, pattern, change, chosen.key, drawn, rng) for change in order],
        "words": said,
        "subject": {"part": catalogue.rows[chosen.herb].slug},
        "certificate": {
            "rows": [row],
            # What goes, and what comes with its evidence on the axis, for each option.
            "told": [
                [[f.slug for f in t.gone], [[f.slug, f.evidence[AXES[change.axis]]] for f in t.come]]
                for change in order
                for t in (tellings[change],)
            ],
        },
        "skeleton": told.skeleton,
        "sources": sources_on(workshop, case, [chosen.herb], catalogue),
    }


def _reasons(
    row: Mapping[str, Any], pattern: Pattern, change: Change, key: Change, drawn: Drawn, rng: Random
) -> list[Reason]:
    """For the key: what the herb does where the state has changed; for the others: where the state is still in the way."""
    fails = obstacle(row, _presented(drawn, changed(pattern, change.axis, change.degree)))
    decides = key.axis if change == key or fails is None else fails
    found = [
        {"code": f"at:{decides}", "status": DECISIVE},
        {
            "code": f"turned:{decides}" if row["value"][decides] else f"{rng.choice(sorted(MADE))}:{decides}",
            "status": FALSE,
        },
        {"code": "reach", "status": TRUE},
        {"code": f"name:{rng.randrange(len(NAME_FOR_REASON))}", "status": MISCONCEPTION},
    ]
    after = changed(pattern, change.axis, change.degree)
    beside = [axis for axis in range(len(AXES)) if axis != decides and (after.degrees[axis] or row["value"][axis])]
    if beside:
        other = change.axis if change.axis in beside else rng.choice(beside)
        found.append({"code": f"at:{other}", "status": TRUE})
    rng.shuffle(found)
    return found


def _state(axis: int, degree: float) -> str:
    """The state on an axis in words: "plainly damp", "neither hot nor cold"."""
    if not degree:
        up, down = STATE_POLES[AXES[axis]]
        return f"neither {up} nor {down}"
    return f"{DEGREE_WORDS[number_of(degree)]} {pole(AXES[axis], degree, STATE_POLES)}"


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for, of one option."""
    kind, _, rest = code.partition(":")
    words, row, option = item["words"], item["certificate"]["rows"][0], item["options"][number]
    if kind == "reach":
        return words.get("derived") or REACH.format(**words)
    if kind == "name":
        return NAME_FOR_REASON[int(rest)].format(**words)
    axis = int(rest)
    moved = option["axis"] == AXES[axis]
    degree = option["degree"] if moved else item["presentation"]["pattern"][AXES[axis]]["degree"]
    effects = list(row["value"])
    if kind == "turned":
        effects[axis] = -effects[axis]
    elif kind in MADE:
        effects[axis] = MADE[kind]
    return f"{does([axis], effects)}, {BE[moved]} {_state(axis, degree)}."


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of the key does not hold, by the scalar arithmetic at every candidate for an extreme, and by the findings told."""
    now, row = presentation_of(item), item["certificate"]["rows"][0]
    if row["part"] != item["subject"]["part"]:
        return ["The certificate is of another herb."]
    wrong: list[str] = []
    if not row["listed"] or row["opposed"]:
        wrong.append(f"{row['part']}: does not claim the action asked, or opposes it.")
    if "suits" in extremes(row, now, SHIFT)[0]:
        wrong.append(f"{row['part']}: may suit as things stand.")
    free = {AXES[axis] for axis in unlinked(now.pattern)}
    right = item["options"][item["key"]]
    key = Change(AXES.index(right["axis"]), right["degree"])
    for number, option in enumerate(item["options"]):
        name, axis = option["slug"], AXES.index(option["axis"])
        change = Change(axis, option["degree"])
        if name != change.slug or option["axis"] not in free or option["degree"] == now.pattern.degrees[axis]:
            wrong.append(f"{name}: is no change on an axis that stands alone.")
            continue
        after = Presentation(
            now.site, now.action, changed(now.pattern, axis, option["degree"]), now.constitution, now.person
        )
        verdicts = extremes(row, after, SHIFT)[0]
        if number == item["key"]:
            if verdicts != {"suits"}:
                wrong.append(f"{name}: the herb is not sure to suit after this change.")
        elif "suits" in verdicts:
            wrong.append(f"{name}: the herb may suit after this change too.")
        if option["fault"] != (None if number == item["key"] else fault_of(now.pattern, key, change)):
            wrong.append(f"{name}: the fault does not describe the change.")
        wrong += _recheck_findings(item, number)
    if len({option["slug"] for option in item["options"]}) != len(item["options"]):
        wrong.append("Two options are the same change.")
    return wrong


def _recheck_findings(item: Mapping[str, Any], number: int) -> list[str]:
    """Whether the findings that go are all those on the axis, and those that come show the new degree exactly."""
    option, (gone, come) = item["options"][number], item["certificate"]["told"][number]
    on_axis = {f["slug"]: f["evidence"] for f in item["presentation"]["findings"] if option["axis"] in f["evidence"]}
    wrong = []
    if set(gone) != set(on_axis) or any(len(evidence) > 1 for evidence in on_axis.values()):
        wrong.append(f"{option['slug']}: what goes is not what tells of the axis.")
    if figure(sum(evidence for _, evidence in come)) != option["degree"] or (option["degree"] and len(come) < 2):
        wrong.append(f"{option['slug']}: what comes does not show the degree.")
    return wrong
