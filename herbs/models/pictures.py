"""Pictures of parts."""

import uuid

from django.conf import settings
from django.db import models

from .materia import Part


class Picture(models.Model):
    """A picture of a part at one stage, re-encoded on arrival; never the file that was sent.

    Files lie under ``code`` as <width>.webp and <width>.jpg for each of ``widths``.
    """

    class Stage(models.TextChoices):
        LEAF = "leaf"
        FLOWER = "flower"
        FRUIT = "fruit", "fruit or seed"
        ROOT = "root", "root or bark"
        WHOLE = "whole", "whole plant"
        DRIED = "dried", "dried, as used"

    class Licence(models.TextChoices):
        OWN = "own", "My own picture, for use in this school only"
        CC0 = "cc0", "CC0 1.0 (no rights reserved)"
        CC_BY = "cc-by", "CC BY 4.0"
        CC_BY_SA = "cc-by-sa", "CC BY-SA 4.0"
        PUBLIC_DOMAIN = "public-domain", "Public domain (copyright has ended)"

    code = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="pictures")
    stage = models.CharField(max_length=10, choices=Stage)
    alt = models.CharField(max_length=250)
    credit = models.CharField(max_length=160)
    licence = models.CharField(max_length=20, choices=Licence)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    widths = models.JSONField(default=list)
    digest = models.CharField(max_length=64)
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    uploaded_at = models.DateTimeField()

    class Meta:
        ordering = ["stage", "id"]
        constraints = [
            models.UniqueConstraint(fields=["part", "digest"], name="same_picture_once_per_part"),
            models.CheckConstraint(
                condition=~models.Q(alt="") & ~models.Q(credit=""), name="picture_has_alt_and_credit"
            ),
        ]

    def __str__(self) -> str:
        return self.alt
