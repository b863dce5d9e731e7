"""Sums of the workroom worked in figures: the way to the right amount step by step, and the way to each wrong one.

The formulas are those of ``lessons.engine.sums`` written out; a test works them out and compares.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from lessons.engine.sums import (
    ADDED,
    COUNTED,
    EXCHANGED,
    NO_DIVISION,
    NO_PART,
    NO_SIZE,
    ONE_DOSE,
    PER_CENT,
    POINT_LEFT,
    POINT_RIGHT,
    SUMS,
    WATER,
    WRONG_WAY,
    shown,
)

# By variant and mistake ("" is right): how the amount is worked out, and what was mistaken.
WORKED: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "weight": {
        "": ("{volume} ÷ {n}", "each gram takes {n} mL"),
        WRONG_WAY: ("{volume} × {n}", "it gives each millilitre {n} g, where each gram takes {n} mL"),
        ADDED: ("{volume} ÷ ({n} + 1)", "it counts herb and menstruum together, where the ratio is to the menstruum alone"),
        COUNTED: ("{volume} ÷ ({n} − 1)", "it takes the herb out of the {n} parts, which are menstruum alone"),
        PER_CENT: ("{volume} × {n} ÷ 100", "it reads 1:{n} as {n} per cent"),
    },
    "menstruum": {
        "": ("{weight} × {n}", "each gram takes {n} mL"),
        WRONG_WAY: ("{weight} ÷ {n}", "it gives each millilitre {n} g, where each gram takes {n} mL"),
        ADDED: ("{weight} × ({n} + 1)", "it adds a part for the herb, where all {n} parts are menstruum and no more"),
        COUNTED: ("{weight} × ({n} − 1)", "it takes the herb out of the {n} parts, which are menstruum alone"),
        PER_CENT: ("{weight} × 100 ÷ {n}", "it reads 1:{n} as {n} per cent"),
    },
    "stock": {
        "": ("{volume} × {c2} ÷ {c1}", "strength times volume stays the same"),
        EXCHANGED: ("{volume} × {c1} ÷ {c2}", "it exchanges the strengths, and asks for more than the whole"),
        ADDED: (
            "{volume} × {c2} ÷ ({c1} − {c2})",
            "it takes {volume} mL for the water added, where it is the whole that is made up",
        ),
        WATER: ("{volume} − {volume} × {c2} ÷ {c1}", "it is what is left for the water, not the alcohol"),
        PER_CENT: ("{volume} × {c2} ÷ 100", "it reckons the alcohol bought as pure, where it has {c1} per cent"),
    },
    "finished": {
        "": ("{volume} × {c1} ÷ {c2}", "strength times volume stays the same"),
        EXCHANGED: ("{volume} × {c2} ÷ {c1}", "it exchanges the strengths, and would end with less than was poured in"),
        ADDED: ("{volume} × {c1} ÷ {c2} + {volume}", "it adds the alcohol once more to a volume that holds it already"),
        WATER: ("{volume} × {c1} ÷ {c2} − {volume}", "it is the difference that water makes, not the whole volume"),
        PER_CENT: ("{volume} × 100 ÷ {c2}", "it reckons the alcohol bought as pure, where it has {c1} per cent"),
    },
    "days": {
        "": ("{bottle} ÷ ({dose} × {times})", "the bottle is divided by what goes out in a day"),
        ONE_DOSE: ("{bottle} ÷ {dose}", "it counts the doses in the bottle, and {times} of them go in a day"),
        NO_SIZE: ("{bottle} ÷ {times}", "it leaves out that a dose is {dose} mL"),
        NO_PART: ("{bottle} ÷ ({dose} × {times} × {n})", "it brings in the ratio, which has no part in how long a bottle lasts"),
        NO_DIVISION: ("{bottle} × {times} ÷ {dose}", "it lets more doses a day make the bottle last longer"),
    },
    "herb-a-day": {
        "": ("{dose} × {times} ÷ {n}", "each {n} mL stand for one gram"),
        WRONG_WAY: ("{dose} × {times} × {n}", "it lets each millilitre stand for {n} g, where {n} mL stand for one"),
        ONE_DOSE: ("{dose} ÷ {n}", "it is the herb of one dose, and {times} are taken"),
        ADDED: ("{dose} × {times} ÷ ({n} + 1)", "it adds a part for the herb, where all {n} parts are menstruum and no more"),
        PER_CENT: ("{dose} × {times} × {n} ÷ 100", "it reads 1:{n} as {n} per cent"),
        COUNTED: ("{dose} × {times} ÷ ({n} − 1)", "it takes the herb out of the {n} parts, which are menstruum alone"),
    },
}  # fmt: skip
GIVEN = {
    "weight": "{volume} mL of menstruum, and a ratio of 1:{n}, weight to volume of menstruum.",
    "menstruum": "{weight} g of herb, and a ratio of 1:{n}, weight to volume of menstruum.",
    "stock": "{volume} mL wanted at {c2} per cent, made up from alcohol at {c1} per cent.",
    "finished": "{volume} mL of alcohol at {c1} per cent, wanted at {c2} per cent.",
    "days": "A bottle of {bottle} mL, and doses of {dose} mL {often} a day.",
    "herb-a-day": "Doses of {dose} mL {often} a day of a 1:{n} tincture.",
}
# (sum in figures, its unit, what it is) of each step; the last gives the amount asked for.
STEPS: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    "weight": (("{volume} ÷ {n}", "g", "of herb"),),
    "menstruum": (("{weight} × {n}", "mL", "of menstruum"),),
    "stock": (
        ("{volume} × {c2} ÷ 100", "mL", "of pure alcohol is to be in the mixture"),
        ("{volume} × {c2} ÷ 100 × 100 ÷ {c1}", "mL", "of the alcohol at {c1} per cent holds as much"),
    ),
    "finished": (
        ("{volume} × {c1} ÷ 100", "mL", "of pure alcohol is there"),
        ("{volume} × {c1} ÷ 100 × 100 ÷ {c2}", "mL", "in all makes it {c2} per cent"),
    ),
    "days": (
        ("{dose} × {times}", "mL", "go out in a day"),
        ("{bottle} ÷ ({dose} × {times})", "days", "is how long the bottle lasts"),
    ),
    "herb-a-day": (
        ("{dose} × {times}", "mL", "are taken in a day"),
        ("{dose} × {times} ÷ {n}", "g", "of herb stands behind them"),
    ),
}


def figures(value: Fraction) -> str:
    """An amount as it is written, two decimals at most."""
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.2f}".rstrip("0").rstrip(".")


def value_of(expression: str) -> Fraction:
    """What a sum in figures comes to. It knows + − × ÷ and brackets, and nothing else; ValueError for anything more."""
    tokens = expression.replace("(", " ( ").replace(")", " ) ").split()
    total, rest = _sum(tokens)
    if rest:
        raise ValueError(f"{expression!r} is no sum.")
    return total


def _sum(tokens: list[str]) -> tuple[Fraction, list[str]]:
    total, rest = _product(tokens)
    while rest and rest[0] in "+−":
        term, after = _product(rest[1:])
        total, rest = (total + term if rest[0] == "+" else total - term), after
    return total, rest


def _product(tokens: list[str]) -> tuple[Fraction, list[str]]:
    total, rest = _figure(tokens)
    while rest and rest[0] in "×÷":
        factor, after = _figure(rest[1:])
        total, rest = (total * factor if rest[0] == "×" else total / factor), after
    return total, rest


def _figure(tokens: list[str]) -> tuple[Fraction, list[str]]:
    if tokens and tokens[0] == "(":
        total, rest = _sum(tokens[1:])
        if not rest or rest[0] != ")":
            raise ValueError("A bracket is left open.")
        return total, rest[1:]
    if not tokens or not tokens[0].isdigit():
        raise ValueError("A figure is missing.")
    return Fraction(tokens[0]), tokens[1:]


def worked_steps(subject: Mapping[str, Any]) -> list[str]:
    """A sum step by step: "80 × 5 = 400 mL of menstruum"."""
    said, before = [], ""
    for expression, unit, what in STEPS[subject["sum"]]:
        plain = expression.format(**subject)
        total = figures(value_of(plain))
        # What the step before came to stands for the figures it came from.
        short = _shortened(expression, subject, before)
        said.append(f"{short} = {total} {unit} {what.format(**subject)}.")
        before = total
    return said


def _shortened(expression: str, subject: Mapping[str, Any], before: str) -> str:
    if not before:
        return expression.format(**subject)
    first = STEPS[subject["sum"]][0][0]
    for whole in (f"({first})", first):
        if whole in expression:
            return expression.replace(whole, before, 1).format(**subject)
    return expression.format(**subject)


def worked(subject: Mapping[str, Any], mistake: str) -> str:
    """How an amount comes about, and what was mistaken: "80 ÷ 5 = 16: it gives each millilitre 5 g ..."."""
    variant = SUMS[subject["kind"]].variant(subject["sum"])
    amount = shown(variant.amount(subject, mistake))
    if mistake in (POINT_RIGHT, POINT_LEFT):
        side = "right" if mistake == POINT_RIGHT else "left"
        return f"The figures are right, but the point stands one place too far {side}: {amount} {variant.unit}."
    expression, why = WORKED[subject["sum"]][mistake]
    return f"{expression.format(**subject)} = {amount} {variant.unit}: {why.format(**subject)}."
