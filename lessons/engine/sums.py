"""Sums of the workroom: weight for a volume at a ratio, dilution of alcohol, how long a bottle lasts.

A ratio 1:n is one gram of herb to n millilitres of menstruum. Dilution rests on C1 V1 = C2 V2, the finished volume being made
up to its mark, since alcohol and water shrink on mixing. Every wrong figure follows from those of the stem by one named mistake.
Figures are worked out as fractions, so that nothing is lost by rounding; an amount with more than one decimal is never drawn.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import Any

ADDED = "added instead of made up to"
WRONG_WAY = "ratio taken the wrong way round"
EXCHANGED = "strengths exchanged"
PER_CENT = "percent of the wrong volume"
ONE_DOSE = "one dose taken for the day"
NO_SIZE = "size of the dose left out"
NO_DIVISION = "multiplied instead of divided"
COUNTED = "herb counted among the parts"
WATER = "the water reckoned instead"
NO_PART = "ratio brought in needlessly"
POINT_RIGHT = "decimal point too far right"
POINT_LEFT = "decimal point too far left"
POINTS = {POINT_RIGHT: Fraction(10), POINT_LEFT: Fraction(1, 10)}
MISTAKES = 3  # shown at once, of those that a sum has
TRIES = 60
LEAST, MOST = Fraction(1, 2), Fraction(5000)  # amounts beyond these are no longer believable
STOCKS = (96, 95, 90, 80)  # per cent of alcohol by volume, as it is bought
VOLUMES = tuple(range(100, 1201, 50))  # mL
WEIGHTS = tuple(range(20, 401, 10))  # g
BOTTLES = (50, 90, 100, 120, 150, 180, 200, 210, 240, 250, 300, 360, 420, 450, 500)  # mL
DOSES = (2, 3, 4)  # mL, a usual range for the gentle herbs of which it is asked
TIMES = {2: "twice", 3: "three times"}

Figures = dict[str, Any]
Amount = Callable[[Mapping[str, Any]], Fraction]
Reasons = tuple[tuple[str, str], ...]
REASONS: Reasons = (
    ("right", "decisive"), ("true", "true"), ("turned", "false"), ("mistake", "misconception"), ("habit", "misconception"),
)  # fmt: skip


@dataclass(frozen=True)
class Variant:
    """One question: its stems, unit and steps; the amounts by mistake ("" is right) beside those of a misplaced decimal point;
    what its reasons say."""

    slug: str
    unit: str
    steps: int
    stems: Sequence[str]
    figures: Mapping[str, Amount]
    sentences: Mapping[str, str]
    drawn: Callable[[int, int, Random], Figures]
    reasons: Reasons = REASONS

    def amount(self, figures: Mapping[str, Any], mistake: str) -> Fraction:
        """The amount that one mistake leads to; the right one for ""."""
        if mistake in POINTS:
            return self.figures[""](figures) * POINTS[mistake]
        return self.figures[mistake](figures)

    def draw(self, parts: int, alcohol: int, rng: Random, place: int) -> tuple[Figures, dict[str, Fraction]] | None:
        """Figures for a tincture 1:parts in so many per cent, and the amounts by mistake ("" is right): four different ones of
        one decimal at most, the right one in the given place among them by size; None when no draw has them."""
        for _ in range(TRIES):
            figures = self.drawn(parts, alcohol, rng)
            right = self.amount(figures, "")
            found = {
                name: amount for name in (*self.figures, *POINTS) if _is_plain(amount := self.amount(figures, name))
            }
            below = _different(pair for pair in found.items() if pair[1] < right)
            above = _different(pair for pair in found.items() if pair[1] > right)
            if _is_plain(right) and place <= len(below) and MISTAKES - place <= len(above):
                chosen = [*rng.sample(below, place), *rng.sample(above, MISTAKES - place)]
                return figures, {"": right} | dict(chosen)
        return None


@dataclass(frozen=True)
class Sum:
    """A kind of sum with its variants."""

    variants: tuple[Variant, ...]

    def variant(self, slug: str) -> Variant:
        """The variant of a name."""
        return next(variant for variant in self.variants if variant.slug == slug)


def _different(amounts: Iterable[tuple[str, Fraction]]) -> list[tuple[str, Fraction]]:
    """Mistakes with their amounts; of two that come out alike the first."""
    return [(name, amount) for amount, name in {amount: name for name, amount in reversed(list(amounts))}.items()]


def _is_plain(amount: Fraction) -> bool:
    return (10 * amount).denominator == 1 and LEAST <= amount <= MOST


def shown(amount: Fraction) -> str:
    """An amount as it is written: "150", "37.5"."""
    return str(amount.numerator) if amount.denominator == 1 else f"{float(amount):.1f}"


def _by_ratio(pool: Sequence[int], name: str) -> Callable[[int, int, Random], Figures]:
    return lambda parts, alcohol, rng: {name: rng.choice(pool), "n": parts}


def _by_strength(parts: int, alcohol: int, rng: Random) -> Figures:
    return {"volume": rng.choice(VOLUMES), "c1": rng.choice([s for s in STOCKS if s > alcohol]), "c2": alcohol}


def _by_dose(parts: int, alcohol: int, rng: Random) -> Figures:
    times = rng.choice(list(TIMES))
    return {"dose": rng.choice(DOSES), "times": times, "often": TIMES[times], "n": parts}


def _by_bottle(parts: int, alcohol: int, rng: Random) -> Figures:
    return {"bottle": rng.choice(BOTTLES)} | _by_dose(parts, alcohol, rng)


WEIGHT = Variant(
    "weight", "g", 1,
    (
        "A tincture of {herb} is to be made at 1:{n}, weight to volume of menstruum. What weight of herb goes into {volume} mL "
        "of menstruum?",
        "You have {volume} mL of menstruum for {herb} at 1:{n}, weight to volume of menstruum. How much herb do you weigh out?",
        "For a 1:{n} tincture of {herb}, weight to volume of menstruum, how much herb goes into {volume} mL of menstruum?",
    ),
    {
        "": lambda f: Fraction(f["volume"], f["n"]),
        WRONG_WAY: lambda f: Fraction(f["volume"] * f["n"]),
        ADDED: lambda f: Fraction(f["volume"], f["n"] + 1),
        COUNTED: lambda f: Fraction(f["volume"], f["n"] - 1),
        PER_CENT: lambda f: Fraction(f["volume"] * f["n"], 100),
    },
    {
        "right": "Each gram takes {n} mL, so the volume of menstruum is divided by {n}.",
        "true": "A tincture at 1:{n} holds less herb to the measure than one at 1:1.",
        "turned": "Each millilitre takes {n} g, so the volume is multiplied by {n}.",
        "mistake": "The herb counts as one part of the volume, so it is divided into one part more.",
        "habit": "A ratio of 1:{n} is another way of writing {n} per cent.",
    },
    _by_ratio(VOLUMES, "volume"),
)  # fmt: skip
MENSTRUUM = Variant(
    "menstruum", "mL", 1,
    (
        "You have {weight} g of {herb} for a tincture at 1:{n}, weight to volume of menstruum. How much menstruum does it need?",
        "A tincture of {herb} is to be made at 1:{n}, weight to volume of menstruum. How much menstruum goes on {weight} g?",
        "How much menstruum do you pour on {weight} g of {herb} for a 1:{n} tincture, weight to volume of menstruum?",
    ),
    {
        "": lambda f: Fraction(f["weight"] * f["n"]),
        WRONG_WAY: lambda f: Fraction(f["weight"], f["n"]),
        ADDED: lambda f: Fraction(f["weight"] * (f["n"] + 1)),
        COUNTED: lambda f: Fraction(f["weight"] * (f["n"] - 1)),
        PER_CENT: lambda f: Fraction(f["weight"] * 100, f["n"]),
    },
    {
        "right": "Each gram takes {n} mL, so the weight of herb is multiplied by {n}.",
        "true": "A tincture at 1:{n} holds less herb to the measure than one at 1:1.",
        "turned": "Each millilitre takes {n} g, so the weight is divided by {n}.",
        "mistake": "The herb is itself one of the {n} parts, so the menstruum is one part fewer.",
        "habit": "A ratio of 1:{n} is another way of writing {n} per cent.",
    },
    _by_ratio(WEIGHTS, "weight"),
)  # fmt: skip
STOCK = Variant(
    "stock", "mL", 2,
    (
        "A tincture of {herb} needs {volume} mL of alcohol at {c2} per cent, made up from alcohol at {c1} per cent. How much of "
        "the stronger alcohol do you measure before you make up to {volume} mL with water?",
        "You want {volume} mL of alcohol at {c2} per cent for {herb}. How much alcohol at {c1} per cent do you make up to "
        "{volume} mL with water?",
        "To macerate {herb} you make up alcohol at {c1} per cent with water to {volume} mL at {c2} per cent. What volume of the "
        "stronger alcohol goes in?",
    ),
    {
        "": lambda f: Fraction(f["volume"] * f["c2"], f["c1"]),
        EXCHANGED: lambda f: Fraction(f["volume"] * f["c1"], f["c2"]),
        ADDED: lambda f: Fraction(f["volume"] * f["c2"], f["c1"] - f["c2"]),
        WATER: lambda f: f["volume"] - Fraction(f["volume"] * f["c2"], f["c1"]),
        PER_CENT: lambda f: Fraction(f["volume"] * f["c2"], 100),
    },
    {
        "right": "Strength times volume is the same before and after water goes in.",
        "true": "Alcohol and water shrink on mixing, hence the making up to a mark.",
        "turned": "The weaker the mixture wanted, the more of the stronger alcohol goes in.",
        "mistake": "The volume wanted is that of the water to which alcohol is added.",
        "habit": "The alcohol bought may be reckoned as pure in such a sum.",
    },
    _by_strength,
)  # fmt: skip
FINISHED = Variant(
    "finished", "mL", 2,
    (
        "You have {volume} mL of alcohol at {c1} per cent and want it at {c2} per cent for {herb}. To what volume do you make "
        "it up with water?",
        "For {herb} you bring {volume} mL of alcohol at {c1} per cent down to {c2} per cent. What volume do you make it up to "
        "with water?",
        "You macerate {herb} in alcohol at {c2} per cent. To what volume do you make up {volume} mL of alcohol at {c1} per "
        "cent?",
    ),
    {
        "": lambda f: Fraction(f["volume"] * f["c1"], f["c2"]),
        EXCHANGED: lambda f: Fraction(f["volume"] * f["c2"], f["c1"]),
        ADDED: lambda f: Fraction(f["volume"] * f["c1"], f["c2"]) + f["volume"],
        WATER: lambda f: Fraction(f["volume"] * f["c1"], f["c2"]) - f["volume"],
        PER_CENT: lambda f: Fraction(f["volume"] * 100, f["c2"]),
    },
    {
        "right": "Strength times volume is the same before and after water goes in.",
        "true": "Alcohol and water shrink on mixing, hence the making up to a mark.",
        "turned": "Volume grows as strength does, so the weaker mixture is the smaller.",
        "mistake": "The volume worked out is that of the water which is added.",
        "habit": "The alcohol bought may be reckoned as pure in such a sum.",
    },
    _by_strength,
)  # fmt: skip
DAYS = Variant(
    "days", "days", 2,
    (
        "For a sum in class, {bottle} mL of a 1:{n} tincture of {herb} is taken in doses of {dose} mL {often} a day. How many "
        "days does it last?",
        "In a worked example a 1:{n} tincture of {herb} is labelled {dose} mL {often} a day. How many days does a bottle of "
        "{bottle} mL last?",
        "A dispensing exercise gives {dose} mL of a 1:{n} tincture of {herb} {often} a day. For how many days is "
        "{bottle} mL enough?",
    ),
    {
        "": lambda f: Fraction(f["bottle"], f["dose"] * f["times"]),
        ONE_DOSE: lambda f: Fraction(f["bottle"], f["dose"]),
        NO_SIZE: lambda f: Fraction(f["bottle"], f["times"]),
        NO_PART: lambda f: Fraction(f["bottle"], f["dose"] * f["times"] * f["n"]),
        NO_DIVISION: lambda f: Fraction(f["bottle"] * f["times"], f["dose"]),
    },
    {
        "right": "What goes out in a day is the dose times its number, and the bottle is divided by that.",
        "true": "The strength of the tincture has no part in how long the bottle lasts.",
        "turned": "The number of doses a day multiplies the days that a bottle lasts.",
        "mistake": "The number of doses that a bottle holds is the number of its days.",
        "habit": "A bottle lasts the same at any dose if the doses in a day are the same.",
    },
    _by_bottle,
)  # fmt: skip
HERB_A_DAY = Variant(
    "herb-a-day", "g", 2,
    (
        "For a sum in class, {dose} mL of a 1:{n} tincture of {herb} is taken {often} a day. What weight of herb does a day's "
        "amount stand for?",
        "In a worked example a label says {dose} mL {often} a day of a 1:{n} tincture of {herb}. To how much herb does that come "
        "in a day?",
        "A dispensing exercise gives {dose} mL of a 1:{n} tincture of {herb} {often} a day. What weight of herb is that "
        "in a day?",
    ),
    {
        "": lambda f: Fraction(f["dose"] * f["times"], f["n"]),
        WRONG_WAY: lambda f: Fraction(f["dose"] * f["times"] * f["n"]),
        ONE_DOSE: lambda f: Fraction(f["dose"], f["n"]),
        ADDED: lambda f: Fraction(f["dose"] * f["times"], f["n"] + 1),
        PER_CENT: lambda f: Fraction(f["dose"] * f["times"] * f["n"], 100),
        COUNTED: lambda f: Fraction(f["dose"] * f["times"], f["n"] - 1),
    },
    {
        "right": "The day's millilitres are divided by {n}, the measure that stands for a gram.",
        "true": "The size of the bottle has no part in what a day's amount stands for.",
        "turned": "The day's millilitres are multiplied by {n}, since each stands for {n} g.",
        "mistake": "The herb in one dose is the herb of the day, however often it is taken.",
        "habit": "A stronger alcohol means that more herb stands behind each dose.",
    },
    _by_dose,
)  # fmt: skip
SUMS: Mapping[str, Sum] = {
    "ratio": Sum((WEIGHT, MENSTRUUM)),
    "dilution": Sum((STOCK, FINISHED)),
    "dose": Sum((DAYS, HERB_A_DAY)),
}
