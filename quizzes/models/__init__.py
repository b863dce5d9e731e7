"""Drills, answers, how they are graded, and what is known of a learner."""

from .attempts import Answer, Attempt, Question, Reading, answer_of
from .grading import GradingScheme, Regrade, RegradedAnswer
from .practice import CohortConfusion, FoundConfusion, Learner, Memory, Standing

__all__ = [
    "Answer", "Attempt", "CohortConfusion", "FoundConfusion", "GradingScheme", "Learner", "Memory", "Question", "Reading",
    "Regrade", "RegradedAnswer", "Standing", "answer_of",
]  # fmt: skip
