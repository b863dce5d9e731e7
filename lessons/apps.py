"""People, courses and the comparison-question engine."""

from django.apps import AppConfig


class LessonsConfig(AppConfig):
    """People, courses and the comparison-question engine."""

    name = "lessons"
