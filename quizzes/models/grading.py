"""What the parts of a mark weigh in a course, version by version, and marks worked out anew when an instructor asks."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q


class GradingScheme(models.Model):
    """Weights of one course, in hundredths of a mark. A change makes a new row; drills keep the one they began under."""

    class Asks(models.TextChoices):
        NEVER = "never", "never"
        SOME = "some", "in every third question that presents a case"
        ALWAYS = "always", "in every question that presents a case"

    course = models.ForeignKey("lessons.Course", on_delete=models.CASCADE, related_name="grading_schemes")
    number = models.PositiveSmallIntegerField()
    reading = models.PositiveSmallIntegerField(default=25)
    choice = models.PositiveSmallIntegerField(default=40)
    reason = models.PositiveSmallIntegerField(default=35)
    confidence = models.PositiveSmallIntegerField(default=0, help_text="0: confidence is not asked.")
    asks_reading = models.CharField(max_length=10, choices=Asks, default=Asks.SOME)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["course", "number"], name="one_scheme_per_number"),
            models.CheckConstraint(
                condition=Q(reading=100 - F("choice") - F("reason") - F("confidence")), name="weights_sum_to_hundred"
            ),
            models.CheckConstraint(condition=Q(choice__gt=0, reason__gt=0), name="choice_and_reason_always_weigh"),
        ]

    def __str__(self) -> str:
        return f"version {self.number}"

    @property
    def weights(self) -> dict[str, int]:
        """Weight of each part of a mark, in hundredths."""
        return {name: getattr(self, name) for name in ("reading", "choice", "reason", "confidence")}


class Regrade(models.Model):
    """Past marks of a course worked out anew under a scheme: by whom and when, and whether it was taken back."""

    code = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    course = models.ForeignKey("lessons.Course", on_delete=models.CASCADE, related_name="regrades")
    scheme = models.ForeignKey(GradingScheme, on_delete=models.RESTRICT, related_name="regrades")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    reason = models.CharField(max_length=200)
    undone_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    undone_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.course_id} under {self.scheme_id}"


class RegradedAnswer(models.Model):
    """One mark that a regrade changed: what it was and what it became, so that it can be put back."""

    regrade = models.ForeignKey(Regrade, on_delete=models.CASCADE, related_name="answers")
    answer = models.ForeignKey("quizzes.Answer", on_delete=models.CASCADE, related_name="regraded")
    before = models.JSONField()
    after = models.JSONField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["regrade", "answer"], name="answer_once_per_regrade")]

    def __str__(self) -> str:
        return f"{self.regrade_id}: {self.answer_id}"
