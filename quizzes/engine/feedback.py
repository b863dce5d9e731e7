"""Feedback in words from a frozen item: the chain of reasoning, what each option would do here, and how a reading fared."""

from collections.abc import Mapping, Sequence
from typing import Any

from herbs.engine import AXES, STATE_POLES, degree_number, joined, pole
from lessons.engine import responses

from . import doing, doing_apart
from .chains import chain, needed, pattern_words, root_words
from .phrases import DEGREES, VERDICTS, qualities, sentence

__all__ = [
    "DEGREES", "FAULT_WORDS", "VERDICTS", "because_words", "chain", "explain_herbs", "explain_options", "fault_words", "needed",
    "pattern_words", "qualities", "reading_words", "root_words",
]  # fmt: skip
FAULT_WORDS = doing.FAULT_WORDS
# The faults of the other families that these explanations know.
FAMILY_FAULTS: Mapping[str, tuple[str, ...]] = {
    "would-aggravate": ("suits here", "partly suits", "little bearing"),
    "point-of-difference": (*(f"wrong {axis}" for axis in AXES), "reversed"),
    "name-the-state": (
        *(f"wrong {axis}" for axis in AXES), "root and consequence exchanged", "invented quality", "missed quality",
    ),
    "what-would-have-to-change": ("wrong axis", "not far enough", "wrong way"),
    "taste-to-effect": (*(f"wrong {axis}" for axis in AXES), "both qualities reversed"),
    "caution": ("no caution here",),
}  # fmt: skip
DOING = {
    "best-fit": doing.best_fit,
    "would-aggravate": doing.would_aggravate,
    "order-by-fit": doing.order_by_fit,
    "name-the-state": doing.name_the_state,
    "what-would-have-to-change": doing.what_would_have_to_change,
    "caution": doing.caution,
    "point-of-difference": doing_apart.point_of_difference,
    "taste-to-effect": doing_apart.taste_to_effect,
    "preparation": doing_apart.preparation,
}


def fault_words(item: Mapping[str, Any], option: Mapping[str, Any]) -> str:
    """What an option would do here: its fault as a sentence about this item; for the key, why it is right."""
    say = DOING.get(item["family"])
    return say(item, item["options"].index(option)) if say else ""


def explain_options(item: Mapping[str, Any], choice: int | None = None) -> list[dict[str, Any]]:
    """Each option with its verdict in words, what it would do here, and its qualities on the needed axes.

    An order comes in the order of the key. ``choice``, the number of the answer given, adds to a matching what is amiss with each
    pair, and to a place on the plane where it lies. Empty where the answers are degrees of leaning, which only a panel can judge.
    """
    kind = item["response"]
    if kind == "lean" or (kind == "place" and choice is None):
        return []
    if kind == "place":
        return [
            {"label": "your place", "why": doing_apart.place_said(item, choice or 0), "qualities": [], "is_key": False}
        ]
    axes = [axis for axis, _, _ in needed(item)] if item["presentation"] else []
    matched = responses.ORDERS[choice] if kind == "match" and choice is not None else None
    numbers = item["key"] if kind == "rank" else range(len(item["options"]))
    return [
        {
            **option,
            "is_key": kind == "choose" and number == item["key"],
            "verdict_words": VERDICTS.get(option.get("verdict", ""), ""),
            "why": doing_apart.kinds(item, number, matched) if kind == "match" else fault_words(item, option),
            "qualities": qualities(option, axes) if "effects" in option else [],
        }
        for number in numbers
        for option in [item["options"][number]]
    ]


def explain_herbs(item: Mapping[str, Any]) -> list[dict[str, Any]]:
    """What each herb of an item's certificate does on the axes it is not temperate on: part and qualities.

    Without qualities where they have no part in the question, as in a sum.
    """
    silent = item["family"] == "preparation"
    return [
        {"part": row["part"], "qualities": [] if silent else _all_qualities(row["value"])}
        for row in item["certificate"]["rows"]
    ]


def _all_qualities(effects: Sequence[float]) -> list[dict[str, str]]:
    axes = [axis for axis, effect in zip(AXES, effects, strict=True) if effect]
    return qualities({"effects": effects}, axes) or [{"pole": "", "text": "is temperate on every axis"}]


def because_words(status: str) -> str:
    """How a reason fared, in words."""
    return {
        "decisive": "That is what decides.",
        "true": "True, but not what decides.",
        "false": "That is not so.",
        "misconception": "A misconception: it takes something else for what decides.",
    }[status]


def reading_words(item: Mapping[str, Any], reading: Sequence[int] | None) -> list[dict[str, Any]]:
    """How a reading of the pattern fared, axis by axis; empty without a reading or a case.

    ``reading`` holds -1, 0 or +1 on each axis in order. Each row has ``axis``; ``read`` and ``found``, the words of what was
    read and of the state ("dry", "neither damp nor dry"); ``verdict``, one of *right*, *missed*, *contrary* and *not in the
    findings*; ``findings``, those that bear on the axis; and ``text``, one sentence.
    """
    if reading is None or not item["presentation"]:
        return []
    rows = []
    for axis, sign in zip(AXES, reading, strict=True):
        degree = item["presentation"]["pattern"][axis]["degree"]
        bearing = [f["text"] for f in item["presentation"]["findings"] if f["evidence"].get(axis)]
        right = (degree > 0) - (degree < 0)
        if sign == right:
            verdict = "right"
        elif not degree:
            verdict = "not in the findings"
        else:
            verdict = "contrary" if sign else "missed"
        rows.append({
            "axis": axis, "read": _side(axis, sign), "found": _side(axis, degree), "verdict": verdict, "findings": bearing,
            "text": _reading_said(axis, sign, degree, bearing),
        })  # fmt: skip
    return rows


def _side(axis: str, value: float) -> str:
    up, down = STATE_POLES[axis]
    return pole(axis, value, STATE_POLES) if value else f"neither {up} nor {down}"


def _reading_said(axis: str, sign: int, degree: float, bearing: Sequence[str]) -> str:
    told = joined([f"“{text}”" for text in bearing]) if bearing else ""
    if not degree:
        none = f"what bears on {axis} cancels out: {told}" if told else f"no finding speaks of {axis}"
        return sentence(none if not sign else f"You read {_side(axis, sign)}, but {none}")
    shown = f"{told} {'says' if len(bearing) == 1 else 'say'} {_side(axis, degree)} {DEGREES[degree_number(degree)]}"
    if sign * degree > 0:
        return sentence(shown)
    return sentence(f"You read {_side(axis, sign)}, but {shown}")
