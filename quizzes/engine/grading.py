"""Grading of an answer with its reason (two tiers, after Treagust 1988), and of the reading and the confidence where asked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from lessons.engine import responses

from .confidence import mark_confidence
from .panel import mark_lean
from .reading import mark_reading
from .versions import CURRENT, WEIGHTS, full_points

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
class Scheme:
    """How an answer is graded: the version of the grading, and the weight of each part in hundredths."""

    version: str = CURRENT
    weights: Mapping[str, int] | None = None

    def full(self, asked: Sequence[str]) -> dict[str, int]:
        """Full points of each part asked."""
        return full_points(self.weights or WEIGHTS[self.version], asked)


DEFAULT: Final = Scheme()


@dataclass(frozen=True)
class Grade:
    """A mark in thousandths with its parts, the four-way outcome, the fault of the option chosen, and the version.

    ``points`` and ``full`` name the parts that were asked: reading, choice, reason, confidence.
    """

    score: int
    points: Mapping[str, int]
    full: Mapping[str, int]
    outcome: str
    fault: str
    reason_status: str
    version: str


def reasons_for(item: Mapping[str, Any], choice: int) -> list[dict[str, str]]:
    """The reasons offered after an answer: those written for the option chosen, or the item's one list."""
    if not 0 <= choice < responses.count(item):
        raise UngradableAnswerError("There is no such option. Choose one of those listed.")
    lists = item["because"]
    return list(lists[choice if len(lists) > 1 else 0])


def grade(
    item: Mapping[str, Any],
    choice: int,
    reason: int,
    scheme: Scheme = DEFAULT,
    *,
    reading: Sequence[int] | None = None,
    confidence: int | None = None,
    panel: Sequence[int] | None = None,
) -> Grade:
    """Grade an answer (its number, see ``lessons.engine.responses``) and a reason (index among the reasons for it).

    ``reading`` are the signs read on the four axes and ``confidence`` the stated chance of being right in hundredths, where they
    were asked; ``panel`` are a panel's votes by answer, where no key but a panel judges. An answer earns its points as its kind
    is marked: an option all or nothing, an order by its pairs, a matching by its herbs, a place by its distance, a lean by the
    panel. The reason earns by its status, for the option that was chosen: who knows the herb and misread the case is told apart
    from who did neither. An unsafe choice earns nothing at all.
    """
    offered = reasons_for(item, choice)
    if not 0 <= reason < len(offered):
        raise UngradableAnswerError("There is no such reason. Choose one of those listed.")
    asked = ["choice", "reason"] + ["reading"] * (reading is not None) + ["confidence"] * (confidence is not None)
    full = scheme.full(asked)
    option = item["options"][choice] if item.get("response", "choose") == "choose" else {}
    status, share = offered[reason]["status"], _share(item, choice, panel)
    right, decisive = share == responses.FULL, status == "decisive"
    fault = option.get("fault") or ""
    if fault and option.get("verdict") == "unsafe":
        return Grade(0, dict.fromkeys(full, 0), full, UNSAFE, fault, status, scheme.version)
    shares = {"choice": share, "reason": int(responses.FULL * REASON_SHARE[status])}
    if reading is not None:
        shares["reading"] = mark_reading(item, reading)
    if confidence is not None:
        shares["confidence"] = mark_confidence(confidence, right)
    points = {part: full[part] * shares[part] // responses.FULL for part in full}
    points["reason"] = (
        full["reason"] * shares["reason"] + responses.FULL // 2
    ) // responses.FULL  # half a point is a point
    outcome = {
        (True, True): BOTH_RIGHT,
        (True, False): RIGHT_FOR_WRONG_REASON,
        (False, True): WRONG_FOR_RIGHT_REASON,
        (False, False): BOTH_WRONG,
    }[right, decisive]
    return Grade(sum(points.values()), points, full, outcome, fault, status, scheme.version)


def _share(item: Mapping[str, Any], choice: int, panel: Sequence[int] | None) -> int:
    """What an answer earns of the choice's points, in thousandths: by the panel where one judges, and is large enough to."""
    if item.get("response") == "lean" and panel is not None:
        return mark_lean(panel, choice) or 0
    return responses.mark(item, choice)


def chance_level(item: Mapping[str, Any], scheme: Scheme = DEFAULT) -> int:
    """The mark (thousandths) that guessing earns on average: every answer, then every reason, equally likely.

    Of choice and reason alone: a reading or a confidence given at random may earn anything.
    """
    full, answers = scheme.full(("choice", "reason")), responses.count(item)
    total = 0.0
    for choice in range(answers):
        offered = reasons_for(item, choice)
        if item.get("response", "choose") == "choose" and item["options"][choice].get("verdict") == "unsafe":
            continue
        shares = sum(int(full["reason"] * REASON_SHARE[reason["status"]] + 0.5) for reason in offered)
        total += full["choice"] * responses.mark(item, choice) // responses.FULL + shares / len(offered)
    return int(total / answers + 0.5)
