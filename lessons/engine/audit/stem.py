"""Guidelines 14 to 17: the stem."""

import re

from .text import ItemText, guideline

ASKS = {
    "choose": re.compile(r"\b(?:which|what|how|who|whom|whose|where|when)\b", re.IGNORECASE),
    "rank": re.compile(r"\b(?:order|rank|sort|arrange|first to last|best to worst)", re.IGNORECASE),
    "match": re.compile(r"\b(?:match|kinds?|belongs?|which|pair|goes|go)\b", re.IGNORECASE),
    "place": re.compile(r"\b(?:place|plane|where|point|sits?)\b", re.IGNORECASE),
    "lean": re.compile(r"\b(?:more|less|better|worse|how)\b", re.IGNORECASE),
}
PADDING = re.compile(
    r"\b(?:please note|note that|it is (?:well )?known|as (?:you|we) (?:all )?know|interestingly|needless to say"
    r"|as everybody knows|of course|bear in mind|it should be noted|consider carefully|importantly)\b",
    re.IGNORECASE,
)
NEGATIVES = re.compile(
    r"\b(?:not|except|never|least|incorrect|false|wrong|cannot|neither|nor|unsuitable)\b|n[’']t\b", re.IGNORECASE
)
FEWEST_WORDS = 4
MOST_WORDS, MOST_WORDS_ALONE = 40, 70  # of a stem under a vignette, and of one that tells its case itself
REPEATED = 5  # words that every option starts with belong into the stem


@guideline
def guideline_14_clear_directions(text: ItemText) -> str | None:
    """14: the stem says what is to be done, in words that fit the way of answering."""
    asks = ASKS.get(text.response)
    return None if asks and asks.search(text.stem) else "The stem does not say what is to be done."


@guideline
def guideline_15_central_idea_in_stem(text: ItemText) -> str | None:
    """15: the stem holds the idea: one whole question, and nothing in the options that all of them repeat."""
    if text.stem.count("?") != 1 or not text.stem.endswith("?"):
        return "The stem must ask one question."
    if text.stem.count(" ") + 1 < FEWEST_WORDS:
        return "The stem is too short to hold the question."
    starts = {tuple(label.split()[:REPEATED]) for label in text.labels}
    if len(text.labels) > 1 and len(starts) == 1 and len(next(iter(starts))) == REPEATED:
        return "All options begin with words that belong into the stem."
    return None


@guideline
def guideline_16_no_window_dressing(text: ItemText) -> str | None:
    """16: no padding: nothing in the stem that the answer does not need."""
    if PADDING.search(text.stem):
        return "The stem is padded."
    most = MOST_WORDS if text.vignette else MOST_WORDS_ALONE
    return f"The stem has more than {most} words." if text.stem.count(" ") >= most else None


@guideline
def guideline_17_positive_stem(text: ItemText) -> str | None:
    """17: word the question positively; what went before it may tell a negative fact of the case."""
    asked = text.stem.rsplit(". ", 1)[-1]
    return "The stem has a negative." if NEGATIVES.search(asked) else None
