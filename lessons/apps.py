"""People, courses and the comparison-question engine."""

from django.apps import AppConfig


class LessonsConfig(AppConfig):
    """People, courses and the comparison-question engine."""

    name = "lessons"

    def ready(self) -> None:
        """Register the permissions, and what goes when its time is over."""
        from . import policy, retention  # noqa: F401
