"""Grading and feedback: pure functions over opened items."""

from .feedback import because_words, chain, explain_herbs, explain_options, fault_words
from .grading import OUTCOMES, Grade, UngradableAnswerError, chance_level, full_points, grade, reasons_for
from .versions import CURRENT, FULL
from .wording import answer_words, reason_prompt, right_words

__all__ = [
    "CURRENT", "FULL", "OUTCOMES", "Grade", "UngradableAnswerError", "answer_words", "because_words", "chain", "chance_level",
    "explain_herbs", "explain_options", "fault_words", "full_points", "grade", "reason_prompt", "reasons_for", "right_words",
]  # fmt: skip
