"""Querysets named after the page they feed."""

from typing import Any

from django.db import models


class HerbQuerySet(models.QuerySet[Any]):
    """Herbs."""

    def for_index(self) -> "HerbQuerySet":
        """The materia medica's index: herbs with their parts, two queries."""
        return self.prefetch_related("parts").order_by("latin")

    def for_monograph(self) -> "HerbQuerySet":
        """A monograph: parts, their claims, the claims' sources and traditions, four queries."""
        return self.prefetch_related("parts__claims__source__tradition")


class PartQuerySet(models.QuerySet[Any]):
    """Parts."""

    def for_catalogue(self) -> "PartQuerySet":
        """Every part with the herb's names, in a stable order."""
        return self.select_related("herb").order_by("slug")
