"""Rows of drills and answers."""

from .attempts import Answer, Attempt, Question

__all__ = ["Answer", "Attempt", "Question"]
