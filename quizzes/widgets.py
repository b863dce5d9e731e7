"""How each kind of response is asked on a page and read from what is posted. Works without scripts; nothing here knows a key."""

from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES
from lessons.engine import responses

from .engine.feedback import DEGREES
from .engine.wording import LEANS

NOTHING_CHOSEN = {
    "choose": "Choose one of the answers before you lock it.",
    "rank": "Give each herb its own place, from 1 to 4, before you lock the order.",
    "match": "Give each herb a kind of its own before you lock the answer: each kind goes to one herb.",
    "place": "Choose a degree of temperature and one of moisture before you lock the place.",
    "lean": "Choose one of the five answers before you lock it.",
}
SIGNS = {"-1": -1, "0": 0, "1": 1}
NO_HERB = "Choose one of the herbs before you lock the choice."
LOCK = {"choose": "Lock the choice", "rank": "Lock the order", "match": "Lock the matches", "place": "Lock the place",
        "lean": "Lock the answer"}  # fmt: skip


class UnreadableAnswerError(ValueError):
    """What was posted is no whole answer; the text says what to do."""


def widget(item: Mapping[str, Any]) -> dict[str, Any]:
    """What the page needs to ask: the template, and the marks of the scales."""
    kind = item["response"]
    found: dict[str, Any] = {"kind": kind, "template": f"quizzes/widgets/_{kind}.html", "lock": LOCK[kind]}
    if kind == "rank":
        found["places"] = range(1, len(item["options"]) + 1)
    elif kind == "match":
        found["kinds"] = list(enumerate(item["kinds"]))
    elif kind == "place":
        found["scales"] = [
            ("temperature", "Temperature", "cools", "warms", _scale("cools", "warms")),
            ("moisture", "Moisture", "dries", "moistens", _scale("dries", "moistens")),
        ]
    elif kind == "lean":
        found["leans"] = list(enumerate(LEANS))
    return found


def _scale(low: str, high: str) -> list[tuple[int, str, str]]:
    """(value, mark, spoken name) of each degree."""
    named = []
    for value in responses.DEGREES:
        name = f"{low if value < 0 else high} {DEGREES[abs(value)]}" if value else "temperate"
        named.append((value, f"{value:+d}".replace("-", "\u2212") if value else "0", name))
    return named


def read_answer(item: Mapping[str, Any], posted: Mapping[str, str]) -> int:
    """The number of the answer posted. UnreadableAnswerError, with what to do, when it is not whole."""
    kind = item["response"]
    try:
        if kind in ("choose", "lean"):
            return _number(posted, "choice")  # a number beyond the last is refused where it is graded
        if kind == "place":
            return responses.cell_number(_degree(posted, "temperature"), _degree(posted, "moisture"))
        given = [_number(posted, f"option-{number}") for number in range(len(item["options"]))]
        if kind == "match":
            return responses.order_number(given)
        places = [place - 1 for place in given]
        return responses.order_number([places.index(place) for place in range(len(places))])
    except (KeyError, ValueError) as error:
        herbs = kind == "choose" and all("part" in option for option in item["options"])
        raise UnreadableAnswerError(NO_HERB if herbs else NOTHING_CHOSEN[kind]) from error


def read_signs(posted: Mapping[str, str]) -> tuple[int, ...]:
    """The signs posted for the four axes. UnreadableAnswerError, with what to do, when one is missing."""
    signs = tuple(SIGNS.get(posted.get(axis, "")) for axis in AXES)
    if None in signs:
        raise UnreadableAnswerError("Say of all four axes what the findings show, or that they show neither.")
    return tuple(sign for sign in signs if sign is not None)


def read_confidence(posted: Mapping[str, str]) -> int | None:
    """The confidence posted, in hundredths; None when none is, or nothing that can be read."""
    try:
        return _number(posted, "confidence")
    except ValueError:
        return None


def _number(posted: Mapping[str, str], name: str) -> int:
    text = posted.get(name, "")
    if not (text.isascii() and text.isdigit() and len(text) < 4):
        raise ValueError(name)
    return int(text)


def _degree(posted: Mapping[str, str], name: str) -> int:
    text = posted.get(name, "")
    sign, digits = (-1, text[1:]) if text.startswith("-") else (1, text)
    if not (digits.isascii() and digits.isdigit() and len(digits) == 1):
        raise ValueError(name)
    return sign * int(digits)
