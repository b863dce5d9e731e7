"""Pharmacy sums read off the words of a stem and worked again: by keeping account of herb, alcohol and water.

Quantities are in grams and millilitres; strengths in parts of alcohol by volume in a hundred; a ratio of 1 to n is a
gram of herb to n millilitres of menstruum. Beside the answer stands what each named mistake would give.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

NUMBER = r"(\d+(?:\.\d+)?)"
UNITS = {"kg": 1000, "g": 1, "ml": 1, "l": 1000}
TIMES = {"once": 1, "twice": 2, "three times": 3, "four times": 4}
ADDED, INVERTED = "added instead of made up to", "ratio taken the wrong way round"
EXCHANGED, PERCENT = "strengths exchanged", "percent of the wrong volume"
COUNTED, WATER = "herb counted among the parts", "the water reckoned instead"
MULTIPLIED, ONE_DOSE = "multiplied instead of divided", "one dose taken for the day"
NO_SIZE, NEEDLESS = "size of the dose left out", "ratio brought in needlessly"
POINT = {"decimal point too far right": Fraction(10), "decimal point too far left": Fraction(1, 10)}
MISTAKES = {ADDED, INVERTED, EXCHANGED, PERCENT, COUNTED, WATER, MULTIPLIED, ONE_DOSE, NO_SIZE, NEEDLESS, *POINT}


@dataclass(frozen=True)
class Worked:
    """The answer to a sum with its unit, and what mistakes would give."""

    answer: Fraction
    unit: str
    mistakes: Mapping[str, Fraction]

    def comes_of(self, mistake: str, figure: Fraction) -> bool:
        """Whether a mistake gives a figure; a slipped decimal point may happen in any sum."""
        if mistake in POINT:
            return same(figure, self.answer * POINT[mistake])
        return mistake in self.mistakes and same(figure, self.mistakes[mistake])


def measured(units: str, text: str) -> list[Fraction]:
    """The different quantities in a text, in grams or millilitres, smallest first."""
    found = re.finditer(rf"{NUMBER}\s*({units})\b", text, re.IGNORECASE)
    return sorted({Fraction(one[1]) * UNITS[one[2].lower()] for one in found})


def worked(stem: str) -> Worked | None:
    """The sum that a stem asks for; nothing when it cannot be read."""
    ratios = {Fraction(one) for one in re.findall(rf"\b1:{NUMBER}", stem)}
    strengths = sorted({Fraction(one) for one in re.findall(rf"{NUMBER} ?(?:%|per ?cent)", stem)})
    weights, volumes = measured("kg|g", stem), measured("ml|l", stem)
    times = [count for word, count in TIMES.items() if re.search(rf"\b{word} (?:a|each|every) day", stem)]
    if len(strengths) == 2 and len(volumes) == 1 and not ratios:
        tied = re.search(rf"\d\s*mL(?: of alcohol)? at {NUMBER} ?(?:%|per ?cent)", stem)
        if tied is None:
            return None
        weak, strong = strengths
        return finished(volumes[0], strong, weak) if Fraction(tied[1]) == strong else stock(volumes[0], strong, weak)
    if len(ratios) != 1 or strengths:
        return None
    parts = ratios.pop()
    if len(times) == 1:
        if len(volumes) == 2 and "days" in stem:
            return bottle(volumes[1], volumes[0], times[0], parts)
        return herb_in_a_day(volumes[0], times[0], parts) if len(volumes) == 1 else None
    if len(weights) == 1 and not volumes:
        return menstruum(weights[0], parts)
    return herb(volumes[0], parts) if len(volumes) == 1 and not weights else None


def menstruum(weight: Fraction, parts: Fraction) -> Worked:
    """The fluid for a weight of herb: what one gram takes, gram after gram."""
    whole, rest = divmod(weight, 1)
    answer = sum((parts for _ in range(int(whole))), Fraction(0)) + rest * parts
    return Worked(
        answer, "ml",
        {INVERTED: weight / parts, COUNTED: answer - weight, ADDED: answer + weight, PERCENT: 100 * weight / parts},
    )  # fmt: skip


def herb(volume: Fraction, parts: Fraction) -> Worked:
    """The herb for a volume: as many grams as portions of the fluid can be poured off."""
    grams, left = 0, volume
    while left >= parts:
        grams, left = grams + 1, left - parts
    return Worked(
        grams + left / parts, "g",
        {INVERTED: volume * parts, COUNTED: volume / (parts - 1), ADDED: volume / (parts + 1),
         PERCENT: volume * parts / 100},
    )  # fmt: skip


def finished(volume: Fraction, strong: Fraction, weak: Fraction) -> Worked:
    """What a volume is made up to: water comes to its own until it stands to the alcohol as wanted."""
    alcohol = volume * strong / 100
    water = alcohol * (100 - weak) / weak - (volume - alcohol)
    answer = volume + water
    return Worked(
        answer, "ml",
        {WATER: water, EXCHANGED: volume * weak / strong, PERCENT: 100 * volume / weak, ADDED: volume + answer},
    )  # fmt: skip


def stock(total: Fraction, strong: Fraction, weak: Fraction) -> Worked:
    """The stronger alcohol in a total, by alligation: it and water are as the distances crosswise."""
    alcohol_parts, water_parts = weak, strong - weak
    answer = total * alcohol_parts / (alcohol_parts + water_parts)
    return Worked(
        answer, "ml",
        {WATER: total - answer, EXCHANGED: total * strong / weak, PERCENT: total * weak / 100,
         ADDED: total * weak / (strong - weak)},
    )  # fmt: skip


def bottle(volume: Fraction, dose: Fraction, times: int, parts: Fraction) -> Worked:
    """The days that a bottle lasts: dose after dose goes out until it is empty."""
    doses, left = 0, volume
    while left >= dose:
        doses, left = doses + 1, left - dose
    answer = (doses + left / dose) / times
    return Worked(
        answer, "days",
        {MULTIPLIED: volume / dose * times, ONE_DOSE: volume / dose, NO_SIZE: volume / times,
         NEEDLESS: answer / parts},
    )  # fmt: skip


def herb_in_a_day(dose: Fraction, times: int, parts: Fraction) -> Worked:
    """The herb that a day's doses stand for."""
    day = sum((dose for _ in range(times)), Fraction(0))
    return Worked(
        herb(day, parts).answer, "g",
        {INVERTED: day * parts, COUNTED: day / (parts - 1), ADDED: day / (parts + 1), ONE_DOSE: dose / parts,
         PERCENT: day * parts / 100},
    )  # fmt: skip


def same(one: Fraction, other: Fraction) -> bool:
    """Whether a figure stands for another: within a two-hundredth, which no rounding that is taught goes beyond."""
    return abs(one - other) <= abs(other) / 200


def told(label: str) -> tuple[Fraction, str] | None:
    """The figure of a label in grams, millilitres or days, and its unit."""
    found = re.search(rf"{NUMBER}\s*(kg|g|ml|l|days?)\b", label, re.IGNORECASE)
    if not found:
        return None
    unit = found[2].lower()
    return Fraction(found[1]) * UNITS.get(unit, 1), {"kg": "g", "l": "ml", "day": "days"}.get(unit, unit)
