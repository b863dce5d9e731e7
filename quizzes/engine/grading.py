"""Grading of a choice with its reason (two tiers, after Treagust 1988)."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from .versions import CURRENT, parts

ASKED: Final = ("choice", "reason")
# What a reason earns of the reason's points: the decisive one all, one that is true of the herb but does not decide half.
REASON_SHARE: Final = {"decisive": 1.0, "true": 0.5, "false": 0.0, "misconception": 0.0}

BOTH_RIGHT = "both-right"
RIGHT_FOR_WRONG_REASON = "right-for-a-wrong-reason"
WRONG_FOR_RIGHT_REASON = "wrong-for-a-right-reason"
BOTH_WRONG = "both-wrong"
UNSAFE = "unsafe"
OUTCOMES: Final = (BOTH_RIGHT, RIGHT_FOR_WRONG_REASON, WRONG_FOR_RIGHT_REASON, BOTH_WRONG, UNSAFE)


class UngradableAnswerError(ValueError):
    """An answer that names no option or no reason of the item."""


@dataclass(frozen=True)
class Grade:
    """A mark in thousandths with its parts, the four-way outcome, the fault of the option chosen, and the version."""

    score: int
    choice_points: int
    reason_points: int
    full: Mapping[str, int]
    outcome: str
    fault: str
    reason_status: str
    version: str


def reasons_for(item: Mapping[str, Any], choice: int) -> list[dict[str, str]]:
    """The reasons offered after a choice: those written for the herb chosen."""
    if not 0 <= choice < len(item["options"]):
        raise UngradableAnswerError("There is no such option. Choose one of those listed.")
    if choice == item["key"]:
        return list(item["because"])
    return list(item["because_for"][item["options"][choice]["part"]])


def grade(item: Mapping[str, Any], choice: int, reason: int, version: str = CURRENT) -> Grade:
    """Grade a choice (index of an option) and a reason (index among the reasons for it).

    The choice earns its points when it is the key; the reason by its status, for the herb that was chosen: who knows the
    herb and misread the case is told apart from who did neither. An unsafe choice earns nothing at all.
    """
    offered = reasons_for(item, choice)
    if not 0 <= reason < len(offered):
        raise UngradableAnswerError("There is no such reason. Choose one of those listed.")
    full = parts(version, ASKED)
    option, status = item["options"][choice], offered[reason]["status"]
    right, decisive = choice == item["key"], status == "decisive"
    choice_points = full["choice"] if right else 0
    reason_points = int(full["reason"] * REASON_SHARE[status] + 0.5)
    if option["verdict"] == "unsafe":
        return Grade(0, 0, 0, full, UNSAFE, option["fault"] or "", status, version)
    outcome = {
        (True, True): BOTH_RIGHT,
        (True, False): RIGHT_FOR_WRONG_REASON,
        (False, True): WRONG_FOR_RIGHT_REASON,
        (False, False): BOTH_WRONG,
    }[right, decisive]
    score = choice_points + reason_points
    return Grade(score, choice_points, reason_points, full, outcome, option["fault"] or "", status, version)


def full_points(version: str) -> dict[str, int]:
    """Full points of what is asked, choice and reason, under a version."""
    return parts(version, ASKED)


def chance_level(item: Mapping[str, Any], version: str = CURRENT) -> int:
    """The mark (thousandths) that guessing earns on average: every option, then every reason, equally likely."""
    marks = [
        grade(item, choice, reason, version).score / len(reasons_for(item, choice))
        for choice in range(len(item["options"]))
        for reason in range(len(reasons_for(item, choice)))
    ]
    return int(sum(marks) / len(item["options"]) + 0.5)
