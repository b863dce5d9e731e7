"""What is learned from a graded answer: ability, confusions and memory, in the transaction of the mark."""

from datetime import datetime

from .models import Question


def why(question: Question) -> str:
    """Why practice chose a question, as a sentence; empty in a drill."""
    return ""


def learn(*, question: Question, choice: int, reason: int, outcome: str, at: datetime) -> None:
    """Take a graded answer into what is known of its student. Called once for each answer, inside the transaction of its mark."""
