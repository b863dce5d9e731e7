"""The web plumbing that belongs to no app."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Registers the system checks."""

    name = "config"
    label = "config"

    def ready(self) -> None:
        """Load the checks."""
        from . import checks  # noqa: F401
