"""What is wrong with an herb that does not suit: one named fault, chosen among those that apply."""

from herbs.engine import AGGRAVATES_LEADING, AXES, SUITS_ACTION, SUITS_AFFINITY, SUITS_LEADING, VERDICTS

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

AGAINST = AGGRAVATES_LEADING  # a raw match at or below this works against an axis
MEETS = SUITS_LEADING  # a raw match below this leaves a need unmet
BEYOND = 1.5  # degrees past the need that count as too strong
HEAVY_WASTE = 0.25  # four degrees that nobody asked for: with any overshoot this too is too strong


def applicable(proof: Proof, row: int, unsafe: bool = False) -> tuple[str, ...]:
    """The faults that apply to a row, the gravest first; empty when nothing can be named.

    Unsafe stands before an opposed action, that before feeding the root, that before a wrong quality (a leading axis
    first); only an herb that does no harm is called out of place, lacking the action, palliating, too weak or too strong.
    """
    table = proof.table
    pattern = table.presentation.pattern
    raw, effects, need = table.raw[row], table.effects[row], pattern.need
    if unsafe:
        return (UNSAFE,)
    against = [axis for axis in range(len(AXES)) if need[axis] and raw[axis] <= AGAINST]
    against.sort(key=lambda axis: (axis not in pattern.roots, axis not in pattern.leading, raw[axis]))
    found = [FEEDS_ROOT if axis in pattern.roots else WRONG[AXES[axis]] for axis in against]
    if table.opposed[row]:
        return tuple(dict.fromkeys([OPPOSED, *found]))
    affinity, action = table.affinity[row], table.action[row]
    if found and VERDICTS[table.verdict[row]] == "aggravates":
        return tuple(dict.fromkeys(found[:1]))
    if affinity < SUITS_AFFINITY:
        found.insert(0, WRONG_PLACE)
    elif action < SUITS_ACTION:
        found.insert(0, LACKS_ACTION)
    if found or any(raw[axis] < 0 for axis in range(len(AXES)) if need[axis]):
        return tuple(dict.fromkeys(found))
    if any(root is not None and raw[axis] >= MEETS and raw[root] < MEETS for axis, root in enumerate(pattern.follows)):
        return (PALLIATES,)
    if any(raw[axis] < MEETS and abs(effects[axis]) < abs(need[axis]) for axis in pattern.leading):
        return (TOO_WEAK,)
    pushing = [axis for axis in range(len(AXES)) if need[axis] and effects[axis] * need[axis] > 0]
    beyond = max((abs(effects[axis]) - abs(need[axis]) for axis in pushing), default=0.0)
    heavy = beyond >= BEYOND or (beyond >= 1 and table.waste[row].sum() >= HEAVY_WASTE)
    return (TOO_STRONG,) if heavy else ()
