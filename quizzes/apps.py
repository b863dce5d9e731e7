"""Drills, attempts and grading."""

from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    """Drills, attempts and grading."""

    name = "quizzes"
