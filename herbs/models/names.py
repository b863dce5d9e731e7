"""Names by which a herb is looked for."""

from django.db import models

from .materia import Herb


class SearchName(models.Model):
    """One name of a herb, folded for searching; rewritten whenever the herb is stored."""

    class Kind(models.TextChoices):
        ACCEPTED = "accepted", "accepted name"
        COMMON = "common", "common name"
        PART = "part", "part used"
        SYNONYM = "synonym", "older botanical name"
        OLD = "old", "name in older books"
        DRUG = "drug", "pharmacopoeial name"

    herb = models.ForeignKey(Herb, on_delete=models.CASCADE, related_name="search_names")
    kind = models.CharField(max_length=10, choices=Kind)
    name = models.CharField(max_length=160)
    folded = models.CharField(max_length=160)

    class Meta:
        ordering = ["herb_id", "id"]

    def __str__(self) -> str:
        return self.name
