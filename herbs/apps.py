"""Materia medica and the energetic-fit engine."""

from django.apps import AppConfig


class HerbsConfig(AppConfig):
    """Materia medica and the energetic-fit engine."""

    name = "herbs"

    def ready(self) -> None:
        """Register the permissions, and what happens to the files of a picture that goes."""
        from . import pictures, policy  # noqa: F401
