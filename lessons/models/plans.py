"""Drill plans and the forms assembled from them."""

import uuid

from django.conf import settings
from django.db import models


class DrillPlan(models.Model):
    """A drill plan as data: what a form must hold (``lessons.engine.plans`` says how it reads)."""

    slug = models.SlugField(unique=True)
    title = models.CharField(max_length=120)
    document = models.JSONField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="drill_plans")
    saved_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class Form(models.Model):
    """A fixed list of approved items that meets a plan; offered to a course once a teacher says so."""

    code = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    plan = models.ForeignKey(DrillPlan, on_delete=models.PROTECT, related_name="forms")
    course = models.ForeignKey("lessons.Course", on_delete=models.SET_NULL, null=True, related_name="forms")
    title = models.CharField(max_length=120)
    status = models.CharField(max_length=20, help_text="met, or best found")
    gap = models.FloatField(default=0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="forms_made")
    made_at = models.DateTimeField(auto_now_add=True)
    offered_at = models.DateTimeField(null=True)
    items = models.ManyToManyField("lessons.Item", through="lessons.FormItem", related_name="forms")

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.title} {self.code}"


class FormItem(models.Model):
    """An item at its place in a form."""

    form = models.ForeignKey(Form, on_delete=models.CASCADE, related_name="places")
    item = models.ForeignKey("lessons.Item", on_delete=models.PROTECT, related_name="places")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["form", "position"], name="one_item_per_place"),
            models.UniqueConstraint(fields=["form", "item"], name="item_once_per_form"),
        ]

    def __str__(self) -> str:
        return f"{self.form_id}:{self.position}"
