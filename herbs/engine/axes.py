"""The four energetic axes and the constants of the arithmetic.

Temperature and moisture carry the classical degrees; tone and movement use the same scale by analogy
(1 slight, 2 plain, 3 leading, 4 extreme). Zero is temperate.
"""

from typing import Final

AXES: Final = ("temperature", "moisture", "tone", "movement")
AXIS_INDEX: Final = {axis: number for number, axis in enumerate(AXES)}
LIMIT: Final = 4.0

# What an herb does (+, -) and what a state is (+, -), in words.
HERB_POLES: Final = {
    "temperature": ("warms", "cools"),
    "moisture": ("moistens", "dries"),
    "tone": ("tightens", "relaxes"),
    "movement": ("stirs", "quiets"),
}
STATE_POLES: Final = {
    "temperature": ("hot", "cold"),
    "moisture": ("damp", "dry"),
    "tone": ("tense", "lax"),
    "movement": ("excited", "torpid"),
}

# Constants of the fit. Tried on herb judgements and pairs from common practice; they live here and nowhere
# else, and a teaching set may not change them.
WEIGHT_ENERGETIC: Final = 0.5
WEIGHT_AFFINITY: Final = 0.2
WEIGHT_ACTION: Final = 0.3
WEIGHTS: Final = (WEIGHT_ENERGETIC, WEIGHT_AFFINITY, WEIGHT_ACTION)
WEIGHT_SPREAD: Final = 0.30  # each weight may be 30 % larger or smaller before renormalising
SHIFT: Final = 0.5  # half a degree: a zero-width interval is not certainty
MARGIN: Final = 0.10  # a distractor that partly suits stays this far below the key

WRONG_WAY_SLOPE: Final = 2.0  # a push of two degrees the wrong way is the worst match
OVERSHOOT_SPAN: Final = 4.0  # degrees beyond the need until nothing of the match is left
CONSTITUTION_COST: Final = 8.0  # |e|/8 where the person already leans the way the herb pushes
WASTE_COST: Final = 16.0  # |e|/16 on an axis with no need

AGGRAVATES_LEADING: Final = -0.25
AGGRAVATES_ANY: Final = -0.75
BEARING_MIN: Final = 0.15
SUITS_FIT: Final = 0.6
SUITS_ENERGETIC: Final = 1 / 3
SUITS_LEADING: Final = 1 / 3
SUITS_AFFINITY: Final = 0.33
SUITS_ACTION: Final = 0.33
PARTLY_FIT: Final = 0.3
OPPOSED_STRENGTH: Final = 2.0
ROUNDING: Final = 9  # decimals at which two figures count as equal

VERDICTS: Final = ("suits", "partly", "little", "aggravates", "unsafe")
VERDICT_WORDS: Final = {
    "suits": "suits",
    "partly": "partly suits",
    "little": "has little bearing",
    "aggravates": "aggravates",
    "unsafe": "is unsafe for this person",
}

CONSTANTS: Final = {
    "weights": {"energetic": WEIGHT_ENERGETIC, "affinity": WEIGHT_AFFINITY, "action": WEIGHT_ACTION},
    "weight_spread": WEIGHT_SPREAD,
    "shift": SHIFT,
    "margin": MARGIN,
    "wrong_way_slope": WRONG_WAY_SLOPE,
    "overshoot_span": OVERSHOOT_SPAN,
    "constitution_cost": CONSTITUTION_COST,
    "waste_cost": WASTE_COST,
    "aggravates_leading": AGGRAVATES_LEADING,
    "aggravates_any": AGGRAVATES_ANY,
    "bearing_min": BEARING_MIN,
    "suits_fit": SUITS_FIT,
    "suits_energetic": SUITS_ENERGETIC,
    "suits_leading": SUITS_LEADING,
    "suits_affinity": SUITS_AFFINITY,
    "suits_action": SUITS_ACTION,
    "partly_fit": PARTLY_FIT,
    "opposed_strength": OPPOSED_STRENGTH,
}

ENGINE_VERSION: Final = "1"
