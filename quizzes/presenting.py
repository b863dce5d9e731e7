"""What the pages of a drill show, and nothing that they must not: before an answer no key, verdict, fault or seed."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES, STATE_POLES, capital, joined, pole
from lessons.engine import FAMILIES, responses

from .engine import (
    FULL,
    LEVELS,
    PARTS,
    answer_words,
    because_words,
    chance_level,
    fault_words,
    reading_signs,
    reading_words,
    reason_prompt,
    reasons_for,
    right_words,
)
from .explaining import explained
from .grading_schemes import scheme_for
from .learning import why
from .models import Attempt, Question, Reading, answer_of
from .widgets import widget

OUTCOME_WORDS = {
    "both-right": ("outcome-right", "You chose well, for the reason that decides"),
    "right-for-a-wrong-reason": ("outcome-partly", "You chose well, but not for the reason that decides"),
    "wrong-for-a-right-reason": ("outcome-partly", "You know what decides, but the answer is another"),
    "both-wrong": ("outcome-wrong", "Another answer is right here"),
    "unsafe": ("outcome-unsafe", "This choice is unsafe for this person"),
}
HERB_OUTCOMES = {
    "wrong-for-a-right-reason": ("outcome-partly", "You knew the herb, but it does not suit this case"),
    "both-wrong": ("outcome-wrong", "Another herb suits here"),
}
NO_PANEL = ("outcome-partly", "This waits for what a panel of practitioners says")
THE_ANSWER = "The answer is: {right}."
RIGHT_SENTENCES = {"best-fit": "{right} suits here.", "would-aggravate": "{right} would make it worse."}
PART_WORDS = {"reading": "Pattern", "choice": "Answer", "reason": "Reason", "confidence": "Confidence"}
# Axis, its title, and what can be read of it: (value, word).
READING_SCALES = [
    (axis, capital(axis), [(-1, STATE_POLES[axis][1]), (0, "neither"), (1, STATE_POLES[axis][0])]) for axis in AXES
]
CONFIDENCE_SAID = {
    25: "guessing", 40: "rather unsure", 55: "as likely as not", 70: "fairly sure", 85: "quite sure", 100: "certain",
}  # fmt: skip
CONFIDENCE_WORDS = [(level, f"{capital(CONFIDENCE_SAID[level])} ({level} in 100)") for level in LEVELS]
SHOWN = ("label", "latin", "part_name", "marks")  # of an option, before the answer


def _reading_of(question: Question) -> tuple[int, ...] | None:
    try:
        return reading_signs(question.reading.signs)
    except Reading.DoesNotExist:
        return None


def pattern_read(signs: tuple[int, ...]) -> str:
    """A reading in words: "hot and dry", or that nothing is out of balance."""
    said = [pole(axis, sign, STATE_POLES) for axis, sign in zip(AXES, signs, strict=True) if sign]
    return joined(said) if said else "no axis out of balance"


def outcome_words(family: str, outcome: str) -> tuple[str, str]:
    """Class and heading of an outcome, worded for the family."""
    own = HERB_OUTCOMES if family == "best-fit" else {}
    return own.get(outcome) or OUTCOME_WORDS[outcome]


def open_item(item: Mapping[str, Any]) -> dict[str, Any]:
    """What may be shown of an item before it is answered."""
    findings = item["presentation"]["findings"] if item["presentation"] and item["vignette"] else []
    return {
        "vignette": item["vignette"],
        "findings": [finding["text"] for finding in findings],
        "stem": item["stem"],
        "options": [{key: option[key] for key in SHOWN if key in option} for option in item["options"]],
    }


def panel_context(question: Question) -> dict[str, Any]:
    """The question panel at its stage: choosing, giving the reason, or answered."""
    item, answer, attempt = question.item.opened, answer_of(question), question.attempt
    shown, asked = open_item(item), widget(item)
    reading = _reading_of(question)
    is_answered = answer is not None and answer.reason is not None
    context: dict[str, Any] = {
        "question": question, "attempt": attempt, "item": shown, "stage": "choosing", "widget": asked,
        "why": why(question, is_answered=is_answered), "read": pattern_read(reading) if reading else "",
    }  # fmt: skip
    if answer is None:
        if question.asks_reading and reading is None:
            context |= {"stage": "reading", "axes": READING_SCALES}
        elif question.asks_confidence:
            context["confidence_levels"] = CONFIDENCE_WORDS
        return context
    is_choice = item["response"] == "choose"
    chosen = shown["options"][answer.choice] if is_choice else {"label": "the answer"}
    reasons = reasons_for(item, answer.choice)
    context |= {
        "stage": "reasoning",
        "chosen": chosen,
        "answer_words": answer_words(item, answer.choice),
        "reason_prompt": reason_prompt(item, chosen["label"]),
        "reasons": [reason["text"] for reason in reasons],
    }
    if answer.reason is None:
        return context
    css, heading = outcome_words(item["family"], answer.outcome)
    if FAMILIES[item["family"]].PANEL:
        css, heading = NO_PANEL
    right, scheme = right_words(item), scheme_for(answer.grading_version, answer.scheme)
    asked_for = [part for part in PARTS if getattr(answer, f"{part}_points") is not None]
    return context | explained(item, answer.choice, answer.reason) | {
        "stage": "answered",
        "answer": answer,
        "outcome_class": css,
        "outcome_heading": heading,
        "is_right": responses.mark(item, answer.choice) == responses.FULL,
        "right_sentence": RIGHT_SENTENCES.get(item["family"], THE_ANSWER).format(right=capital(right)) if right else "",
        "reading_rows": reading_words(item, reading),
        "reason_text": reasons[answer.reason]["text"],
        "reason_words": because_words(reasons[answer.reason]["status"]),
        "decisive_text": next(reason["text"] for reason in reasons if reason["status"] == "decisive"),
        "parts": [
            (PART_WORDS[part], getattr(answer, f"{part}_points"), full)
            for part, full in scheme.full(asked_for).items()
        ],
        "full": FULL,
        "confidence_words": CONFIDENCE_SAID.get(answer.confidence or 0, ""),
        "chance": chance_level(item, scheme),
        "is_regraded": answer.scheme_id != attempt.scheme_id,
        "chosen_number": answer.choice if is_choice else None,
        "is_last": question.position == attempt.length,
        "next_position": question.position + 1,
    }  # fmt: skip


def results_context(attempt: Attempt) -> dict[str, Any]:
    """Question by question, the sum, the chance level, and what to look at again."""
    rows, again, chances = [], [], []
    faults: Counter[str] = Counter()
    offered: Counter[str] = Counter()
    marks: list[int] = []
    for question in attempt.questions.for_results():
        item, answer = question.item.opened, answer_of(question)
        done = answer is not None and answer.score is not None
        outcome = outcome_words(item["family"], answer.outcome)[1] if done and answer else ""
        rows.append({"question": question, "complaint": item_title(item), "answer": answer, "done": done,
                     "chosen": answer_words(item, answer.choice) if answer else "", "outcome": outcome})  # fmt: skip
        if not done or answer is None:
            continue
        marks.append(answer.score or 0)
        chances.append(chance_level(item, scheme_for(answer.grading_version, answer.scheme)))
        for fault in {option["fault"] for option in item["options"] if option.get("fault")}:
            offered[fault] += 1
        if answer.fault:
            faults[answer.fault] += 1
        if answer.outcome != "both-right":
            again.append({"question": question} | _look_again(item, answer.choice))
    return {
        "attempt": attempt,
        "rows": rows,
        "answered": len(marks),
        "mean": round(sum(marks) / len(marks)) if marks else None,
        "chance": round(sum(chances) / len(chances)) if chances else None,
        "again": again,
        "faults": [
            {"fault": fault, "taken": taken, "offered": offered[fault]} for fault, taken in faults.most_common()
        ],
    }


def _look_again(item: Mapping[str, Any], choice: int) -> dict[str, Any]:
    """What was answered and what is right, with the herbs to read, where they are herbs."""
    is_choice, right = item["response"] == "choose", responses.right_response(item)
    return {
        "chosen": item["options"][choice] if is_choice else {"label": answer_words(item, choice)},
        "key": item["options"][item["key"]] if is_choice else {"label": right_words(item)},
        "is_right": choice == right or responses.mark(item, choice) == responses.FULL,
        "suits": item["family"] == "best-fit",
        "why": fault_words(item, item["options"][choice]) if is_choice else "",
    }


def item_title(item: Mapping[str, Any]) -> str:
    """An item in a few words for a list: the complaint, which gives nothing away, or what is asked."""
    return capital(item["presentation"]["complaint"] if item["presentation"] else item["stem"])
