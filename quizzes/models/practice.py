"""What is known of a learner: ability, confusions, and what is remembered. Worked out from graded answers alone."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Learner(models.Model):
    """The model of one student, as plain figures (see ``quizzes.engine.learner``)."""

    student = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="learner")
    ability = models.JSONField(default=dict)
    confusions = models.JSONField(default=dict, help_text="Times offered and taken, by confusion.")
    answers = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"learner {self.student_id}"


class Memory(models.Model):
    """When an herb, or a pair of herbs once taken for each other, should be met again."""

    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memories")
    first = models.SlugField(max_length=140, db_index=False, help_text="Slug of a part.")
    second = models.SlugField(max_length=140, db_index=False, blank=True, help_text="The other of a pair, or empty.")
    state = models.JSONField()
    due_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["student", "first", "second"], name="one_memory_per_herb_or_pair"),
            models.CheckConstraint(condition=~Q(second=models.F("first")), name="pair_of_two"),
        ]
        # Next work asks for what is due to a student, the longest due first.
        indexes = [models.Index(fields=["student", "due_at"], name="memories_due")]

    def __str__(self) -> str:
        return f"{self.student_id}: {self.first} {self.second}"


class FoundConfusion(models.Model):
    """A confusion shown to a student, and when it was cleared."""

    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="found_confusions")
    confusion = models.SlugField(db_index=False)
    shown_at = models.DateTimeField()
    cleared_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-shown_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "confusion"], condition=Q(cleared_at=None), name="confusion_shown_once_at_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"{self.student_id}: {self.confusion}"


class CohortConfusion(models.Model):
    """How often a cohort was offered a confusion and took it: sums alone, which tell of nobody in particular."""

    cohort = models.SlugField(blank=True, db_index=False, help_text="Slug of the course; empty for drills of none.")
    confusion = models.SlugField(db_index=False)
    offered = models.PositiveIntegerField(default=0)
    taken = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["cohort", "confusion"], name="one_sum_per_cohort_and_confusion")]

    def __str__(self) -> str:
        return f"{self.cohort}: {self.confusion}"


class Standing(models.Model):
    """A student's skills at the end of a day, for the picture over time."""

    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="standings")
    day = models.DateField()
    skills = models.JSONField(help_text="Value and standard error of each skill, in thousandths of a logit.")
    answers = models.PositiveIntegerField()

    class Meta:
        ordering = ["day"]
        constraints = [models.UniqueConstraint(fields=["student", "day"], name="one_standing_per_day")]

    def __str__(self) -> str:
        return f"{self.student_id}: {self.day}"
