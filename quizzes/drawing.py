"""Drawing the questions of a drill: fresh ones of trusted families, approved ones of the others."""

import secrets
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from lessons.bank import QuestionMaker
from lessons.engine import Constraints, NoValidItemError
from lessons.engine import Item as OpenedItem
from lessons.engine.families import best_fit
from lessons.engine.trust import PROVED
from lessons.models import Course, Item
from lessons.services import freeze_items

FAMILY = best_fit.NAME
LOOKS = 3  # candidates looked at for each place before an uneven form is accepted
LOOKS_FOR_A_NEW_SKELETON = (
    100  # and before a family counts as having no further skeleton: 3 lost one drill of 20 in 400
)
SEED_BITS = 62
APPROVED_AT_MOST = 200  # approved items of one family looked at for a drill
NOTHING = (
    "There are not enough questions of this kind for that class yet. Choose another kind or class, or fewer questions."
)


@dataclass(frozen=True)
class Families:
    """Families a drill draws from: those whose fresh items students may meet, and those met only one by one approved."""

    trusted: tuple[str, ...]
    approved_only: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Both."""
        return self.trusted + self.approved_only


def drill_families(course: Course | None, family: str = "") -> Families:
    """The families for a drill of a course (or of nobody's): one, or all when ``family`` is empty."""
    doubted = set(course.untrusted_families) if course else set()
    wanted = [family] if family else list(PROVED)
    trusted = tuple(name for name in wanted if name in PROVED and name not in doubted)
    return Families(trusted, tuple(name for name in wanted if name not in trusted))


@dataclass
class Drawing:
    """Questions drawn, each either fresh (an opened item) or from the bank, in order."""

    places: list[OpenedItem | Item] = field(default_factory=list)

    def frozen(self) -> list[Item]:
        """Every question as a stored item; the fresh ones are stored now."""
        fresh = iter(freeze_items(contents=[place for place in self.places if not isinstance(place, Item)]))
        return [place if isinstance(place, Item) else next(fresh) for place in self.places]


def draw(maker: QuestionMaker, *, families: Families, action: str, length: int) -> Drawing:
    """Questions from secret seeds, families in turn; keys at even positions and, while the class allows it, of different herbs
    and states, and no two of one skeleton. NoValidItemError when nothing can be had."""
    drawing, evenness = Drawing(), _Evenness()
    names = list(families.all)
    secrets.SystemRandom().shuffle(names)
    banked = {name: _approved(name, action) for name in families.approved_only}
    turn = 0
    while len(drawing.places) < length:
        if not names:
            raise NoValidItemError(NOTHING)
        name = names[turn % len(names)]
        place: OpenedItem | Item | None = _next(banked.get(name, []), evenness)
        if place is None and name in families.trusted:
            place = _fresh(maker, name, action, evenness, alone=len(names) == 1)
        if place is None:
            names.remove(name)
            continue
        evenness.count(place.opened if isinstance(place, Item) else place)
        drawing.places.append(place)
        turn += 1
    return drawing


def _approved(family: str, action: str) -> list[Item]:
    items = Item.objects.approved().filter(family=family)
    if action:
        items = items.filter(action=action)
    found = list(items.order_by("exposure", "?")[:APPROVED_AT_MOST])
    found.reverse()
    return found


def _next(found: list[Item], evenness: "_Evenness") -> Item | None:
    """The next approved item whose skeleton was not met yet, taken from the list; items of the first release have none."""
    while found:
        item = found.pop()
        if not item.skeleton or item.skeleton not in evenness.skeletons:
            return item
    return None


def _fresh(maker: QuestionMaker, family: str, action: str, evenness: "_Evenness", *, alone: bool) -> OpenedItem | None:
    """The most even of a few fresh items; None where the family has none for the class (raises when it is the only one) or
    none of a skeleton that was not met yet."""
    best: tuple[int, OpenedItem] | None = None
    for look in range(LOOKS_FOR_A_NEW_SKELETON):
        try:
            item = maker.make(family, secrets.randbits(SEED_BITS), Constraints(action or None))
        except NoValidItemError:
            if alone:
                raise
            return None
        cost = evenness.cost(item)
        if best is None or cost < best[0]:
            best = (cost, item)
        if cost <= evenness.least or (look + 1 >= LOOKS and best[0] < REPEATED):
            break
    return best[1] if best and best[0] < REPEATED else None


REPEATED = 1000  # the cost of a skeleton met before


class _Evenness:
    """How often key positions, herbs, states and skeletons were met in the drill so far."""

    def __init__(self) -> None:
        self.positions: Counter[object] = Counter()
        self.herbs: Counter[object] = Counter()
        self.states: Counter[object] = Counter()
        self.skeletons: set[str] = set()

    @property
    def least(self) -> int:
        return min(self.positions[place] for place in range(4))

    def cost(self, item: OpenedItem) -> int:
        """0 for an item as unlike the others as can be."""
        repeated = REPEATED if item["skeleton"] in self.skeletons else 0
        return repeated + sum(counter[key] * weight for counter, key, weight in self._met(item))

    def count(self, item: OpenedItem) -> None:
        """Count an item in."""
        self.skeletons.add(item["skeleton"])
        for counter, key, _ in self._met(item):
            counter[key] += 1

    def _met(self, item: OpenedItem) -> Sequence[tuple[Counter[object], object, int]]:
        met: list[tuple[Counter[object], object, int]] = []
        if item["response"] == "choose":
            key = item["options"][item["key"]]
            met += [(self.positions, item["key"], 1), (self.herbs, key.get("latin") or key["label"], 3)]
        if item["presentation"]:
            met.append((self.states, item["presentation"]["state"], 1))
        return met
