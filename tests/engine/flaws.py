"""Seeded flaws: one change to a clean item for each, and the check that has to see it."""

from collections.abc import Callable
from typing import Any, NamedTuple

Item = dict[str, Any]
Change = Callable[[Item], Any]


class Mutation(NamedTuple):
    """A family, what is changed in its clean item, and the name of the check aimed at."""

    aim: str
    family: str
    change: Change


def put(*path: Any) -> Change:
    """Set a value: all but the last argument lead to it."""
    *steps, last, value = path

    def change(item: Item) -> None:
        place: Any = item
        for step in steps:
            place = place[step]
        place[last] = value

    return change


def label(number: int, text: str) -> Change:
    return put("options", number, "label", text)


def labels(*texts: str) -> Change:
    def change(item: Item) -> None:
        for option, text in zip(item["options"], texts, strict=True):
            option["label"] = text

    return change


def swap(field: str, old: str, new: str) -> Change:
    """Replace words that stand in a text; an absent one is a mistake of the mutation."""

    def change(item: Item) -> None:
        assert old in item[field]
        item[field] = item[field].replace(old, new, 1)

    return change


def stem(text: str) -> Change:
    return put("stem", text)


def reason(text: str, number: int = 0, which: int = 0) -> Change:
    return put("because", which, number, "text", text)


def cut(*path: Any) -> Change:
    """Remove a value."""
    *steps, last = path

    def change(item: Item) -> None:
        place: Any = item
        for step in steps:
            place = place[step]
        del place[last]

    return change


def each_label(rewrite: Callable[[str], str]) -> Change:
    def change(item: Item) -> None:
        for option in item["options"]:
            option["label"] = rewrite(option["label"])

    return change


def shortened(words: int) -> Change:
    def change(item: Item) -> None:
        item["vignette"] = " ".join(item["vignette"].split()[:words]).rstrip(".,") + "."

    return change


def strange_row(item: Item) -> None:
    item["certificate"]["rows"][2]["listed"] = False


SEEDED: dict[str, tuple[tuple[str, Change], ...]] = {
    "guideline_01_specific_content": (
        ("kinds", put("subject", {})),
        ("best-fit", put("recipe", "family", "caution")),
        ("order-by-fit", put("response", "choose")),
        ("caution", put("presentation", "pattern", {})),
    ),
    "guideline_02_important_content": (
        ("place-on-the-plane", put("because", [])),
        ("best-fit", put("because", 3, 0, "status", "true")),
        ("preparation", reason("")),
    ),
    "guideline_03_novel_material": (
        ("best-fit", reason("You find a narrow red tongue and a quick pulse.", 1)),
        ("name-the-state", label(2, "a narrow red tongue and a quick pulse")),
    ),
    "guideline_05_neither_too_specific_nor_too_general": (
        ("kinds", stem("Which of the following statements is true?")),
        ("best-fit", swap("vignette", "of 34", "born in 1988")),
        ("name-the-state", swap("vignette", "a quick pulse", "a fever of 38.25 degrees")),
        ("caution", swap("vignette", "a tickling chest", "a chest as on page 12")),
    ),
    "guideline_06_no_opinion": (
        ("best-fit", stem("Which of these expectorants, in your opinion, suits here?")),
        ("order-by-fit", stem("In what order would you prefer these expectorants?")),
        ("point-of-difference", stem("Do you feel that thyme and marshmallow part, and on what?")),
        ("preparation", stem("You have 100 g of leaf: how much tincture do you think it gives?")),
    ),
    "guideline_07_no_trick": (
        ("best-fit", stem("Which of these expectorants is not without use here?")),
        ("taste-to-effect", label(1, "never warms without drying")),
        ("caution", reason("It is not unlikely to suit.")),
    ),
    "guideline_08_plain_vocabulary": (
        ("kinds", stem("Which kind does each of these {plural} belong to?")),
        ("best-fit", swap("vignette", "a tickling chest", "expectorant-dry-heat-lungs")),
        ("order-by-fit", label(0, "althaea-officinalis-root")),
        ("name-the-state", swap("vignette", "a tickling chest", "laryngotracheobronchitides")),
    ),
    "guideline_09_conventional_format": (
        ("best-fit", put("key", None)),
        ("order-by-fit", put("key", [0, 3, 1, 1])),
        ("kinds", put("kinds", [])),
        ("place-on-the-plane", put("key", 40)),
        ("new-finding", put("key", 1)),
        ("name-the-state", label(3, "both 1 and 2")),
    ),
    "guideline_10_vertical_options": (
        ("taste-to-effect", label(0, "a) warms and moistens")),
        ("preparation", label(1, "400 mL\n450 mL")),
        ("caution", stem("Which of (a) pregnancy and (b) hay fever changes the choice?")),
    ),
    "guideline_11_proofread": (
        ("best-fit", swap("vignette", "a quick pulse", "a a quick pulse")),
        ("order-by-fit", swap("vignette", "You find", "you find")),
        ("name-the-state", swap("vignette", "first, and", "first , and")),
        ("kinds", swap("stem", "Which kind", "which kind")),
        ("would-aggravate", reason("It dries strongly, and moisture leads here", 1, 2)),
        ("preparation", label(0, "20 mL ")),
    ),
    "guideline_12_grammar": (
        ("best-fit", swap("vignette", "a narrow", "an narrow")),
        ("caution", swap("vignette", "She reports", "They reports")),
        ("taste-to-effect", reason("This is an bland herb.")),
        ("new-finding", swap("vignette", "a hot windpipe", "a inflamed windpipe")),
    ),
    "guideline_13_reading_load": (
        ("best-fit", shortened(20)),
        ("order-by-fit", swap("vignette", "You find", "You find much. " * 15 + "You find")),
        ("what-would-have-to-change", label(1, "some warmth, " * 15 + "and thirst in place of the heat")),
        ("kinds", reason("It holds, " + "again and again, " * 15 + "throughout.", 1)),
    ),
    "guideline_14_clear_directions": (
        ("best-fit", stem("Is there among these one that suits the presentation?")),
        ("order-by-fit", stem("What do you make of these four expectorants?")),
        ("place-on-the-plane", stem("What do you know of mullein leaf?")),
    ),
    "guideline_15_central_idea_in_stem": (
        ("best-fit", stem("Which of these?")),
        ("kinds", stem("Say which kind each of these belongs to.")),
        ("name-the-state", stem("Which state is it? And which is the root?")),
        ("caution", each_label(lambda text: f"the choice must change for {text}")),
    ),
    "guideline_16_no_window_dressing": (
        ("best-fit", stem("As you know, which of these expectorants suits here?")),
        ("taste-to-effect", stem("Please note the taste: what do you expect of it?")),
        ("order-by-fit", stem("In what order, " + "looking well at all that was told, " * 6 + "do these suit?")),
    ),
    "guideline_17_positive_stem": (
        ("best-fit", stem("Which of these expectorants does not suit here?")),
        ("kinds", stem("Which kind does each of these belong to, except one?")),
        ("caution", stem("For which of these people isn't liquorice root a good choice?")),
    ),
    "guideline_18_number_of_options": (
        ("best-fit", cut("options", 3)),
        ("order-by-fit", cut("options", 0)),
        ("preparation", cut("because", 0, 1)),
    ),
    "guideline_19_one_right_answer": (
        ("best-fit", put("options", 3, "verdict", "suits")),
        ("would-aggravate", put("options", 0, "verdict", "aggravates")),
        ("name-the-state", put("options", 1, "fault", None)),
        ("kinds", put("key", [0, 0, 1, 2])),
        ("place-on-the-plane", put("key", {"low": [2, 0], "high": [0, 2]})),
        ("preparation", put("because", 0, 1, "status", "decisive")),
    ),
    "guideline_21_numerical_order": (
        ("preparation", labels("20 mL", "600 mL", "500 mL", "400 mL")),
        ("preparation", labels("1:5", "1:2", "1:10", "1:4")),
    ),
    "guideline_22_independent_options": (
        ("best-fit", put("options", 1, "latin", "Althaea officinalis")),
        ("taste-to-effect", label(3, "warms")),
        ("point-of-difference", label(3, "thyme dries")),
        ("caution", label(3, "Somebody with mild hay fever")),
        ("kinds", put("kinds", 1, "cooling and moistening")),
        ("order-by-fit", reason("It dries strongly, and moisture leads here.", 0)),
    ),
    "guideline_23_homogeneous_options": (
        ("best-fit", cut("options", 2, "part")),
        ("taste-to-effect", label(2, "cools and moistens.")),
        ("name-the-state", label(1, "Damp heat")),
        ("preparation", label(1, "0.4 litres")),
    ),
    "guideline_24_option_length": (
        ("best-fit", label(0, "the peeled autumn root of the cultivated marshmallow")),
        ("name-the-state", label(3, "slack chill with damp that has followed it down")),
        ("kinds", put("kinds", 0, "cooling and moistening, and besides that relaxing, quieting and loosening all round")),
    ),
    "guideline_25_no_none_of_them": (
        ("best-fit", label(2, "none of these")),
        ("preparation", label(3, "none of the above")),
    ),
    "guideline_26_no_all_of_them": (
        ("name-the-state", label(3, "all of the above")),
        ("caution", label(2, "any of these people, and all of them")),
        ("taste-to-effect", label(1, "both of these")),
    ),
    "guideline_27_positive_options": (
        ("name-the-state", label(1, "not damp heat")),
        ("caution", label(0, "somebody whose blood pressure is not normal")),
        ("kinds", put("kinds", 2, "neither warming nor drying")),
    ),
    "guideline_28a_no_absolutes": (
        ("taste-to-effect", label(1, "always warms and dries")),
        ("what-would-have-to-change", label(1, "a tongue that is never moist in place of the red tongue")),
        ("best-fit", reason("It always moistens, and moisture leads here.", 1, 2)),
    ),
    "guideline_28b_no_clang": (
        ("best-fit", swap("vignette", "cool drinks", "marshmallow sweets")),
        ("order-by-fit", stem("In what order do thyme and the other expectorants suit here?")),
        ("kinds", put("kinds", 1, "like thyme, warming")),
        ("name-the-state", swap("vignette", "a hot windpipe", "an arid windpipe")),
    ),
    "guideline_28c_grammar_does_not_tell": (
        ("name-the-state", label(0, "an arid heat")),
        ("taste-to-effect", label(0, "it warms and moistens")),
        ("caution", labels("the blood pressure patient", "hay fever", "old sprain", "dry skin")),
    ),
    "guideline_28d_key_not_conspicuous": (
        ("best-fit", reason(f"It moistens strongly, {'much as it does elsewhere, ' * 3}and moisture leads here.")),
        ("name-the-state", label(0, "arid heat with a hasty pulse")),
        ("taste-to-effect", label(0, "usually warms and moistens")),
        ("caution", label(0, "somebody with a pressure of 170")),
    ),
    "guideline_28e_no_telling_pairs": (
        ("best-fit", put("options", 3, "latin", "Althaea rosea")),
        ("caution", labels("high pressure", "high fever", "old sprain", "dry skin")),
        ("would-aggravate", put("options", 0, "latin", "Thymus serpyllum")),
        ("point-of-difference", label(2, "thyme cools and marshmallow warms")),
    ),
    "guideline_28f_no_absurd_options": (
        ("best-fit", strange_row),
        ("preparation", labels("20 %", "40 %", "95 %", "130 %")),
        ("preparation", label(0, "0 mL")),
    ),
    "guideline_29_plausible_distractors": (
        ("best-fit", put("options", 2, "fault", None)),
        ("caution", put("options", 1, "fault", "")),
        ("order-by-fit", put("options", 1, "fault", "too weak")),
    ),
    "guideline_30_typical_errors": (
        ("name-the-state", put("options", 1, "fault", "wrong planet")),
        ("best-fit", put("options", 1, "fault", "tastes nasty")),
    ),
    "guideline_31_no_humour": (
        ("best-fit", swap("vignette", "a quick pulse.", "a quick pulse!")),
        ("kinds", reason("This one is a joke.", 2)),
        ("caution", label(2, "somebody with an old sprain \N{GRINNING FACE}")),
    ),
}  # fmt: skip
MUTATIONS = tuple(Mutation(aim, family, change) for aim, seeded in SEEDED.items() for family, change in seeded)
