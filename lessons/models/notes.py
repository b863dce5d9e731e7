"""What a person notes on a herb for themselves."""

from django.conf import settings
from django.db import models

LONGEST = 4000  # characters


class HerbNote(models.Model):
    """A person's private note on a herb: plain text that nobody but its owner sees.

    The herb is kept by slug and name, not by a key, so that the note outlives a herb that leaves the materia medica.
    ``version`` rises with each save; it tells a form whether somebody saved in between.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="herb_notes")
    herb_slug = models.SlugField(max_length=80, db_index=False)
    herb_name = models.CharField(max_length=80, help_text="As the herb was called when the note was last saved.")
    text = models.TextField(max_length=LONGEST)
    changed_at = models.DateTimeField()
    version = models.PositiveIntegerField()

    class Meta:
        ordering = ["herb_name", "herb_slug"]
        constraints = [
            models.UniqueConstraint(fields=["user", "herb_slug"], name="one_note_per_herb"),
            models.CheckConstraint(condition=~models.Q(text=""), name="note_says_something"),
        ]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.herb_slug}"
