"""Guidelines 18 to 27: the options, and the reasons offered after the choice."""

import re
from collections.abc import Sequence

from .text import QUOTING, ItemText, guideline, numbers, odd_one_out, without_numbers

OPTIONS = 4
FEWEST_REASONS, MOST_REASONS = 3, 5
LONGEST_TO_SHORTEST = 3.2
# Shorter differences than this, in characters, catch no eye where labels are not names of herbs.
NOTICED = 16
WIDEST = 4  # degrees from the middle of the plane to its edge
# Families of statements: where one statement holds another, both may be right.
STATEMENTS = frozenset({"point-of-difference", "taste-to-effect", "what-would-have-to-change"})
NONE_OF_THEM = re.compile(r"\bnone of (?:the|these|them|those)\b|\bneither of (?:these|them|the)\b", re.IGNORECASE)
ALL_OF_THEM = re.compile(
    r"\b(?:all|any|both|each|two|three) of (?:the (?:above|others)|these|them|those)\b|\bof the above\b", re.IGNORECASE
)
NEGATED = re.compile(r"\b(?:not|never|except|neither|nor|cannot)\b|n[’']t\b", re.IGNORECASE)
SUMS = frozenset({"ratio", "dilution", "dose"})
# The verdict that a family asks for: the key has it, and no other option has.
ASKED = {"best-fit": "suits", "would-aggravate": "aggravates"}


def uneven(labels: Sequence[str]) -> bool:
    """Whether the longest label is out of proportion to the shortest."""
    lengths = [len(label) for label in labels]
    return max(lengths) > LONGEST_TO_SHORTEST * min(lengths)


@guideline
def guideline_18_number_of_options(text: ItemText) -> str | None:
    """18: as many options as work: four, and three to five reasons."""
    if text.response in ("choose", "rank", "match") and len(text.options) != OPTIONS:
        return "There must be four options."
    if any(not FEWEST_REASONS <= len(reasons) <= MOST_REASONS for reasons in text.reasons):
        return f"There must be {FEWEST_REASONS} to {MOST_REASONS} reasons for an answer."
    return None


@guideline
def guideline_19_one_right_answer(text: ItemText) -> str | None:
    """19: exactly one answer is right, and exactly one reason decides."""
    for reasons in text.reasons:
        if [reason["status"] for reason in reasons].count("decisive") > 1:
            return "More than one reason of a list decides."
    key, options = text.key, text.options
    if text.response == "choose":
        if [number for number, option in enumerate(options) if option.get("fault") is None] != [key]:
            return "Exactly one option, the key, must be without fault."
        asked = ASKED.get(text.family)
        if asked and [number for number, option in enumerate(options) if option.get("verdict") == asked] != [key]:
            return f"Exactly one option, the key, must have the verdict {asked!r}."
    elif not isinstance(key, list | dict):
        return None  # Guideline 9 tells of a key of the wrong shape.
    elif text.response in ("rank", "match") and sorted(map(str, key)) != [
        str(number) for number in range(len(options))
    ]:
        return "The key must use every place once."
    elif isinstance(key, dict) and not all(
        -WIDEST <= low <= high <= WIDEST for low, high in zip(key.get("low", ()), key.get("high", ()), strict=False)
    ):
        return "The key must be one box on the plane."
    return None


@guideline
def guideline_21_numerical_order(text: ItemText) -> str | None:
    """21: options that differ in their figures alone stand in the order of those figures."""
    labels = text.labels
    if len(labels) < 2 or text.herbs or not all(map(numbers, labels)) or len(set(map(without_numbers, labels))) > 1:
        return None
    figures = [numbers(label) for label in labels]
    return None if figures in (sorted(figures), sorted(figures, reverse=True)) else "Figures are not in order."


@guideline
def guideline_22_independent_options(text: ItemText) -> str | None:
    """22: options do not overlap: all different, no two herbs of one species, no statement within another; nor reasons."""
    labels = [label.casefold() for label in text.labels]
    if len(set(labels)) < len(labels) or len(set(text.kinds)) < len(text.kinds):
        return "Two options are the same."
    if text.herbs:
        species = {option["latin"] for option in text.options}
        if len(species) < len(labels):
            return "Two options are of one species."
    elif text.family in STATEMENTS and any(f" {a} " in f" {b} " for a in labels for b in labels if a != b):
        return "One option holds another."
    if any(len({reason["text"] for reason in reasons}) < len(reasons) for reasons in text.reasons):
        return "Two reasons of a list are the same."
    return None


@guideline
def guideline_23_homogeneous_options(text: ItemText) -> str | None:
    """23: options alike in content and grammar: all herbs or none; one form of sum; one way of beginning and of ending."""
    options, labels = text.options, text.labels
    if len({"part" in option for option in options}) > 1:
        return "Some options are herbs and some are not."
    if len({label.endswith((".", ";", ",")) for label in labels}) > 1:
        return "Some options end with a mark and some do not."
    if text.herbs or text.family == "caution":
        return None
    if len({label[:1].isupper() for label in labels}) > 1:
        return "Some options start with a capital and some do not."
    if text.item.get("subject", {}).get("kind") in SUMS and len({without_numbers(label) for label in labels}) > 1:
        return "Options that are sums differ in their units or form."
    return None


@guideline
def guideline_24_option_length(text: ItemText) -> str | None:
    """24: options of about equal length."""
    for labels in (text.labels, text.kinds):
        if len(labels) > 1 and uneven(labels):
            lengths = [len(label) for label in labels]
            if (text.herbs and labels is text.labels) or max(lengths) - min(lengths) >= NOTICED:
                return "Options differ too much in length."
    return None


@guideline
def guideline_25_no_none_of_them(text: ItemText) -> str | None:
    """25: no option that says "none of the above"."""
    return "An option says none of the above." if any(NONE_OF_THEM.search(label) for label in text.labels) else None


@guideline
def guideline_26_no_all_of_them(text: ItemText) -> str | None:
    """26: no option that says "all of the above", "both of these" or the like."""
    found = any(ALL_OF_THEM.search(label) and not NONE_OF_THEM.search(label) for label in text.labels)
    return "An option says all of the above." if found else None


@guideline
def guideline_27_positive_options(text: ItemText) -> str | None:
    """27: options are worded positively; where they tell of findings or people, a negative must not mark the key."""
    if text.family in QUOTING or text.family == "caution":
        marked = text.choices and odd_one_out(text.labels, text.key, lambda label: bool(NEGATED.search(label)))
        return "A negative marks the key among the options." if marked else None
    return "An option has a negative." if any(NEGATED.search(label) for label in (*text.labels, *text.kinds)) else None
