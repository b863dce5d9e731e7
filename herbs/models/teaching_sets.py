"""Which tradition decides, which widens, which is shown only."""

from django.conf import settings
from django.db import models

from .vocabulary import Tradition


class TeachingSet(models.Model):
    """A school's choice of energetics. A local one was made here; the others are shipped, written by loads alone.

    ``colleagues`` may teach under it and copy it; only its owner changes it.
    """

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=80)
    description = models.TextField(blank=True)
    is_default = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1)
    is_local = models.BooleanField(default=False)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="teaching_sets"
    )
    colleagues = models.ManyToManyField(settings.AUTH_USER_MODEL, blank=True, related_name="shared_teaching_sets")
    copied_from = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="copies")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["is_default"], condition=models.Q(is_default=True), name="one_default_teaching_set"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TraditionRole(models.Model):
    """The role of a tradition's sources in a teaching set."""

    class Role(models.TextChoices):
        DECIDES = "decides"
        WIDENS = "widens"
        SHOWN = "shown", "shown only"

    teaching_set = models.ForeignKey(TeachingSet, on_delete=models.CASCADE, related_name="roles")
    tradition = models.ForeignKey(Tradition, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=10, choices=Role)
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["teaching_set", "tradition"], name="one_role_per_tradition"),
        ]

    def __str__(self) -> str:
        return f"{self.tradition_id} {self.role}"


class Override(models.Model):
    """A working value a school sets itself, with its reason."""

    teaching_set = models.ForeignKey(TeachingSet, on_delete=models.CASCADE, related_name="overrides")
    row = models.SlugField(max_length=140, db_index=False)
    axis = models.CharField(max_length=20)
    value = models.FloatField()
    reason = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["teaching_set", "row", "axis"], name="one_override_per_axis"),
            models.CheckConstraint(
                condition=models.Q(value__gte=-4, value__lte=4), name="override_between_minus_4_and_4"
            ),
            models.CheckConstraint(condition=~models.Q(reason=""), name="override_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.row} {self.axis}"


class TeachingSetRevision(models.Model):
    """A teaching set as it stood at one revision, so that what changed since can be told.

    ``document`` has the shape of an entry of teaching_sets.yaml: name, description, roles, overrides.
    """

    teaching_set = models.ForeignKey(TeachingSet, on_delete=models.CASCADE, related_name="revisions")
    revision = models.PositiveIntegerField()
    document = models.JSONField()
    saved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    saved_at = models.DateTimeField()

    class Meta:
        ordering = ["-revision"]
        constraints = [
            models.UniqueConstraint(fields=["teaching_set", "revision"], name="one_document_per_revision"),
        ]

    def __str__(self) -> str:
        return f"{self.teaching_set_id} revision {self.revision}"
