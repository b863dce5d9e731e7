"""Grading and feedback: pure functions over frozen items."""

from .feedback import because_words, chain, explain_options, fault_words
from .grading import OUTCOMES, Grade, UngradableAnswerError, chance_level, full_points, grade, reasons_for
from .versions import CURRENT, FULL

__all__ = [
    "CURRENT", "FULL", "OUTCOMES", "Grade", "UngradableAnswerError", "because_words", "chain", "chance_level",
    "explain_options", "fault_words", "full_points", "grade", "reasons_for",
]  # fmt: skip
