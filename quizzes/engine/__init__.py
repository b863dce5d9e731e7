"""Grading and feedback: pure functions over opened items."""

from .confidence import LEAST_WEIGHT, LEVELS, mark_confidence
from .feedback import because_words, chain, explain_herbs, explain_options, fault_words, reading_words
from .grading import OUTCOMES, Grade, Scheme, UngradableAnswerError, chance_level, grade, reasons_for
from .reading import may_ask, reading_number, reading_signs
from .versions import CURRENT, FULL, PARTS, WEIGHTS, full_points
from .wording import answer_words, reason_prompt, right_words

__all__ = [
    "CURRENT", "FULL", "LEAST_WEIGHT", "LEVELS", "OUTCOMES", "PARTS", "WEIGHTS", "Grade", "Scheme",
    "UngradableAnswerError", "answer_words", "because_words", "chain", "chance_level", "explain_herbs",
    "explain_options", "fault_words", "full_points", "grade", "mark_confidence", "may_ask", "reading_number",
    "reading_signs", "reading_words", "reason_prompt", "reasons_for", "right_words",
]  # fmt: skip
