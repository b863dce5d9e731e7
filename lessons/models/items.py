"""Frozen questions."""

from django.db import models


class Item(models.Model):
    """A generated question frozen by the hash of its content; it is graded as stored, never generated again."""

    content_hash = models.CharField(max_length=64, unique=True)
    family = models.SlugField()
    action = models.SlugField()
    site = models.SlugField()
    key_part = models.SlugField(max_length=140)
    teaching_set = models.SlugField()
    data_version = models.CharField(max_length=64)
    engine_version = models.CharField(max_length=20)
    content = models.JSONField()
    frozen_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.family} {self.content_hash[:8]}"
