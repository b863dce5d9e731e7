"""Audit of the writing: guidelines of Haladyna, Downing & Rodriguez (2002) that a machine can check.

T. M. Haladyna, S. M. Downing and M. C. Rodriguez, A review of multiple-choice item-writing guidelines for classroom
assessment, Applied Measurement in Education 15(3), 309-334. Each function is named by the guideline's number there and
returns a sentence when the item breaks it.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from .vignette import MAX_WORDS, MIN_WORDS, count_words

Item = Mapping[str, Any]
Check = Callable[[Item], str | None]
NEGATIVES = re.compile(r"\b(not|except|never|least|incorrect|false|wrong)\b", re.IGNORECASE)
ABSOLUTES = re.compile(r"\b(always|never|all|none|only|every)\b", re.IGNORECASE)
LONGEST_TO_SHORTEST = 3.2


def uneven(labels: Sequence[str]) -> bool:
    """Whether the longest label is out of proportion to the shortest."""
    lengths = [len(label) for label in labels]
    return max(lengths) > LONGEST_TO_SHORTEST * min(lengths)


def clang(text: str, labels: Sequence[str]) -> str | None:
    """The first word of some label that stands in a text, or None."""
    said = set(re.findall(r"[^\W\d_]+", text.lower()))
    return next((first for label in labels if (first := re.findall(r"[^\W\d_]+", label.lower())[0]) in said), None)


def guideline_08_plain_vocabulary(item: Item) -> str | None:
    """8: keep vocabulary simple; no raw slugs or placeholders reach the reader."""
    text = f"{item['stem']} {item['vignette']}"
    return "A raw name stands in the text." if re.search(r"[{}_]|\b\w+-\w+-\w+-\w+\b", text) else None


def guideline_11_proofread(item: Item) -> str | None:
    """11: edit and proof: no doubled words or spaces, sentences start with a capital and end with a stop."""
    text = item["vignette"]
    if re.search(r"\b(\w+) \1\b", text, re.IGNORECASE) or "  " in text or ".." in text or re.search(r"\s[,.;]", text):
        return "The vignette has a doubled word or a stray mark."
    sentences = re.split(r"(?<=\.) ", text)
    if not text.endswith(".") or any(not sentence[:1].isupper() for sentence in sentences):
        return "A sentence of the vignette does not start with a capital or end with a full stop."
    return None


def guideline_12_grammar(item: Item) -> str | None:
    """12: correct grammar: a before a consonant, an before a vowel sound; pronouns agree with verbs."""
    text = item["vignette"]
    if re.search(r"\ba (?=[aeio])", text, re.IGNORECASE) or re.search(
        r"\ban (?=[bcdfgjklmnpqrstvwxyz])", text, re.IGNORECASE
    ):
        return "An article does not agree with its noun."
    if re.search(r"\b(they (is|has|takes|reports)|(he|she) (are|have|take|report))\b", text, re.IGNORECASE):
        return "A pronoun does not agree with its verb."
    return None


def guideline_13_reading_load(item: Item) -> str | None:
    """13: minimise reading: a vignette of 40 to 90 words."""
    words = count_words(item["vignette"])
    return (
        None if MIN_WORDS <= words <= MAX_WORDS else f"The vignette has {words} words, not {MIN_WORDS} to {MAX_WORDS}."
    )


def guideline_15_central_idea_in_stem(item: Item) -> str | None:
    """14, 15: the stem asks one clear question."""
    return None if item["stem"].count("?") == 1 and item["stem"].endswith("?") else "The stem must ask one question."


def guideline_17_positive_stem(item: Item) -> str | None:
    """17: word the stem positively."""
    return "The stem has a negative." if NEGATIVES.search(item["stem"]) else None


def guideline_18_number_of_options(item: Item) -> str | None:
    """18: as many effective options as there are, here four, all different."""
    parts = [option["part"] for option in item["options"]]
    return None if len(parts) == 4 == len(set(parts)) else "There must be four different options."


def guideline_19_one_right_answer(item: Item) -> str | None:
    """19: exactly one option is right."""
    suits = [number for number, option in enumerate(item["options"]) if option["verdict"] == "suits"]
    return None if suits == [item["key"]] else "Exactly one option, the key, must suit."


def guideline_22_independent_options(item: Item) -> str | None:
    """22: options do not overlap: no two of one species."""
    species = [option["latin"] for option in item["options"]]
    return None if len(species) == len(set(species)) else "Two options are of one species."


def guideline_24_option_length(item: Item) -> str | None:
    """24: options of about equal length."""
    return "Options differ too much in length." if uneven([option["label"] for option in item["options"]]) else None


def guideline_26_no_all_or_none(item: Item) -> str | None:
    """25, 26: neither "none of the above" nor "all of the above"."""
    texts = [option["label"] for option in item["options"]]
    return (
        "An option says all or none of the above."
        if any(re.search(r"of the above", text, re.I) for text in texts)
        else None
    )


def guideline_28a_no_absolutes(item: Item) -> str | None:
    """28a: no specific determiners in options."""
    return (
        "An option holds an absolute." if any(ABSOLUTES.search(option["label"]) for option in item["options"]) else None
    )


def guideline_28b_no_clang(item: Item) -> str | None:
    """28b: no clang association: the first word of a label never stands in stem or vignette."""
    word = clang(f"{item['stem']} {item['vignette']}", [option["label"] for option in item["options"]])
    return f"The word {word!r} of an option stands in the question." if word else None


def guideline_28c_key_not_conspicuous(item: Item) -> str | None:
    """28c: the decisive reason is not conspicuously longer than the longest other."""
    for reasons in (item["because"], *item["because_for"].values()):
        decisive = [len(reason["text"]) for reason in reasons if reason["status"] == "decisive"]
        others = [len(reason["text"]) for reason in reasons if reason["status"] != "decisive"]
        if len(decisive) != 1 or decisive[0] > 1.6 * max(others):
            return "The decisive reason stands out by its length."
    return None


def guideline_29_plausible_distractors(item: Item) -> str | None:
    """29, 30: every distractor rests on a typical error, named as its fault."""
    wrong = [option for number, option in enumerate(item["options"]) if number != item["key"]]
    return None if all(option["fault"] for option in wrong) else "A distractor has no named fault."


CHECKS: tuple[Check, ...] = tuple(check for name, check in sorted(globals().items()) if name.startswith("guideline_"))


def audit(item: Item) -> list[str]:
    """Every guideline the item breaks, as sentences; empty for a clean item."""
    return [message for check in CHECKS if (message := check(item))]
