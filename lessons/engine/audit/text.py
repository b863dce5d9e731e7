"""What an item says, taken apart once so that every check can read it cheaply."""

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache, wraps
from typing import Any

Item = Mapping[str, Any]
# The way of answering that each family asks for.
RESPONSES = {
    "best-fit": "choose",
    "would-aggravate": "choose",
    "point-of-difference": "choose",
    "kinds": "match",
    "order-by-fit": "rank",
    "place-on-the-plane": "place",
    "name-the-state": "choose",
    "what-would-have-to-change": "choose",
    "taste-to-effect": "choose",
    "caution": "choose",
    "preparation": "choose",
    "new-finding": "lean",
}
# Families whose options quote findings of the case: words that a wording of our own would avoid may stand there.
QUOTING = frozenset({"what-would-have-to-change", "new-finding"})
LETTERS = re.compile(r"[^\W\d_]+")
# Words that tell nothing about what a label is of.
FILLERS = frozenset(
    {
        "a", "an", "and", "any", "are", "as", "at", "by", "for", "from", "had", "has", "have", "her", "him", "his", "in", "into",
        "is", "it", "its", "no", "nor", "not", "of", "on", "or", "some", "that", "the", "their", "them", "then", "this", "to",
        "under", "up", "who", "whose", "with", "would",
    }
)  # fmt: skip


class ItemText:
    """An item's texts and the parts that checks look at; missing parts are empty, so that a lone vignette can be read."""

    __slots__ = (
        "choices", "everything", "family", "herbs", "item", "key", "kinds", "labels", "low", "low_wording", "options",
        "question", "reason_texts", "reasons", "response", "spoken", "stem", "vignette", "wording", "words",
    )  # fmt: skip

    def __init__(self, item: Item) -> None:
        self.item = item
        self.family: str = item.get("family", "")
        self.response: str = item.get("response") or RESPONSES.get(self.family, "choose")
        self.stem: str = item.get("stem", "")
        self.vignette: str = item.get("vignette", "")
        self.options: Sequence[Mapping[str, Any]] = item.get("options", ())
        self.labels: list[str] = [option["label"] for option in self.options]
        self.kinds: Sequence[str] = item.get("kinds") or ()
        self.key: Any = item.get("key")
        self.herbs = bool(self.options) and all("part" in option for option in self.options)
        # Whether one option is chosen, and which: False where the key is an order, a box or nothing.
        self.choices = self.response == "choose" and isinstance(self.key, int) and 0 <= self.key < len(self.options)
        self.question = f"{self.stem} {self.vignette}".strip()
        self.low = f" {self.question.lower()} "
        self.spoken: list[str] = LETTERS.findall(self.low)
        self.words = frozenset(self.spoken)
        self.reasons = reason_lists(item)
        self.reason_texts: list[str] = list({reason["text"]: 0 for reasons in self.reasons for reason in reasons})
        self.wording = " ".join((*self.labels, *self.kinds, *self.reason_texts))
        self.low_wording = f" {self.wording.lower()} "
        self.everything = f"{self.question} {self.wording}"

    def distractors(self) -> list[Mapping[str, Any]]:
        """Every option but the key, of an item where one option is chosen."""
        return [option for number, option in enumerate(self.options) if number != self.key]


Check = Callable[[ItemText | Item], str | None]


def guideline(check: Callable[[ItemText], str | None]) -> Check:
    """Let a check be asked about an item as well as about its text."""

    @wraps(check)
    def asked(item: ItemText | Item) -> str | None:
        return check(item if isinstance(item, ItemText) else ItemText(item))

    return asked


def reason_lists(item: Item) -> list[Sequence[Mapping[str, str]]]:
    """The lists of reasons: one for all options or one for each; also where the key's stand apart from ``because_for``."""
    because = item.get("because") or ()
    if because and isinstance(because[0], Mapping):
        return [because, *item.get("because_for", {}).values()]
    return list(because)


@lru_cache(maxsize=4096)
def first_word(label: str) -> str:
    """The first run of letters of a label, in lower case; empty where it has none."""
    found = LETTERS.search(label)
    return found[0].lower() if found else ""


@lru_cache(maxsize=4096)
def telling_words(label: str) -> frozenset[str]:
    """The words of a label that tell what it is of, in lower case."""
    return frozenset(LETTERS.findall(label.lower())) - FILLERS


@lru_cache(maxsize=4096)
def numbers(label: str) -> tuple[float, ...]:
    """The figures of a label in order of reading: "60 mL of 1:5" gives 60, 1 and 5."""
    return tuple(float(figure) for figure in re.findall(r"\d+(?:\.\d+)?", label))


@lru_cache(maxsize=4096)
def without_numbers(label: str) -> str:
    """A label with every figure replaced by one sign, so that sums of one form can be told."""
    return re.sub(r"\d+(?:\.\d+)?", "#", label)


def odd_one_out(labels: Sequence[str], key: int, has: Callable[[str], bool]) -> bool:
    """Whether the key alone has a feature, or the key alone lacks it."""
    found = [has(label) for label in labels]
    return len(found) > 2 and found.count(found[key]) == 1
