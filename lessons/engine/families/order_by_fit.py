"""order-by-fit: rank four herbs of one action class by how well they fit a presentation.

Valid only if, of two neighbours, every verdict possible for the better over its interval, under any weights within 30 %,
ranks above every one possible for the worse; or both can only *suit*, or only *partly suit*, and the better fits by .10 more at
the same weights, at every corner, over both intervals. Nobody is unsafe. The first is sure to suit, also under half a degree of
doubt on any one axis; and one reason alone sets the last below it, so that one reason decides.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise, permutations
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import (
    AXES,
    MARGIN,
    SUITS_ACTION,
    SUITS_AFFINITY,
    VERDICTS,
    Bounds,
    Catalogue,
    Pattern,
    bounds,
    capital,
    fit_of,
)
from lessons.engine.audit import uneven
from lessons.engine.because import (
    BARE,
    DECISIVE,
    FALSE,
    MISCONCEPTION,
    MOST,
    PLAINLY,
    TRUE,
    Reason,
    leads,
    ordered_leading,
    quality,
)
from lessons.engine.certificate import ROUNDING_ERROR, extremes, presentation_of
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import (
    Case,
    Draft,
    class_words,
    own_words,
)  # fmt: skip
from lessons.engine.drawing import draw_case, judged_draft, may_be_key, offered_rows, plainly_of, tellings
from lessons.engine.faults import AGAINST, LACKS_ACTION, MEETS, OPPOSED, WRONG_PLACE, applicable
from lessons.engine.proof import PARTLY, SLACK, SUITS, Proof
from lessons.engine.qualities import inset, is_plural
from lessons.engine.workshop import Workshop

NAME = "order-by-fit"
TITLE = "Order by fit"
RESPONSE = "rank"
FINITE = PANEL = False
COUNT = 4  # herbs in an order
GRADED = (SUITS, PARTLY)  # verdicts within which two herbs may be told apart by their fit
BARRED = frozenset({"toxic", "restricted"})  # a warning beside an herb would pass for its place in the order
FAMILIARITY, CHANCE = 300, 1000  # what an herb is worth to an order, in thousandths
STEMS = (
    "In what order do these four {plural} fit this presentation, from best to worst?",
    "How do you rank these {plural} for this presentation, the best fit first?",
    "From best fit to worst, in what order do these four {plural} stand here?",
)
# Sentences without a verb that would have to agree with a label: "hops" is one of them.
NAME_FOR_REASON = (
    "Repute as {action} puts {best} above {worst} here.",
    "The stronger {name} of the two comes first, and that is {best}.",
    "The gentler {name} of the two comes first, and that is {best}.",
)
BARS = {
    OPPOSED: "The action of {worst} as {opposed} undoes the action asked for.",
    WRONG_PLACE: "The reach of {worst} hardly takes in the {place}, whatever the qualities.",
    LACKS_ACTION: "The action of {worst} as {action} is hardly felt in this place, whatever the qualities.",
}
BAR_CODES = {OPPOSED: "bar:opposed", WRONG_PLACE: "bar:place", LACKS_ACTION: "bar:lacks"}
BAR_OF = {code: fault for fault, code in BAR_CODES.items()}
REACH = "Both are {class} whose reach takes in the {place}."


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing is asked about within the constraints."""
    for drawn in draw_case(workshop, constraints, rng):
        catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
        chosen = _choose(workshop, catalogue, case, proof, constraints, rng)
        if chosen is None:
            continue
        ranked, decisive = chosen
        for order, told in tellings(workshop, drawn, ranked, rng):
            listed, words = _reasons(catalogue, proof, case, ranked, decisive, rng)
            yield judged_draft(
                workshop, drawn, told, order, stem=rng.choice(STEMS), key=[order.index(row) for row in ranked],
                reasons=([listed], words), faults={},
            )  # fmt: skip


def _choose(
    workshop: Workshop, catalogue: Catalogue, case: Case, proof: Proof, constraints: Constraints, rng: Random
) -> tuple[list[int], str] | None:
    """Four rows in order, best first, and the code of what decides between the first and the last; None without any."""
    held = catalogue.unsafe_for(case.asking.holds)
    offered = offered_rows(catalogue, case, proof, constraints) & plainly_of(catalogue, case.asking.action)
    offered &= proof.listed & ~held
    rows = [
        int(row)
        for row in np.flatnonzero(offered)
        if not BARRED & set(catalogue.rows[row].marks) and may_be_key(catalogue, case, int(row))
    ]
    if len(rows) < COUNT or not proof.sure[rows].any():
        return None
    known = workshop.known_of
    worth = {row: FAMILIARITY * known.get(catalogue.rows[row].slug, 0.0) + rng.randrange(CHANCE) for row in rows}
    rows.sort(key=lambda row: (-worth[row], row))
    above = better(proof.plain, rows)
    species = [catalogue.rows[row].latin for row in rows]
    for path in _paths(above, species, [number for number, row in enumerate(rows) if proof.sure[row]]):
        ranked = [rows[number] for number in path]
        decisive = deciding(proof, ranked[-1])
        if decisive and not uneven([catalogue.rows[row].label for row in ranked]) and _holds(catalogue, proof, ranked):
            return ranked, decisive
    return None


def _holds(catalogue: Catalogue, proof: Proof, ranked: Sequence[int]) -> bool:
    """Whether an order holds with room to spare: no verdict of it rests on a figure that touches a threshold."""
    presentation = proof.table.presentation
    few = catalogue.only(ranked)
    _, low, high = few.effects(presentation.site)
    above = better(bounds(low, high, few, presentation, slack=SLACK), range(len(ranked)))
    return all(above[number, number + 1] for number in range(len(ranked) - 1))


def better(bounded: Bounds, rows: Sequence[int]) -> NDArray[np.bool_]:
    """(n, n) whether the one row is provably above the other, by verdict or within *suits* or *partly suits* by fit."""
    possible = bounded.possible[rows]
    best = possible.argmax(axis=1)
    worst = possible.shape[1] - 1 - possible[:, ::-1].argmax(axis=1)
    low, high = bounded.corner_low[:, rows], bounded.corner_high[:, rows]
    gap = (low[:, :, None] - high[:, None, :]).min(axis=0)
    graded = (best == worst) & np.isin(best, GRADED)
    alike = graded[:, None] & graded[None, :] & (best[:, None] == best[None, :])
    return np.asarray((worst[:, None] < best[None, :]) | (alike & (gap >= MARGIN + SLACK)))


def _paths(above: NDArray[np.bool_], species: Sequence[str], firsts: Sequence[int]) -> Iterator[list[int]]:
    """Orders of COUNT numbers of different species, each above the next; the worthiest numbers, which come first, sooner."""
    followers = [np.flatnonzero(line).tolist() for line in above]

    def extend(path: list[int]) -> Iterator[list[int]]:
        if len(path) == COUNT:
            yield path
            return
        taken = {species[number] for number in path}
        for number in followers[path[-1]]:
            if species[number] not in taken:
                yield from extend([*path, number])

    for first in firsts:
        yield from extend([first])


def deciding(proof: Proof, row: int) -> str | None:
    """The code of the one thing that sets a row below an herb that suits; None where there are several, or none to name.

    ``lead`` what it does on the leading axes; ``against:k`` a push the wrong way on another; ``bar:...`` a bar.
    """
    table = proof.table
    pattern, raw = table.presentation.pattern, table.raw[row]
    short = any(raw[axis] < MEETS for axis in pattern.leading)
    lesser = [axis for axis, need in enumerate(pattern.need) if need and axis not in pattern.leading]
    against = [axis for axis in lesser if raw[axis] <= AGAINST]
    if any(raw[axis] <= AGAINST for axis in pattern.leading):
        return None if table.opposed[row] else "lead"
    placed = table.affinity[row] >= SUITS_AFFINITY and table.action[row] >= SUITS_ACTION
    faults = applicable(proof, row)
    if short:
        # What it leaves undone decides, if nothing else bars it.
        return "lead" if placed and not against and not table.opposed[row] else None
    if table.opposed[row]:
        return None if against else BAR_CODES[OPPOSED]
    if against:
        return f"against:{against[0]}" if placed and len(against) == 1 else None
    return BAR_CODES.get(faults[0]) if faults else None


def _reasons(
    catalogue: Catalogue, proof: Proof, case: Case, ranked: Sequence[int], decisive: str, rng: Random
) -> tuple[list[Reason], dict[str, Any]]:
    """Why the first stands above the last: four or five reasons, shuffled, and the words they are said with."""
    best, worst = ranked[0], ranked[-1]
    table = proof.table
    pattern = table.presentation.pattern
    words: dict[str, Any] = class_words(catalogue, case.asking)
    mine, opposes = own_words(catalogue, case.asking, worst)
    found: list[Reason] = [{"code": decisive, "status": DECISIVE}]
    if decisive != "lead":
        found.append({"code": "lead", "status": TRUE})
    leading = ordered_leading(pattern)
    effects = table.effects[best], table.effects[worst]
    if _said(leading, effects[0]) != _said(leading, effects[1]):
        found.append({"code": "turned", "status": FALSE})
    placed = all(table.affinity[row] >= SUITS_AFFINITY and table.action[row] >= SUITS_ACTION for row in (best, worst))
    if placed and not decisive.startswith("bar:"):
        found.append({"code": "reach", "status": TRUE})
    others = [
        axis
        for axis in range(len(AXES))
        if axis not in leading
        and f"against:{axis}" != decisive
        and _said([axis], effects[0]) != _said([axis], effects[1])
    ]
    others.sort(key=lambda axis: pattern.follows[axis] is None)  # a consequence first
    if others:
        found.append({"code": f"axis:{others[0]}", "status": MISCONCEPTION})
    idle = [
        code
        for code, holds in (
            (BAR_CODES[OPPOSED], opposes or "opposed" not in mine),
            (BAR_CODES[WRONG_PLACE], table.affinity[worst] < PLAINLY),
            (BAR_CODES[LACKS_ACTION], table.action[worst] < PLAINLY),
        )
        if not holds and code != decisive
    ]
    if idle:
        found.append({"code": rng.choice(idle), "status": FALSE})
    found.append({"code": f"name:{rng.randrange(len(NAME_FOR_REASON))}", "status": MISCONCEPTION})
    while len(found) > MOST:
        found.remove(rng.choice([reason for reason in found[1:] if reason["code"] not in ("turned", "lead")]))
    if any(reason["code"] == BAR_CODES[OPPOSED] for reason in found):
        words["opposed"] = mine["opposed"]
    rng.shuffle(found)
    return found, words


def _said(axes: Sequence[int], effects: Sequence[float], *, plural: bool = False) -> str:
    """What an herb does on some axes, without its name: "warms plainly and dries slightly"."""
    told = [quality(axis, float(effects[axis])).partition(" ") for axis in axes]
    return " and ".join(f"{BARE.get(verb, 'do') if plural else verb} {rest}" for verb, _, rest in told)


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for, of the first and the last of the order."""
    del number  # the same reasons whatever was answered
    kind, _, rest = code.partition(":")
    ends = item["key"][0], item["key"][-1]
    labels = [item["options"][end]["label"] for end in ends]
    effects = [item["certificate"]["rows"][end]["value"] for end in ends]
    best, worst = map(inset, labels)
    leading = ordered_leading(Pattern.from_mapping(item["presentation"]["pattern"]))
    if kind in ("lead", "turned", "axis"):
        axes = [int(rest)] if kind == "axis" else leading
        first, last = effects[::-1] if kind == "turned" else effects
        if _said(axes, first) == _said(axes, last):
            return f"Each of the two {_said(axes, first)}, and {leads(axes)}."
        does = [_said(axes, own, plural=is_plural(label)) for own, label in zip((first, last), labels, strict=True)]
        return f"{capital(best)} {does[0]} while {worst} {does[1]}, and {leads(axes)}."
    if kind == "against":
        does_wrong = _said([int(rest)], effects[1], plural=is_plural(labels[1]))
        return f"{capital(worst)} {does_wrong}, and that is the wrong way for this case."
    words = item["words"] | {"best": best, "worst": worst}
    if kind == "bar":
        return BARS[BAR_OF[code]].format(**words)
    return (REACH if kind == "reach" else NAME_FOR_REASON[int(rest)]).format(**words)


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What in an item's certificate does not hold: of all orders exactly one, the key, may have each herb above the next."""
    presentation = presentation_of(item)
    rows = item["certificate"]["rows"]
    if [row["part"] for row in rows] != [option["part"] for option in item["options"]]:
        return ["The certificate is of other options."]
    wrong: list[str] = []
    for row, option in zip(rows, item["options"], strict=True):
        if not row["listed"]:
            wrong.append(f"{row['part']}: does not claim the action asked.")
        if presentation.person & set(row["unsafe"]):
            wrong.append(f"{row['part']}: is unsafe for this person.")
        if BARRED & set(option["marks"]):
            wrong.append(f"{row['part']}: a toxic or restricted plant is offered.")
        working = fit_of(tuple(row["value"]), row["affinity"], row["action"], presentation, opposed=row["opposed"])
        if option["verdict"] != working.verdict:
            wrong.append(f"{row['part']}: the verdict is not that of its figures.")
    spread = [extremes(row, presentation, 0.0) for row in rows]
    orders = [
        list(order)
        for order in permutations(range(len(rows)))
        if all(_stands_above(spread[one], spread[next_]) for one, next_ in pairwise(order))
    ]
    if orders != [item["key"]]:
        wrong.append("The order of the key is not the one order that is proved.")
    if spread[item["key"][0]][0] != {"suits"}:
        wrong.append("The first of the order does not suit everywhere.")
    return wrong


def _stands_above(
    one: tuple[set[str], list[float], list[float]], other: tuple[set[str], list[float], list[float]]
) -> bool:
    """Whether verdicts and fits of the one lie above those of the other wherever both may be."""
    ranks = [[VERDICTS.index(verdict) for verdict in spread[0]] for spread in (one, other)]
    if max(ranks[0]) < min(ranks[1]):
        return True
    alike = one[0] == other[0] and len(one[0]) == 1 and ranks[0][0] in GRADED
    return alike and all(low - high >= MARGIN - ROUNDING_ERROR for low, high in zip(one[1], other[2], strict=True))
