"""Guidelines that hold between the items of one form: 4, independence, and 20, the place of the key."""

from collections import Counter
from collections.abc import Callable, Sequence

from .text import ItemText

Found = tuple[int, str]  # position of an item in the form, counted from 0, and what is wrong with it
FormCheck = Callable[[Sequence[ItemText]], list[Found]]


def guideline_04_independent_items(texts: Sequence[ItemText]) -> list[Found]:
    """4: no item gives another away: no key's name stands in another's question, no two share a skeleton."""
    found: list[Found] = []
    first: dict[str, int] = {}
    for number, text in enumerate(texts):
        skeleton = text.item.get("skeleton")
        if skeleton and first.setdefault(skeleton, number) != number:
            found.append((number, f"Item {number + 1} has the skeleton of item {first[skeleton] + 1}."))
    # Options that are no herbs ("cold and dry", "20 mL") are common words, not names: they give nothing away elsewhere.
    keys = [(number, text.labels[text.key].lower()) for number, text in enumerate(texts) if text.choices and text.herbs]
    for teller, text in enumerate(texts):
        for number, label in keys:
            if number != teller and label in text.low and _whole(label, text.low):
                found.append((teller, f"Item {teller + 1} names {label}, the answer of item {number + 1}."))
    return found


def guideline_20_key_position(texts: Sequence[ItemText]) -> list[Found]:
    """20: the key is varied: each position is used equally often, to within one."""
    positions = Counter(text.key for text in texts if text.choices)
    if not positions:
        return []
    options = max(len(text.options) for text in texts if text.choices)
    uses = [positions[place] for place in range(options)]
    if max(uses) - min(uses) <= 1:
        return []
    most = uses.index(max(uses))
    last = max(number for number, text in enumerate(texts) if text.choices and text.key == most)
    return [(last, f"The key stands {max(uses)} times in place {most + 1} and {min(uses)} times in another.")]


def _whole(label: str, low: str) -> bool:
    """Whether a label stands in a text as words of its own: not "mint leaf" within "horsemint leaf"."""
    start = low.find(label)
    while start >= 0:
        if not low[start - 1].isalpha() and not low[start + len(label)].isalpha():
            return True
        start = low.find(label, start + 1)
    return False


FORM_CHECKS: tuple[FormCheck, ...] = (guideline_04_independent_items, guideline_20_key_position)
