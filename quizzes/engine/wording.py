"""Answers in words, whatever the kind of response, and what each family asks after the choice."""

from collections.abc import Mapping
from typing import Any

from herbs.engine import HERB_POLES, degree_number, joined, pole
from lessons.engine import responses

from .feedback import DEGREES

LEANS = ("much less", "less", "neither more nor less", "more", "much more")
# What is asked when the answer is locked. {chosen} is the option chosen.
REASON_PROMPTS = {
    "best-fit": "What decides how {chosen} fares here? Because …",
    "would-aggravate": "What decides what {chosen} would do here? Because …",
    "point-of-difference": "What does the difference decide between the two?",
    "kinds": "What tells these herbs apart?",
    "order-by-fit": "What decides the order?",
    "place-on-the-plane": "What follows from its place on the plane?",
    "name-the-state": "What in the findings decides it? Because …",
    "what-would-have-to-change": "What would make the difference? Because …",
    "taste-to-effect": "What does the answer rest on? Because …",
    "caution": "And what would you think of for that person instead?",
    "preparation": "What does the answer rest on? Because …",
    "new-finding": "What does the new finding bear on? Because …",
}


def reason_prompt(item: Mapping[str, Any], chosen: str) -> str:
    """The question that stands above the reasons."""
    return REASON_PROMPTS.get(item["family"], "What decides? Because …").format(chosen=chosen)


def place_words(temperature: int, moisture: int) -> str:
    """A place on the plane: "warms in the second degree and dries in the first"."""
    said = [
        f"{pole(axis, value, HERB_POLES)} {DEGREES[degree_number(value)]}"
        for axis, value in (("temperature", temperature), ("moisture", moisture))
        if value
    ]
    return joined(said) if said else "temperate in temperature and moisture"


def answer_words(item: Mapping[str, Any], response: int) -> str:
    """An answer in words."""
    kind = item.get("response", "choose")
    labels = [option["label"] for option in item["options"]]
    if kind == "choose":
        return str(labels[response])
    if kind == "rank":
        return ", then ".join(labels[number] for number in responses.ORDERS[response])
    if kind == "match":
        order = responses.ORDERS[response]
        return "; ".join(f"{label}: {item['kinds'][kind]}" for label, kind in zip(labels, order, strict=True))
    if kind == "place":
        return place_words(*responses.cell(response))
    return LEANS[response]


def right_words(item: Mapping[str, Any]) -> str:
    """The right answer in words; for a place the whole box when it is wider than a point; empty where a panel has to say."""
    right = responses.right_response(item)
    if right is None:
        return ""
    if item.get("response") == "place":
        low, high = item["key"]["low"], item["key"]["high"]
        first, last = (place_words(round(end[0]), round(end[1])) for end in (low, high))
        return first if first == last else f"anywhere between “{first}” and “{last}”"
    return answer_words(item, right)
