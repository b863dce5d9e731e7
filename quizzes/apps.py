"""Drills, attempts and grading."""

from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    """Drills, attempts and grading."""

    name = "quizzes"

    def ready(self) -> None:
        """Register the permissions."""
        from . import policy  # noqa: F401
