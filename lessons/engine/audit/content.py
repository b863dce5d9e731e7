"""Guidelines 1 to 8: what an item is about."""

import re

from .text import QUOTING, RESPONSES, ItemText, guideline

OPINION = re.compile(
    r"\bin (?:your|my|our) (?:opinion|view)\b|\b(?:do|would|did) you (?:feel|believe|prefer|like|agree)\b"
    r"|\bdo you think\b|\b(?:would|did) you think(?! of)\b|\byour favou?rite\b|\bnicest\b",
    re.IGNORECASE,
)
DOUBLE_NEGATIVE = re.compile(
    r"\b(?:not|never|cannot|no|nor)\b[^.;,?]{0,40}\b(?:not|never|without|fails? to|lacks?|cannot|neither)\b"
    r"|\bnot un\w{4,}|n[’']t\b[^.;,?]{0,40}\b(?:not|never|without|un(?:able|likely|safe|suitable))\b",
    re.IGNORECASE,
)
NOT_UN = re.compile(r"\bnot un(?:able|likely|safe|suit\w+|warrant\w+|common|like)\b", re.IGNORECASE)
TOO_GENERAL = re.compile(
    r"\bwhich (?:of (?:these|the following) )?(?:statements? )?(?:is|are) (?:true|correct|right)\?"
    r"|\bwhat (?:do you know|can be said)\b|\bin general\b|\bwhat about\b",
    re.IGNORECASE,
)
FIGURE = re.compile(r"\d+(?:[.,](\d+))?(?: ?(mL|ml|g|mg)\b)?")
CITED = (" et al", " page ", " pp. ", " p. ")
YEAR = re.compile(r"1[5-9]\d\d|20\d\d")
SLUG = re.compile(r"[^\W_]+(?:-[^\W_]+){3,}")
LONGEST_WORD = 22  # letters; the trade's longest terms have fewer
ENOUGH_TO_REPEAT = 5  # words in a row that count as taken over from the vignette


@guideline
def guideline_01_specific_content(text: ItemText) -> str | None:
    """1: an item tests one named piece of content by one way of thinking: its family, and what it is about."""
    item = text.item
    if not text.family or item.get("recipe", {}).get("family", text.family) != text.family:
        return "The item does not say of which one family it is."
    if text.response != RESPONSES.get(text.family, text.response):
        return f"The way of answering, {text.response!r}, is not that of the family {text.family!r}."
    presentation = item.get("presentation")
    if presentation and not presentation.get("pattern"):
        return "The presentation names no state of the tissue."
    return None if presentation or item.get("subject") else "The item does not say what it is about."


@guideline
def guideline_02_important_content(text: ItemText) -> str | None:
    """2: an item tests something that matters: every list of reasons has one on which the answer turns."""
    if not text.reasons:
        return "The item offers no reasons, so nothing shows what its answer turns on."
    for reasons in text.reasons:
        if not any(reason["status"] == "decisive" and reason["text"] for reason in reasons):
            return "A list of reasons has none on which the answer turns."
    return None


@guideline
def guideline_03_novel_material(text: ItemText) -> str | None:
    """3: the learner has to work the answer out: no option or reason repeats the vignette word for word."""
    vignette = text.vignette
    if not vignette:
        return None
    if any(reason.rstrip(".") in vignette for reason in text.reason_texts):
        return "A reason repeats the vignette word for word."
    if text.family in QUOTING:
        return None
    for label in text.labels:
        words = label.split()
        for start in range(len(words) - ENOUGH_TO_REPEAT + 1):
            if " ".join(words[start : start + ENOUGH_TO_REPEAT]) in vignette:
                return "An option repeats the vignette word for word."
    return None


@guideline
def guideline_05_neither_too_specific_nor_too_general(text: ItemText) -> str | None:
    """5: neither trivia (years, page numbers, figures to the hundredth) nor a question about everything at once."""
    if TOO_GENERAL.search(text.stem):
        return "The stem asks about everything at once."
    if any(mark in text.low for mark in CITED):
        return "The question cites a page or an author."
    for figure in FIGURE.finditer(text.vignette):
        decimals, unit = figure.groups()
        if len(decimals or "") > 1 or (not unit and YEAR.fullmatch(figure[0])):
            return "The vignette gives a needlessly exact figure or a year."
    return None


@guideline
def guideline_06_no_opinion(text: ItemText) -> str | None:
    """6: ask what follows from the findings, never what somebody thinks or likes."""
    return "The stem asks for an opinion." if OPINION.search(text.stem) else None


@guideline
def guideline_07_no_trick(text: ItemText) -> str | None:
    """7: no traps: no negative of a negative in stem or options."""
    if DOUBLE_NEGATIVE.search(text.stem):
        return "The stem negates a negative."
    if text.family not in QUOTING and any(DOUBLE_NEGATIVE.search(label) for label in text.labels):
        return "An option negates a negative."
    return "A reason negates a negative." if "not un" in text.wording and NOT_UN.search(text.wording) else None


@guideline
def guideline_08_plain_vocabulary(text: ItemText) -> str | None:
    """8: words the reader knows: no raw names, placeholders or monsters of a word."""
    everything = text.everything
    if "{" in everything or "}" in everything or "_" in everything or "<" in everything:
        return "A placeholder stands in the text."
    if everything.count("-") > 2 and SLUG.search(everything):
        return "A raw name stands in the text."
    if any(
        "-" in option["label"] and option["label"] in (option.get("part"), option.get("slug"))
        for option in text.options
    ):
        return "An option is labelled with its raw name."
    if max(map(len, text.words), default=0) > LONGEST_WORD:
        return f"A word of the question is longer than {LONGEST_WORD} letters."
    return None
