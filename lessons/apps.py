"""People, courses and the comparison-question engine."""

from django.apps import AppConfig


class LessonsConfig(AppConfig):
    """People, courses and the comparison-question engine."""

    name = "lessons"

    def ready(self) -> None:
        """Register the permissions."""
        from . import policy  # noqa: F401
