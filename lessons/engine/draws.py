"""What draws what: facts of the workroom on which questions of menstruum and method turn.

Common practice, no source: mucilage in cold water, resin in strong alcohol, volatile oil kept under a lid. Each fact lists as
wrong only what plainly fails; what draws the constituent somewhat, as vinegar does minerals, is named nowhere beside it.
"""

from dataclasses import dataclass

from herbs.engine import PartNotes, PreparationNote

# Classes of constituents that are spoken of in the plural.
MANY = {
    "alkaloid", "anthocyanin", "anthraquinone", "carotenoid", "coumarin", "flavonoid", "iridoid", "lignan", "organic-acid",
    "phenolic-acid", "phenylpropanoid", "polysaccharide", "salicylate", "saponin",
}  # fmt: skip
MENSTRUA = {
    "cold-water": "Cold water overnight",
    "simmering-water": "Water at a covered simmer",
    "open-boil": "Water at an open boil",
    "alcohol-25": "Alcohol at 25 per cent",
    "alcohol-60": "Alcohol at 60 per cent",
    "alcohol-90": "Alcohol at 90 per cent",
    "fixed-oil": "Gently warmed fixed oil",
    "glycerine": "Glycerine with water",
    "vinegar": "Cider vinegar, cold",
}
METHODS = {
    "cold-infusion": "Cold infusion, strained after some hours",
    "covered-infusion": "Hot infusion under a close lid",
    "open-boil": "Decoction boiled down in an open pan",
    "decoction": "Decoction at a long, gentle simmer",
    "strong-tincture": "Tincture in strong alcohol",
    "weak-tincture": "Tincture in weak alcohol",
    "infused-oil": "Infused oil, gently warmed",
    "steam": "Steam breathed in over a bowl",
    "syrup": "Syrup boiled down from a decoction",
    "glycerite": "Glycerite, cold and well shaken",
    "distilled": "Distilled water from a still",
    "oven": "Powder dried in a hot oven",
    "uncovered": "Infusion left steaming without a lid",
}
# Parts that give up little without a simmer, and those that give up their scent at once.
HARD = ("root", "rhizome", "bark", "root bark", "inner bark")
# Not the lichens, whose jelly needs boiling.
SWELLING = ("root", "leaf", "flower", "herb", "seed", "seed husk", "rhizome", "fruit", "gel", "inner bark")
SOFT = ("leaf", "flower", "herb", "fruit", "seed", "petal", "leaf with flower")
LEADING = 2  # constituents named first are those that a part is used for; a fact may ask for the very first
STRONG, MIDDLING = 80, 60  # per cent of alcohol from which resin, and volatile oil, go over well


@dataclass(frozen=True)
class Draw:
    """One fact: how a constituent is best drawn, what plainly fails, why, and the contrary that somebody might believe.

    A part supports it when the constituent is among the ``leading`` ones named of it, it is one of ``parts`` (any when empty),
    and it is prepared by one of ``methods`` with at least ``alcohol`` per cent.
    """

    kind: str
    constituent: str
    right: str
    wrong: tuple[str, ...]
    because: str
    contrary: str
    methods: tuple[str, ...]
    parts: tuple[str, ...] = ()
    alcohol: int = 0
    leading: int = LEADING


DRAWS = (
    Draw(
        "menstruum", "mucilage", "cold-water", ("alcohol-60", "alcohol-90", "fixed-oil"),
        "Mucilage swells into cold water, while strong alcohol and oil leave it behind.",
        "Mucilage goes into strong alcohol and is left behind by cold water.",
        ("cold-infusion",), parts=SWELLING,
    ),
    Draw(
        "menstruum", "resin", "alcohol-90", ("cold-water", "glycerine", "vinegar", "alcohol-25", "open-boil"),
        "Resin goes into strong alcohol and hardly into anything watery.",
        "Resin goes into watery menstrua and is thrown down by strong alcohol.",
        ("tincture",), alcohol=STRONG,
    ),
    Draw(
        "menstruum", "volatile-oil", "alcohol-60", ("cold-water", "alcohol-25", "open-boil"),
        "Volatile oil needs alcohol of middling strength, and an open boil drives it off.",
        "Volatile oil goes into plain water as readily as into middling alcohol.",
        ("tincture",), alcohol=MIDDLING, leading=1,
    ),
    Draw(
        "menstruum", "carotenoid", "fixed-oil", ("cold-water", "vinegar", "glycerine", "alcohol-25"),
        "Carotenoids are fat-loving: a fixed oil takes them, and watery menstrua do not.",
        "Carotenoids are water-loving: watery menstrua take them, and a fixed oil does not.",
        ("oil",),
    ),
    Draw(
        "menstruum", "polysaccharide", "simmering-water", ("alcohol-60", "alcohol-90", "fixed-oil"),
        "Polysaccharides go into hot water, and strong alcohol throws them down again.",
        "Polysaccharides go into strong alcohol, and hot water throws them down again.",
        ("decoction",), parts=HARD,
    ),
    Draw(
        "menstruum", "inulin", "simmering-water", ("alcohol-60", "alcohol-90", "fixed-oil"),
        "Inulin goes into hot water, and strong alcohol throws it down again.",
        "Inulin goes into strong alcohol, and hot water throws it down again.",
        ("decoction",),
    ),
    Draw(
        "menstruum", "mineral", "simmering-water", ("alcohol-60", "alcohol-90", "fixed-oil"),
        "Mineral salts go into water over a long simmer, hardly into alcohol or oil.",
        "Mineral salts go into alcohol or oil, hardly into water over a long simmer.",
        ("decoction",),
    ),
    Draw(
        "method", "mucilage", "cold-infusion", ("strong-tincture", "infused-oil", "steam", "distilled"),
        "Mucilage swells in cold water within hours; alcohol, oil and steam leave it behind.",
        "Mucilage rises with steam or goes into alcohol; cold water leaves it behind.",
        ("cold-infusion",), parts=SWELLING,
    ),
    Draw(
        "method", "volatile-oil", "covered-infusion", ("open-boil", "syrup", "uncovered", "oven"),
        "Volatile oil goes off with heat and steam, so what holds the steam back keeps it.",
        "Volatile oil stays in the pan while the water goes off, so boiling gathers it.",
        ("infusion",), parts=SOFT, leading=1,
    ),
    Draw(
        "method", "tannin", "decoction", ("steam", "infused-oil", "distilled"),
        "Tannin in a hard part goes into water that simmers, not into oil or steam.",
        "Tannin in a hard part rises with steam, and water that simmers destroys it.",
        ("decoction",), parts=HARD,
    ),
    Draw(
        "method", "polysaccharide", "decoction", ("strong-tincture", "infused-oil", "steam", "distilled"),
        "Polysaccharides of a hard part need a simmer in water; alcohol, oil and steam leave them.",
        "Polysaccharides of a hard part need strong alcohol; a simmer in water destroys them.",
        ("decoction",), parts=HARD,
    ),
    Draw(
        "method", "inulin", "decoction", ("strong-tincture", "infused-oil", "steam", "distilled"),
        "Inulin of a root needs hot water; strong alcohol, oil and steam leave it behind.",
        "Inulin of a root needs strong alcohol; hot water leaves it behind in the root.",
        ("decoction",), parts=HARD,
    ),
    Draw(
        "method", "resin", "strong-tincture", ("covered-infusion", "glycerite", "decoction", "cold-infusion", "syrup"),
        "Resin goes into strong alcohol; water, hot or cold, and glycerine leave it behind.",
        "Resin goes into water, hot or cold, and strong alcohol leaves it behind.",
        ("tincture",), alcohol=STRONG,
    ),
    Draw(
        "method", "carotenoid", "infused-oil", ("covered-infusion", "glycerite", "cold-infusion", "steam"),
        "Carotenoids go into fat, so an oil takes what watery preparations leave behind.",
        "Carotenoids go into water, so a watery preparation takes what oil leaves behind.",
        ("oil",),
    ),
)  # fmt: skip


def is_supported(draw: Draw, part: str, notes: PartNotes) -> bool:
    """Whether a part holds the constituent and some source prepares it in the way of the fact."""
    if draw.constituent not in notes.constituents[: draw.leading] or (draw.parts and part not in draw.parts):
        return False
    return any(_is_of(draw, made) for made in notes.preparations)


def _is_of(draw: Draw, made: PreparationNote) -> bool:
    return made.method in draw.methods and (made.alcohol or 0) >= draw.alcohol
