"""kinds: which of four herbs of one class is of which kind, a kind being a pair of qualities such as "warming and drying"?

Valid only if there is one perfect matching of herbs with kinds in the graph "may have both qualities somewhere in its
intervals", and in it every quality holds over the whole interval. Cases are narrower still: each herb may be of its own
kind and of no other of the four, so that nobody has to guess by elimination; and some two of the four part on one axis alone,
which the reasons are about.

All four have the action plainly, in their usual form, and are of different species. Cases are a bounded, fixed sample: of
each class and each four kinds the FOURS fours of herbs that a stride of large primes through the fitting herbs meets; and of
each class at most CASES of these, taken at even steps. Toxic plants may appear, with their marks: qualities alone are asked.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import combinations, permutations
from random import Random
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXES, capital, pole
from lessons.engine.audit import clang
from lessons.engine.audit.options import LONGEST_TO_SHORTEST
from lessons.engine.because import BARE, DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, herb, profile_row
from lessons.engine.qualities import (
    agreeing,
    classes_asked,
    fame,
    gerund,
    said_in_name,
    sign_of,
    species_numbers,
    usual_rows,
)
from lessons.engine.workshop import Workshop

NAME = "kinds"
TITLE = "Kinds of one class"
RESPONSE = "match"
FINITE = True
PANEL = False
FOURS = 3  # of herbs, for each four kinds of a class
CASES = 1000  # of one class
PRIMES = (7919, 104729, 1299709)  # strides: by four kinds, by sample, by place among the four
Quality = tuple[int, int]  # an axis and a sign
KINDS: tuple[tuple[Quality, Quality], ...] = tuple(
    ((one, s), (other, t)) for one, other in combinations(range(len(AXES)), 2) for s in (1, -1) for t in (1, -1)
)
PAIRS = tuple(combinations(range(4), 2))  # places of two of the four
STEMS = (
    "Which of these {plural} is of which kind?",
    "These four {plural} are of four kinds: which pair of qualities goes with which herb?",
    "Which pair of qualities belongs to which of these {plural}?",
    "By its qualities, which kind does each of these {plural} belong to?",
)
TELLS = "{first} {does} and {second} {contrary}, which tells these two apart."
ALIKE = "{first} and {second} both {does}, which leaves these two together."
CLASS = "{first} and {second} are both {plural}, which leaves these two together."
NAME_FOR_REASON = (
    "{first} and {second} are both {plural}, so they must be of one kind.",
    "{first} and {second} share their class, and their kind goes with the class.",
)


class Four(NamedTuple):
    """Four rows of a class, each with the kind (number in KINDS) at the same place."""

    action: str
    rows: tuple[int, ...]
    kinds: tuple[int, ...]


@cache
def _fours() -> NDArray[np.int64]:
    """(F, 4) every four kinds."""
    return np.array(list(combinations(range(len(KINDS)), 4)), dtype=np.int64)


def fitting(low: NDArray[np.float64], high: NDArray[np.float64], *, surely: bool) -> NDArray[np.bool_]:
    """(P, K) which rows are of which kind: over their whole intervals, or somewhere in them."""
    up, down = (low > 0, high < 0) if surely else (high > 0, low < 0)
    ways = {1: up, -1: down}
    return np.stack([ways[s][:, one] & ways[t][:, other] for (one, s), (other, t) in KINDS], axis=1)


def cases(workshop: Workshop, constraints: Constraints) -> Sequence[Four]:
    """A fixed sample of every class, in the order of its kinds; the same four herbs once."""
    catalogue = workshop.catalogue
    species = species_numbers(workshop)
    usual = usual_rows(workshop, constraints)
    lengths = np.array([len(row.label) for row in catalogue.rows])
    found: list[Four] = []
    for action in classes_asked(workshop, constraints):
        rows = np.flatnonzero(workshop.plainly(action) & usual)
        # A herb whose first word the class or a kind would say aloud is left out.
        rows = np.array([row for row in rows if not _tells_itself(workshop, action, int(row))], dtype=np.int64)
        low, high = catalogue.low[rows], catalogue.high[rows]
        picked, kinds = _sample(low, high, said_in_name(catalogue.actions[action].plural))
        telling = _telling(low, high)
        sound = _differing(species[rows][picked]) & _even_lengths(lengths[rows][picked])
        sound &= np.any([telling[picked[:, one], picked[:, other]] for one, other in PAIRS], axis=0)
        fours = zip(rows[picked[sound]].tolist(), kinds[sound].tolist(), strict=True)
        once = {frozenset(four): Four(action, tuple(four), tuple(kind)) for four, kind in fours}
        found += _spread(iter(once.values()))
    return found


def _differing(numbers: NDArray[np.int64]) -> NDArray[np.bool_]:
    """(N,) rows of four different numbers."""
    ordered = np.sort(numbers, axis=1)
    return np.asarray((ordered[:, 1:] != ordered[:, :-1]).all(axis=1))


def _even_lengths(lengths: NDArray[np.int64]) -> NDArray[np.bool_]:
    """(N,) fours of labels of which none is out of proportion to another."""
    return np.asarray(lengths.max(axis=1) <= LONGEST_TO_SHORTEST * lengths.min(axis=1))


def _telling(low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.bool_]:
    """(P, P) whether two rows may be contrary on one axis alone, and are so throughout."""
    up, down = high > 0, low < 0  # somewhere
    surely_up, surely_down = low > 0, high < 0
    may = (up[:, None] & down[None, :]) | (down[:, None] & up[None, :])
    must = (surely_up[:, None] & surely_down[None, :]) | (surely_down[:, None] & surely_up[None, :])
    return np.asarray((may.sum(axis=2) == 1) & (must.sum(axis=2) == 1))


def _tells_itself(workshop: Workshop, action: str, row: int) -> bool:
    text = " ".join([workshop.catalogue.actions[action].plural, *(gerund(axis, s) for axis in AXES for s in (1, -1))])
    return clang(text, [workshop.catalogue.rows[row].label]) is not None


def _spread(fours: Iterator[Four]) -> list[Four]:
    """At most CASES different ones at even steps."""
    every = list(dict.fromkeys(fours))
    step = max(1.0, len(every) / CASES)
    return [every[int(n * step)] for n in range(min(CASES, len(every)))]


def _sample(
    low: NDArray[np.float64], high: NDArray[np.float64], spoken_for: frozenset[int]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Rows (N, 4), numbered within the class, and their kinds (N, 4): each of its own kind, possibly of no other of the four."""
    surely, possibly = fitting(low, high, surely=True), fitting(low, high, surely=False)
    pools = [np.flatnonzero(column) for column in surely.T]
    sizes = np.array([len(pool) for pool in pools])
    for number, kind in enumerate(KINDS):
        if spoken_for & {axis for axis, _ in kind}:
            sizes[number] = 0
    fours = _fours()
    feasible = np.flatnonzero((sizes[fours] > 0).all(axis=1))
    table = np.zeros((len(pools), max(1, *map(len, pools))), dtype=np.int64)
    for number, pool in enumerate(pools):
        table[number, : len(pool)] = pool
    kinds = np.repeat(fours[feasible], FOURS, axis=0)
    which = np.repeat(feasible, FOURS) * PRIMES[0] + np.tile(np.arange(FOURS), len(feasible)) * PRIMES[1]
    places = (which[:, None] + np.arange(4) * PRIMES[2]) % sizes[kinds]
    picked = table[kinds, places]
    # (N, 4, 4) whether the herb at one place may be of the kind at another.
    may = possibly[picked[:, :, None], kinds[:, None, :]]
    alone = may.sum(axis=(1, 2)) == 4
    return picked[alone], kinds[alone]


def contrary_axes(low: Sequence[Sequence[float]], high: Sequence[Sequence[float]], one: int, other: int) -> list[int]:
    """The axes on which two of several herbs may be contrary somewhere in their intervals."""
    return [
        axis
        for axis in range(len(AXES))
        if (high[one][axis] > 0 and low[other][axis] < 0) or (low[one][axis] < 0 and high[other][axis] > 0)
    ]


def telling_axis(low: Sequence[Sequence[float]], high: Sequence[Sequence[float]], one: int, other: int) -> str | None:
    """The one statement that tells two herbs apart: "temperature+" where the first surely warms, the second surely cools.

    None unless they may be contrary on one axis alone, and are so throughout.
    """
    axes = contrary_axes(low, high, one, other)
    if len(axes) != 1:
        return None
    (axis,) = axes
    if low[one][axis] > 0 and high[other][axis] < 0:
        return f"{AXES[axis]}+"
    return f"{AXES[axis]}-" if high[one][axis] < 0 and low[other][axis] > 0 else None


def write(workshop: Workshop, case: Four, rng: Random) -> Draft | None:
    """The question about four rows; the order of herbs and that of kinds are drawn apart."""
    catalogue = workshop.catalogue
    order = rng.sample(range(4), 4)
    shown = rng.sample(case.kinds, 4)
    rows = [case.rows[n] for n in order]
    certified = [profile_row(catalogue, row) for row in rows]
    low, high = [row["low"] for row in certified], [row["high"] for row in certified]
    one, other = rng.choice([pair for pair in PAIRS if telling_axis(low, high, *pair)])
    term = catalogue.actions[case.action]
    number = rng.randrange(len(STEMS))
    parts = [row["part"] for row in certified]
    axes = sorted({axis for kind in case.kinds for axis, _ in KINDS[kind]})
    return {
        "stem": STEMS[number].format(plural=term.plural),
        "options": [herb(catalogue, row) | {"fault": None} for row in rows],
        "kinds": [kind_name(kind) for kind in shown],
        "key": [shown.index(case.kinds[n]) for n in order],
        "because": [_reasons(low, high, (one, other), rng)],
        "subject": {"action": case.action, "pair": [parts[one], parts[other]]},
        "words": {"class": term.plural},
        "known": fame(workshop, parts),
        "certificate": {"rows": certified},
        "skeleton": f"{NAME}:{number}:{case.action}:{'+'.join(sorted(parts))}",
        "sources": {part: sorted(workshop.sources_of(part, case.action, tuple(axes))) for part in parts},
    }


def kind_name(kind: int) -> str:
    """A kind in words: "warming and drying"."""
    return " and ".join(gerund(AXES[axis], sign) for axis, sign in KINDS[kind])


def _reasons(
    low: Sequence[Sequence[float]], high: Sequence[Sequence[float]], pair: tuple[int, int], rng: Random
) -> list[Reason]:
    """What tells two of the four apart, its contrary, another axis, what they share, and the class taken for a reason."""
    one, other = pair
    right = telling_axis(low, high, one, other) or ""
    contrary = right[:-1] + ("-" if right.endswith("+") else "+")
    axes = [axis for axis in AXES if axis != right[:-1]]
    wrong = [f"{axis}{rng.choice('+-')}" for axis in rng.sample(axes, 2)]
    shared = [
        f"{axis}{'+' if low[one][number] > 0 else '-'}"
        for number, axis in enumerate(AXES)
        if all(low[n][number] > 0 for n in pair) or all(high[n][number] < 0 for n in pair)
    ]
    found = [
        (f"tells:{right}", DECISIVE),
        (f"tells:{contrary}", FALSE),
        (f"tells:{wrong[0]}", FALSE),
        (f"alike:{rng.choice(shared)}" if shared else "class", TRUE),
        (f"name:{rng.randrange(len(NAME_FOR_REASON))}", MISCONCEPTION) if shared else (f"tells:{wrong[1]}", FALSE),
    ]
    rng.shuffle(found)
    return [{"code": code, "status": status} for code, status in found]


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence of a reason; the same whatever was answered."""
    kind, _, rest = code.partition(":")
    labels = {option["part"]: option["label"] for option in item["options"]}
    first, second = (labels[part] for part in item["subject"]["pair"])
    words = {"first": capital(first), "second": second, "plural": item["words"]["class"]}
    if kind == "class":
        return CLASS.format(**words)
    if kind == "name":
        return NAME_FOR_REASON[int(rest)].format(**words)
    axis, sign = rest[:-1], sign_of(rest[-1])
    if kind == "alike":
        return ALIKE.format(does=BARE[pole(axis, sign)], **words)
    return TELLS.format(does=agreeing(first, axis, sign), contrary=agreeing(second, axis, -sign), **words)


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of the matching does not hold by the figures of the rows: all 24 matchings are tried, and every quality of the key."""
    rows = item["certificate"]["rows"]
    parts = [row["part"] for row in rows]
    if len(rows) != 4 or parts != [option["part"] for option in item["options"]]:
        return ["The certificate is of other herbs."]
    named = {kind_name(number): kind for number, kind in enumerate(KINDS)}
    if len(set(item["kinds"])) != 4 or any(name not in named for name in item["kinds"]):
        return ["There are not four different kinds, each a pair of qualities."]
    kinds = [named[name] for name in item["kinds"]]

    def may_be(row: Mapping[str, Any], kind: tuple[Quality, Quality]) -> bool:
        return all(row["high"][axis] > 0 if sign > 0 else row["low"][axis] < 0 for axis, sign in kind)

    possible = [
        list(order) for order in permutations(range(4)) if all(may_be(rows[n], kinds[k]) for n, k in enumerate(order))
    ]
    if possible != [item["key"]]:
        return [f"The key {item['key']} is not the only matching: possible are {possible}."]
    wrong = [
        f"{row['part']}: {AXES[axis]} is in doubt, so it is not surely {item['kinds'][k]}."
        for row, k in zip(rows, item["key"], strict=True)
        for axis, sign in kinds[k]
        if (row["low"][axis] if sign > 0 else -row["high"][axis]) <= 0
    ]
    pair = item["subject"]["pair"]
    if len(set(pair)) != 2 or not set(pair) <= set(parts):
        return [*wrong, "The two that are told apart are not among the four."]
    telling = telling_axis([r["low"] for r in rows], [r["high"] for r in rows], *(parts.index(part) for part in pair))
    if [r["code"] for r in item["because"][0] if r["status"] == DECISIVE] != [f"tells:{telling}"]:
        wrong.append("What decides does not tell the two apart, or is not alone in doing so.")
    return wrong
