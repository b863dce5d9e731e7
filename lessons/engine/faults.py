"""What is wrong with an herb that does not suit: one named fault, chosen among those that apply."""

import numpy as np

from herbs.engine import AXES, VERDICTS

from .proof import Proof

WRONG = {
    "temperature": "wrong temperature",
    "moisture": "wrong moisture",
    "tone": "wrong tone",
    "movement": "wrong movement",
}
FEEDS_ROOT = "feeds the root"
PALLIATES = "palliates only"
TOO_WEAK = "too weak"
TOO_STRONG = "too strong"
WRONG_PLACE = "wrong place"
LACKS_ACTION = "lacks the action here"
OPPOSED = "opposed action"
UNSAFE = "unsafe for this person"
FAULTS = (*WRONG.values(), FEEDS_ROOT, PALLIATES, TOO_WEAK, TOO_STRONG, WRONG_PLACE, LACKS_ACTION, OPPOSED, UNSAFE)

AGAINST = -0.25  # a raw match at or below this works against an axis
SHORT = 1 / 3  # a raw match below this leaves a need unmet
BEYOND = 1.5  # degrees past the need that count as too strong
PLACE_OR_ACTION = 0.33
MEETS = 1 / 3


def applicable(proof: Proof, row: int, unsafe: bool = False) -> tuple[str, ...]:
    """The faults that apply to a row, the gravest first; empty when nothing can be named.

    Unsafe stands before an opposed action, that before wrong qualities; only an herb that does no harm is called too
    weak, too strong, palliating, out of place or lacking the action.
    """
    table = proof.table
    pattern = table.presentation.pattern
    raw, effects, need = table.raw[row], table.effects[row], pattern.need
    if unsafe:
        return (UNSAFE,)
    found: list[str] = []
    if table.opposed[row]:
        found.append(OPPOSED)
    for axis in range(len(AXES)):
        if not need[axis] or raw[axis] > AGAINST:
            continue
        found.append(FEEDS_ROOT if axis in pattern.roots else WRONG[AXES[axis]])
    if VERDICTS[table.verdict[row]] == "aggravates":
        return tuple(dict.fromkeys(found))
    affinity, action = table.affinity[row], table.action[row]
    if affinity < PLACE_OR_ACTION:
        found.append(WRONG_PLACE)
    if action < PLACE_OR_ACTION <= affinity:
        found.append(LACKS_ACTION)
    if any(raw[axis] < 0 for axis in range(len(AXES)) if need[axis]) or min(affinity, action) < PLACE_OR_ACTION:
        return tuple(dict.fromkeys(found))
    for axis, root in enumerate(pattern.follows):
        if root is not None and raw[axis] >= MEETS and raw[root] < SHORT:
            found.append(PALLIATES)
    if PALLIATES not in found and any(raw[axis] < SHORT and abs(effects[axis]) < abs(need[axis]) for axis in pattern.leading):
        found.append(TOO_WEAK)
    pushing = [axis for axis in range(len(AXES)) if need[axis] and effects[axis] * need[axis] > 0]
    if any(abs(effects[axis]) - abs(need[axis]) >= BEYOND for axis in pushing):
        found.append(TOO_STRONG)
    return tuple(dict.fromkeys(found))


def table_of(proof: Proof, rows: np.ndarray) -> dict[int, tuple[str, ...]]:
    """Applicable faults of several rows, rows without any left out."""
    found = {int(row): applicable(proof, int(row)) for row in rows}
    return {row: faults for row, faults in found.items() if faults}
