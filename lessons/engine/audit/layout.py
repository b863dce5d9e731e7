"""Guidelines 9 to 13: format, and care in writing."""

import re
from operator import eq

from lessons.engine.vignette import MAX_WORDS, MIN_WORDS, count_words

from .text import ItemText, guideline

COMPLEX = re.compile(
    r"\bboth [A-D1-4] and [A-D1-4]\b|^(?:[A-D1-4],? ){1,3}(?:and|or) [A-D1-4](?: only)?$|^[A-D1-4] only$", re.IGNORECASE
)
NUMBERED = re.compile(r"^\s*(?:\(?[a-dA-D1-4][).]|[-*•])\s")
RUN_ON = re.compile(r"\([a-d1-4]\).*\([b-d2-4]\)|\b[Aa]\) .*\b[Bb]\) ")
DOUBLED = re.compile(r"\b([^\W\d_]+) \1\b", re.IGNORECASE)
STRAY = re.compile(r" [ ,.;:?]")
TWICE = re.compile(r"[.,;?][.,;?]")
# Vowels that sound as consonants, and the contrary.
WRONG_A = re.compile(r" a (?!one|once|eu|uni)[aeio]")
WRONG_AN = re.compile(r" an (?!x-)[bcdfgjklmnpqrstvwxyz]")  # "an herb" and "a herb" are both in use
WRONG_VERB = re.compile(
    r" (?:they (?:is|has|does|takes|reports|describes|mentions|tells|recalls|remembers|speaks|tends)"
    r"|s?he (?:are|have|do|take|report|describe|mention|tell|recall|remember|speak|tend))\b"
)
LONGEST_LABEL, LONGEST_REASON = 160, 200  # characters, read at a glance
KEY_SHAPES = {"choose": "one option", "rank": "an order of the options", "match": "a kind for each option",
              "place": "a box on the plane", "lean": "nothing, for a panel decides"}  # fmt: skip


@guideline
def guideline_09_conventional_format(text: ItemText) -> str | None:
    """9: a conventional format with a key of its shape; never options that are combinations of other options."""
    key, count = text.key, len(text.options)
    fits = {
        "choose": isinstance(key, int) and 0 <= key < count,
        "rank": isinstance(key, list) and sorted(map(str, key)) == sorted(map(str, range(count))),
        "match": isinstance(key, list) and len(key) == count and len(text.kinds) > 1,
        "place": isinstance(key, dict) and {"low", "high"} <= key.keys(),
        "lean": key is None,
    }
    if text.response not in fits:
        return f"There is no way of answering called {text.response!r}."
    if not fits[text.response]:
        return f"The key must be {KEY_SHAPES[text.response]}."
    return "An option combines other options." if any(COMPLEX.search(label) for label in text.labels) else None


@guideline
def guideline_10_vertical_options(text: ItemText) -> str | None:
    """10: options stand one below another as a list: the page numbers them, and the question does not run through them."""
    if any("\n" in label or "\t" in label or NUMBERED.match(label) for label in text.labels):
        return "An option brings a number or a line of its own."
    return (
        "The question runs through options in its text." if ")" in text.low and RUN_ON.search(text.question) else None
    )


@guideline
def guideline_11_proofread(text: ItemText) -> str | None:
    """11: edit and proof: no doubled words or stray marks; sentences start with a capital and end with a stop."""
    everything = text.everything
    if STRAY.search(everything) or TWICE.search(everything):
        return "A doubled or stray mark stands in the text."
    if any(map(eq, text.spoken, text.spoken[1:])) and DOUBLED.search(text.question):
        return "The question has a doubled word."
    if any(label != label.strip() or not label for label in text.labels):
        return "An option is empty or has a space at its edge."
    if text.stem and not (text.stem[0].isupper() or text.stem[0].isdigit()):
        return "The stem does not start with a capital."
    vignette = text.vignette
    if vignette and (not vignette.endswith(".") or not all(part[:1].isupper() for part in vignette.split(". "))):
        return "A sentence of the vignette does not start with a capital or end with a full stop."
    if not all(reason[:1].isupper() and reason[-1] == "." for reason in text.reason_texts):
        return "A reason does not start with a capital or end with a full stop."
    return None


@guideline
def guideline_12_grammar(text: ItemText) -> str | None:
    """12: correct grammar: "a" and "an" agree with their nouns, pronouns with their verbs."""
    for prose in (text.low, text.low_wording):
        if WRONG_A.search(prose) or WRONG_AN.search(prose):
            return "An article does not agree with its noun."
    return "A pronoun does not agree with its verb." if WRONG_VERB.search(text.low) else None


@guideline
def guideline_13_reading_load(text: ItemText) -> str | None:
    """13: as little reading as the task allows: a vignette of 40 to 90 words; short options and reasons."""
    if text.vignette or text.item.get("presentation"):
        words = count_words(text.vignette)
        if not MIN_WORDS <= words <= MAX_WORDS:
            return f"The vignette has {words} words, not {MIN_WORDS} to {MAX_WORDS}."
    if max(map(len, text.labels), default=0) > LONGEST_LABEL:
        return f"An option is longer than {LONGEST_LABEL} characters."
    if max(map(len, text.reason_texts), default=0) > LONGEST_REASON:
        return f"A reason is longer than {LONGEST_REASON} characters."
    return None
