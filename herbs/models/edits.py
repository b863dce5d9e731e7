"""What people changed in the materia medica."""

from django.conf import settings
from django.db import models


class HerbEdit(models.Model):
    """A herb as somebody left it: the whole file, so that any state can be compared, restored or proposed.

    A load is one release row and makes no edits. ``document`` is empty where the herb was removed.
    """

    class Kind(models.TextChoices):
        SHIPPED = "shipped", "as shipped, before the first change here"
        ADDED = "added"
        CHANGED = "changed"
        IMPORTED = "imported"
        RESTORED = "restored"
        REMOVED = "removed"

    herb_slug = models.SlugField(max_length=80)
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=10, choices=Kind)
    document = models.TextField(blank=True)
    summary = models.CharField(max_length=200, blank=True)
    edited_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    edited_at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["herb_slug", "number"], name="one_edit_per_number"),
        ]

    def __str__(self) -> str:
        return f"{self.herb_slug} {self.number}"
