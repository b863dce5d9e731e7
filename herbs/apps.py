"""Materia medica and the energetic-fit engine."""

from django.apps import AppConfig


class HerbsConfig(AppConfig):
    """Materia medica and the energetic-fit engine."""

    name = "herbs"

    def ready(self) -> None:
        """Register the permissions."""
        from . import policy  # noqa: F401
