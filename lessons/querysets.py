"""Querysets of the item bank, named after the page they feed."""

from typing import Any

from django.db import models


class ItemQuerySet(models.QuerySet[Any]):
    """Items."""

    def banked(self) -> "ItemQuerySet":
        """Items that somebody reviews: all but those made for one drill."""
        return self.exclude(review="generated")

    def approved(self) -> "ItemQuerySet":
        """Items that students may meet."""
        return self.filter(review="approved")

    def for_bank(self) -> "ItemQuerySet":
        """The list of the bank, the latest first."""
        return self.banked().order_by("-pk")
