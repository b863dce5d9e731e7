"""The order of a form's items: neighbours of different classes, families interleaved."""

from collections import Counter
from collections.abc import Sequence
from random import Random

from .item_bank import Candidate


def in_order(items: Sequence[Candidate], seed: int) -> tuple[Candidate, ...]:
    """The items in a good order, the same for the same seed.

    No two neighbours are of one action class where that is possible at all (no class has more than half of the items,
    rounded up); within that, the family most plentiful among the rest is taken, another than the last where there is one.
    """
    rest = sorted(items, key=lambda item: item.code)
    Random(seed).shuffle(rest)
    placed: list[Candidate] = []
    while rest:
        classes, families = Counter(c.action for c in rest), Counter(c.family for c in rest)
        last = placed[-1] if placed else None
        allowed = {action for action in classes if _leaves_an_order(classes, action, last)}
        if not allowed:
            most = max(count for action, count in classes.items())
            allowed = {action for action, count in classes.items() if count == most}
        best = max(
            (c for c in rest if c.action in allowed),
            key=lambda c: (last is None or c.action != last.action, last is None or c.family != last.family, families[c.family]),
        )  # fmt: skip
        rest.remove(best)
        placed.append(best)
    return tuple(placed)


def _leaves_an_order(classes: Counter[str], action: str, last: Candidate | None) -> bool:
    """Whether taking an item of a class keeps an order without equal neighbours possible for the rest."""
    if last is not None and last.action == action:
        return False
    left = classes.total() - 1
    most_others = max((count for other, count in classes.items() if other != action), default=0)
    return most_others <= (left + 1) // 2 and classes[action] - 1 <= left // 2
