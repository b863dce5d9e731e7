"""Frozen questions."""

from django.db import models


class Item(models.Model):
    """A generated question frozen by the hash of its content; it is graded as stored, never generated again."""

    content_hash = models.CharField(max_length=64, unique=True)
    family = models.SlugField(db_index=False)
    action = models.SlugField(db_index=False)
    site = models.SlugField(db_index=False)
    key_part = models.SlugField(max_length=140, db_index=False)
    teaching_set = models.SlugField(db_index=False)
    data_version = models.CharField(max_length=64)
    engine_version = models.CharField(max_length=20)
    content = models.JSONField()
    frozen_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.family} {self.content_hash[:8]}"
