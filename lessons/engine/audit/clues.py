"""Guidelines 28 to 31: clues to the key, and distractors worth their place."""

import re
from collections import Counter
from collections.abc import Sequence

from lessons.engine.faults import FAULTS

from .text import QUOTING, ItemText, first_word, guideline, numbers, odd_one_out, telling_words

# Specific determiners. The strict ones are out of place in a reason or a quoted finding too.
ABSOLUTES = re.compile(
    r"\b(?:always|never|all|none|only|every|completely|absolutely|entirely|invariably)\b", re.IGNORECASE
)
STRICT = ("always", "never", "completely", "absolutely", "entirely", "invariably")
STRICT_ABSOLUTES = re.compile(rf"\b(?:{'|'.join(STRICT)})\b", re.IGNORECASE)
ARTICLE = re.compile(r"^(?:an?|the|some) ", re.IGNORECASE)
SENTENCE = re.compile(r"^(?:it|they|this|these|he|she|you|because|by|to|which|that) ", re.IGNORECASE)
QUALIFIED = re.compile(
    r"[(;]|\b(?:usually|generally|typically|mostly|as a rule|in most|under certain|provided that)\b", re.IGNORECASE
)
OUTWEIGHS = 1.6  # times the length of the longest other: longer catches the eye
NOTICED = 12  # characters by which a key that is no herb must outgrow the others to be noticed
# Families whose distractors are contraries of the key by their rule (see the table of this package).
PAIRED = frozenset({"taste-to-effect", "name-the-state"})
JOKES = ("haha", "ha ha", "kidding", "joking", " joke")
SMILEY = re.compile(r"[:;]-?\)")
PERCENT = re.compile(r"(\d+(?:\.\d+)?) ?(?:%|per ?cent)")
# What somebody learning this gets wrong, by the names that families give it.
TYPICAL_ERRORS = frozenset(
    {
        *FAULTS,
        "suits here", "partly suits", "little bearing",
        "reversed", "both qualities reversed",
        "root and consequence exchanged", "invented quality", "missed quality",
        "wrong axis", "not far enough", "wrong way",
        "no caution here",
        "wrong menstruum", "wrong method", "added instead of made up to", "ratio taken the wrong way round",
        "strengths exchanged", "percent of the wrong volume",
        "one dose taken for the day", "size of the dose left out", "multiplied instead of divided",
        "herb counted among the parts", "the water reckoned instead", "ratio brought in needlessly",
        "decimal point too far right", "decimal point too far left",
    }
)  # fmt: skip


def clang(text: str, labels: Sequence[str]) -> str | None:
    """The first word of some label that stands in a text, or None."""
    lowered = text.lower()
    for label in labels:
        word = first_word(label)
        # A quick look for the letters spares the slow look for the word.
        if word and word in lowered and re.search(rf"(?<![^\W\d_]){re.escape(word)}(?![^\W\d_])", lowered):
            return word
    return None


@guideline
def guideline_28a_no_absolutes(text: ItemText) -> str | None:
    """28a: no specific determiners such as "always" in options or reasons."""
    absolute = STRICT_ABSOLUTES if text.family in QUOTING else ABSOLUTES
    if any(absolute.search(label) for label in text.labels):
        return "An option holds an absolute."
    # A quick look for the letters spares the slow look for the words.
    met = any(word in text.low_wording for word in STRICT) and STRICT_ABSOLUTES.search(text.wording)
    return "A reason holds an absolute." if met else None


@guideline
def guideline_28b_no_clang(text: ItemText) -> str | None:
    """28b: no clang: no herb's first word stands in stem or vignette; no other key alone echoes the question."""
    if text.response in ("place", "lean"):
        return None  # The stem names the one herb that is asked about.
    if text.herbs:
        word = clang(" ".join((text.question, *text.kinds)), text.labels)
        return f"The word {word!r} of an option stands in the question." if word else None
    if not text.choices:
        return None
    echoes = [telling_words(label) & text.words for label in text.labels]
    if not echoes[text.key]:
        return None
    # A word that two options share points at neither.
    met = Counter(word for echo in echoes for word in echo)
    own = [sorted(word for word in echo if met[word] == 1) for echo in echoes]
    if [number for number, words in enumerate(own) if words] == [text.key]:
        return f"Of all options the key alone echoes the question: {own[text.key][0]!r}."
    return None


@guideline
def guideline_28c_grammar_does_not_tell(text: ItemText) -> str | None:
    """28c: grammar does not tell: the key does not differ from all others in its kind of phrase."""
    if not text.choices or text.herbs or text.family in QUOTING:
        return None
    for shape in (ARTICLE, SENTENCE):
        if odd_one_out(text.labels, text.key, lambda label, shape=shape: shape.match(label) is not None):  # type: ignore[misc]
            return "The key differs from the other options in its grammar."
    return None


@guideline
def guideline_28d_key_not_conspicuous(text: ItemText) -> str | None:
    """28d: neither the key nor the decisive reason stands out by its length, nor the key by its exactness."""
    for reasons in text.reasons:
        decisive = [len(reason["text"]) for reason in reasons if reason["status"] == "decisive"]
        others = [len(reason["text"]) for reason in reasons if reason["status"] != "decisive"]
        if decisive and others and decisive[0] > OUTWEIGHS * max(others):
            return "The decisive reason stands out by its length."
    if not text.choices or text.herbs or len(text.labels) < 2:
        return None
    own = len(text.labels[text.key])
    longest = max(len(label) for number, label in enumerate(text.labels) if number != text.key)
    if own > OUTWEIGHS * longest and own - longest >= NOTICED:
        return "The key is much the longest option."
    marks = [QUALIFIED.search(label) is not None for label in text.labels]
    if text.family not in QUOTING and marks[text.key] and sum(marks) == 1:
        return "The key alone is qualified."
    exact = [bool(numbers(label)) for label in text.labels]
    if text.family not in QUOTING and text.family != "preparation" and exact[text.key] and sum(exact) == 1:
        return "The key alone gives a figure."
    return None


@guideline
def guideline_28e_no_telling_pairs(text: ItemText) -> str | None:
    """28e: no pair that points at the key: it and one other option are not two of a kind among strangers."""
    if not text.choices or text.family in PAIRED or text.family in QUOTING:
        return None
    if text.herbs:
        kin = [option["latin"].partition(" ")[0] for option in text.options]
        alike = [number for number, genus in enumerate(kin) if genus == kin[text.key]]
        rest = [genus for genus in kin if genus != kin[text.key]]
        telling = len(alike) == 2 and len(set(rest)) == len(rest)
        return "The key and one other option are of one genus." if telling else None
    words = [telling_words(label) for label in text.labels]
    # A word that all options have tells nothing; one that half of the options share makes a pair of them.
    common = frozenset.intersection(*words)
    own = words[text.key] - common
    sharing = [number for number, other in enumerate(words) if number != text.key and own & other]
    rest_words = [
        words[number] - common for number in range(len(words)) if number != text.key and number not in sharing
    ]
    telling = len(sharing) == 1 and len(rest_words) == 2 and not rest_words[0] & rest_words[1]
    return "The key and one other option make a pair." if telling else None


@guideline
def guideline_28f_no_absurd_options(text: ItemText) -> str | None:
    """28f: no absurd options: every herb has something to do with the action asked, no quantity is impossible."""
    if text.herbs and text.item.get("presentation"):
        rows = text.item.get("certificate", {}).get("rows", ())
        if any(not row.get("listed", True) and not row.get("opposed") for row in rows):
            return "An option has nothing to do with the action asked."
    for label in text.labels:
        if any(float(figure) > 100 for figure in PERCENT.findall(label)):
            return "An option gives more than 100 per cent."
        if numbers(label) and not any(numbers(label)):
            return "An option gives a quantity of nothing."
    return None


@guideline
def guideline_29_plausible_distractors(text: ItemText) -> str | None:
    """29: every distractor is wrong for one reason that somebody could overlook, named as its fault."""
    if text.response != "choose":
        return "Only an option to be chosen can have a fault." if any(o.get("fault") for o in text.options) else None
    return None if all(option.get("fault") for option in text.distractors()) else "A distractor has no named fault."


@guideline
def guideline_30_typical_errors(text: ItemText) -> str | None:
    """30: the fault of a distractor is an error that learners make, of those that families name."""
    strange = [fault for option in text.options if (fault := option.get("fault")) and fault not in TYPICAL_ERRORS]
    return f"The fault {strange[0]!r} is no error that a family names." if strange else None


@guideline
def guideline_31_no_humour(text: ItemText) -> str | None:
    """31: no jokes, exclamation marks or emoji: a case is not a place for them."""
    everything = text.everything
    # Emoji lie beyond the basic plane, where a character takes two units of UTF-16.
    if "!" in everything or len(everything.encode("utf-16-le")) != 2 * len(everything) or "☺" in everything:
        return "An exclamation mark or emoji stands in the text."
    met = any(joke in text.low or joke in text.low_wording for joke in JOKES) or (
        ")" in everything and SMILEY.search(everything)
    )
    return "A joke stands in the text." if met else None
