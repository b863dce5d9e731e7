"""Drill plans: what a teacher asks of a form, as data, and the single requirements that a plan comes down to."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

MOST_ITEMS = 120  # the longest form
LOGIT = 1000  # difficulties are whole thousandths of a logit

# What can be counted: the word a plan uses, the field of a candidate, and how a sentence says it.
COUNTED = {
    "families": ("family", "of the family {}"),
    "classes": ("action", "of the class {}"),
    "systems": ("system", "of the body system {}"),
    "sites": ("site", "at the site {}"),
    "states": ("state", "in the state {}"),
    "faults": ("faults", "that offer the fault {}"),
}


@dataclass(frozen=True)
class Demand:
    """How many items have a value: ``kind`` is a word of ``COUNTED``; at least ``least`` items, at most ``most`` (None: any)."""

    kind: str
    value: str
    least: int = 0
    most: int | None = None

    @property
    def exact(self) -> bool:
        """Whether one number alone will do."""
        return self.least == self.most


@dataclass(frozen=True)
class Band:
    """How many items have a difficulty from ``low`` up to, not including, ``high`` (thousandths of a logit; None: open)."""

    low: int | None
    high: int | None
    least: int = 0
    most: int | None = None

    @property
    def exact(self) -> bool:
        """Whether one number alone will do."""
        return self.least == self.most


@dataclass(frozen=True)
class DrillPlan:
    """What a form must be.

    ``length``: 1 to 120 items. ``scope``: slugs of the parts that may be shown; None means all. ``key_at_most``: how often
    one herb may be the right answer; ``herb_at_most``: in how many items it may be shown; None: no limit. ``mean_low`` and
    ``mean_high`` bound the mean difficulty in thousandths of a logit, both ends included; None: open.
    """

    title: str
    length: int
    scope: frozenset[str] | None = None
    demands: tuple[Demand, ...] = ()
    bands: tuple[Band, ...] = ()
    key_at_most: int | None = None
    herb_at_most: int | None = None
    mean_low: int | None = None
    mean_high: int | None = None


@dataclass(frozen=True)
class Requirement:
    """One thing a form must satisfy, which can be dropped or relaxed by itself.

    ``kind``: a word of ``COUNTED``, or ``length``, ``band``, ``mean``, ``key``, ``herb``, ``scope``, ``skeleton``,
    ``position``. ``side``: "least" or "most". ``amount``: the bound, a number of items or thousandths of a logit.
    ``value``: the value counted; ``number``: which of the plan's bands; ``parts``: the scope.
    """

    kind: str
    side: str = "most"
    amount: int = 0
    value: str = ""
    low: int | None = None
    high: int | None = None
    number: int = 0
    parts: frozenset[str] = field(default=frozenset(), repr=False)

    @property
    def standing(self) -> bool:
        """Whether it holds for every form and is never relaxed in a plan that comes near: scope, skeletons, positions."""
        return self.kind in ("scope", "skeleton", "position")

    @property
    def sentence(self) -> str:
        """In plain words."""
        return _FIXED[self.kind] if self.kind in _FIXED else _sentence(self)


_FIXED = {
    "skeleton": "No two items share a skeleton.",
    "position": "The right answers stand evenly in the four places.",
}


def times(number: int) -> str:
    """How often, in words: once, twice, 3 times."""
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def logits(thousandths: int) -> str:
    """A difficulty in logits, with as many decimals as it needs."""
    text = f"{thousandths / LOGIT:.3f}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def describe_band(low: int | None, high: int | None) -> str:
    """Where a band of difficulty lies."""
    if low is None and high is None:
        return "of any difficulty"
    if low is None:
        return f"easier than {logits(high or 0)} logits"
    return f"of {logits(low)} logits or more" if high is None else f"from {logits(low)} to below {logits(high)} logits"


def _sentence(wanted: Requirement) -> str:
    bound, amount = f"At {wanted.side}", wanted.amount
    items = "item" if amount == 1 else "items"
    if wanted.kind in COUNTED:
        return f"{bound} {amount} {items} {COUNTED[wanted.kind][1].format(wanted.value)}."
    if wanted.kind == "band":
        return f"{bound} {amount} {items} {describe_band(wanted.low, wanted.high)}."
    if wanted.kind == "length":
        return f"The form has {amount} {items}, no {'fewer' if wanted.side == 'least' else 'more'}."
    if wanted.kind == "mean":
        return f"The mean difficulty is at {wanted.side} {logits(amount)} logits."
    if wanted.kind == "scope":
        herbs = "one herb" if len(wanted.parts) == 1 else f"{len(wanted.parts)} herbs"
        return f"Only the {herbs} in scope may be shown."
    doing = "is the right answer" if wanted.kind == "key" else "is shown"
    return f"No herb {doing} more than {times(amount)}."


def requirements_of(plan: DrillPlan) -> tuple[Requirement, ...]:
    """Everything a form under the plan must satisfy; an exact number gives two, one for each side."""
    found = [Requirement("position"), Requirement("skeleton")]
    if plan.scope is not None:
        found.append(Requirement("scope", parts=plan.scope))
    if plan.herb_at_most is not None:
        found.append(Requirement("herb", "most", plan.herb_at_most))
    if plan.key_at_most is not None:
        found.append(Requirement("key", "most", plan.key_at_most))
    for side, mean in (("least", plan.mean_low), ("most", plan.mean_high)):
        if mean is not None:
            found.append(Requirement("mean", side, mean))
    for number, band in enumerate(plan.bands):
        for side, amount in _sides(band):
            found.append(Requirement("band", side, amount, low=band.low, high=band.high, number=number))
    for demand in sorted(plan.demands, key=lambda demand: list(COUNTED).index(demand.kind), reverse=True):
        found += [Requirement(demand.kind, side, amount, demand.value) for side, amount in _sides(demand)]
    return (*found, Requirement("length", "least", plan.length), Requirement("length", "most", plan.length))


def _sides(counted: Demand | Band) -> list[tuple[str, int]]:
    """The sides that ask for anything."""
    sides = [("least", counted.least)] if counted.least else []
    return sides if counted.most is None else [*sides, ("most", counted.most)]


def relaxed(plan: DrillPlan, changes: Mapping[Requirement, int]) -> tuple[DrillPlan, tuple[str, ...]]:
    """The plan with other bounds, and a sentence for each change. An exact number stays exact, with the new number."""
    sentences: list[str] = []

    def bounds(counted: Demand | Band, side_of: Mapping[str, int], words: str) -> tuple[int, int | None]:
        least, most = side_of.get("least", counted.least), side_of.get("most", counted.most)
        if not side_of:
            return counted.least, counted.most
        if counted.exact:
            least = most = next(iter(side_of.values()))
            sentences.append(f"Exactly {least} instead of {counted.least} {words}.")
        else:
            sentences.extend(
                f"At {side} {now} instead of {was} {words}."
                for side, now, was in (("least", least, counted.least), ("most", most, counted.most))
                if side in side_of
            )
        return least, most

    length = next((new for wanted, new in changes.items() if wanted.kind == "length"), plan.length)
    if length != plan.length:
        sentences.append(f"A form of {length} instead of {plan.length} items.")
    demands, bands = [], []
    for demand in plan.demands:
        own = {w.side: new for w, new in changes.items() if (w.kind, w.value) == (demand.kind, demand.value)}
        least, most = bounds(demand, own, "items " + COUNTED[demand.kind][1].format(demand.value))
        demands.append(replace(demand, least=least, most=most))
    for number, band in enumerate(plan.bands):
        own = {w.side: new for w, new in changes.items() if w.kind == "band" and w.number == number}
        least, most = bounds(band, own, "items " + describe_band(band.low, band.high))
        bands.append(replace(band, least=least, most=most))
    single: dict[str, int] = {}
    for wanted, new in changes.items():
        if wanted.kind in ("key", "herb"):
            single[f"{wanted.kind}_at_most"] = new
            doing = "be the right answer" if wanted.kind == "key" else "be shown"
            sentences.append(f"One herb may {doing} {times(new)} instead of {times(wanted.amount)}.")
        elif wanted.kind == "mean":
            single["mean_low" if wanted.side == "least" else "mean_high"] = new
            sentences.append(
                f"A mean difficulty of at {wanted.side} {logits(new)} instead of {logits(wanted.amount)} logits."
            )
    return (
        replace(
            plan,
            length=length,
            demands=tuple(demand for demand in demands if demand.least or demand.most is not None),
            bands=tuple(band for band in bands if band.least or band.most is not None),
            **single,  # type: ignore[arg-type]
        ),
        tuple(sentences),
    )
