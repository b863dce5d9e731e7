"""What the pages of a drill show, and nothing that they must not: before an answer no key, verdict, fault or seed."""

from collections import Counter
from typing import Any

from .engine import FULL, because_words, chain, chance_level, explain_options, fault_words, full_points, reasons_for
from .models import Answer, Attempt, Question

OUTCOME_WORDS = {
    "both-right": ("outcome-right", "You chose well, for the reason that decides"),
    "right-for-a-wrong-reason": ("outcome-partly", "You chose well, but not for the reason that decides"),
    "wrong-for-a-right-reason": ("outcome-partly", "You knew the herb, but it does not suit this case"),
    "both-wrong": ("outcome-wrong", "Another herb suits here"),
    "unsafe": ("outcome-unsafe", "This choice is unsafe for this person"),
}


def answer_of(question: Question) -> Answer | None:
    """The answer of a question loaded with its answer, or None."""
    try:
        return question.answer
    except Answer.DoesNotExist:
        return None


def panel_context(question: Question) -> dict[str, Any]:
    """The question panel at its stage: choosing, giving the reason, or answered."""
    item, answer, attempt = question.item.content, answer_of(question), question.attempt
    open_item = {
        "vignette": item["vignette"],
        "findings": [finding["text"] for finding in item["presentation"]["findings"]],
        "stem": item["stem"],
        "options": [
            {key: option[key] for key in ("label", "latin", "part_name", "marks")} for option in item["options"]
        ],
    }
    context: dict[str, Any] = {"question": question, "attempt": attempt, "item": open_item, "stage": "choosing"}
    if answer is None:
        return context
    chosen = open_item["options"][answer.choice]
    reasons = reasons_for(item, answer.choice)
    context |= {"stage": "reasoning", "chosen": chosen, "reasons": [reason["text"] for reason in reasons]}
    if answer.reason is None:
        return context
    css, heading = OUTCOME_WORDS[answer.outcome]
    options = explain_options(item)
    return context | {
        "stage": "answered",
        "answer": answer,
        "outcome_class": css,
        "outcome_heading": heading,
        "reason_text": reasons[answer.reason]["text"],
        "reason_words": because_words(reasons[answer.reason]["status"]),
        "decisive_text": next(reason["text"] for reason in reasons if reason["status"] == "decisive"),
        "full": {"score": FULL, **full_points(answer.grading_version)},
        "chance": chance_level(item, answer.grading_version),
        "chain": chain(item),
        "options": [option | {"is_chosen": number == answer.choice} for number, option in enumerate(options)],
        "key": options[item["key"]],
        "is_last": question.position == attempt.length,
        "next_position": question.position + 1,
    }


def results_context(attempt: Attempt) -> dict[str, Any]:
    """Question by question, the sum, the chance level, and what to look at again."""
    rows, again, chances = [], [], []
    faults: Counter[str] = Counter()
    offered: Counter[str] = Counter()
    marks: list[int] = []
    for question in attempt.questions.for_results():
        item, answer = question.item.content, answer_of(question)
        done = answer is not None and answer.score is not None
        rows.append({"question": question, "complaint": case_title(item), "answer": answer, "done": done,
                     "chosen": item["options"][answer.choice]["label"] if answer else "",
                     "outcome": OUTCOME_WORDS[answer.outcome][1] if done and answer else ""})  # fmt: skip
        if not done or answer is None:
            continue
        marks.append(answer.score or 0)
        chances.append(chance_level(item, answer.grading_version))
        for fault in {option["fault"] for option in item["options"] if option["fault"]}:
            offered[fault] += 1
        if answer.fault:
            faults[answer.fault] += 1
        if answer.outcome != "both-right":
            option = item["options"][answer.choice]
            key = item["options"][item["key"]]
            again.append({"question": question, "chosen": option, "key": key, "why": fault_words(item, option)})
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


def case_title(item: dict[str, Any]) -> str:
    """A case in a few words for a list: the complaint, which gives nothing away."""
    text: str = item["presentation"]["complaint"]
    return text[:1].upper() + text[1:]
