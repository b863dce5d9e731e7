"""Drills a student works, and what was answered."""

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from quizzes.engine import FULL, OUTCOMES
from quizzes.querysets import AttemptQuerySet, QuestionQuerySet


class Attempt(models.Model):
    """One drill of one student, a fixed list of frozen questions; or a practice session, which grows by a question at a time."""

    class State(models.TextChoices):
        OPEN = "open"
        FINISHED = "finished"

    class Kind(models.TextChoices):
        DRILL = "drill"
        PRACTICE = "practice"

    code = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    student = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="attempts")
    course = models.ForeignKey("lessons.Course", on_delete=models.SET_NULL, null=True, related_name="attempts")
    action = models.SlugField(blank=True, db_index=False, help_text="The action class; empty for a mixed drill.")
    family = models.SlugField(blank=True, db_index=False, help_text="The item family; empty for mixed ones.")
    form = models.ForeignKey("lessons.Form", on_delete=models.SET_NULL, null=True, related_name="attempts")
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.DRILL)
    scheme = models.ForeignKey("quizzes.GradingScheme", on_delete=models.SET_NULL, null=True, related_name="attempts")
    title = models.CharField(max_length=120)
    length = models.PositiveSmallIntegerField()
    ahead = models.JSONField(
        default=dict, help_text="Of practice: the confusion in focus; what was chosen to come next, why, and when."
    )
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    grading_version = models.CharField(max_length=20)
    started_at = models.DateTimeField(default=timezone.now)
    finished_at = models.DateTimeField(null=True)

    objects = AttemptQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(state__in=["open", "finished"]), name="attempt_state_is_known"),
            models.CheckConstraint(condition=models.Q(kind__in=["drill", "practice"]), name="attempt_kind_is_known"),
            models.UniqueConstraint(
                fields=["student"],
                condition=models.Q(kind="practice", state="open"),
                name="one_open_practice_per_student",
            ),
        ]
        # The drill list shows a student's latest attempts.
        indexes = [models.Index(fields=["student", "-started_at"], name="attempts_of_student")]

    def __str__(self) -> str:
        return f"{self.title} {self.code}"


class Question(models.Model):
    """A frozen item at its place in an attempt."""

    attempt = models.ForeignKey(Attempt, on_delete=models.CASCADE, related_name="questions")
    position = models.PositiveSmallIntegerField()
    item = models.ForeignKey("lessons.Item", on_delete=models.PROTECT, related_name="questions")
    asks_reading = models.BooleanField(default=False, help_text="The pattern is asked first, axis by axis.")
    asks_confidence = models.BooleanField(default=False)
    why = models.JSONField(
        default=list, blank=True, help_text="Why practice chose it: the sentence, a code, what it is about."
    )
    is_random = models.BooleanField(default=False, help_text="Chosen by lot, to measure how hard items are.")
    shown_at = models.DateTimeField(null=True, help_text="When its page was first asked for.")

    objects = QuestionQuerySet.as_manager()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["attempt", "position"], name="one_question_per_position"),
            models.UniqueConstraint(fields=["attempt", "item"], name="item_once_per_attempt"),
        ]

    def __str__(self) -> str:
        return f"{self.attempt_id}:{self.position}"

    def as_new(self) -> "Question":
        """This question, made a moment ago: nothing need be asked to know that it has no reading and no answer."""
        for name in ("reading", "answer"):
            self._state.fields_cache[name] = None
        return self


class Reading(models.Model):
    """The pattern a student read from the findings, locked before the choice. One per question, whatever happens."""

    question = models.OneToOneField(Question, on_delete=models.CASCADE, related_name="reading")
    signs = models.PositiveSmallIntegerField(help_text="Signs of the four axes as one number, 0 to 80.")
    read_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(signs__lt=81), name="reading_within_scale")]

    def __str__(self) -> str:
        return f"{self.question_id}: {self.signs}"


class Answer(models.Model):
    """The choice, locked when the row is made, and later the reason with the mark. One per question, whatever happens."""

    question = models.OneToOneField(Question, on_delete=models.CASCADE, related_name="answer")
    choice = models.PositiveSmallIntegerField()
    chosen_at = models.DateTimeField(default=timezone.now)
    confidence = models.PositiveSmallIntegerField(null=True, help_text="Chance of being right, in hundredths.")
    reason = models.PositiveSmallIntegerField(null=True)
    reasoned_at = models.DateTimeField(null=True)
    score = models.PositiveSmallIntegerField(null=True)
    choice_points = models.PositiveSmallIntegerField(null=True)
    reason_points = models.PositiveSmallIntegerField(null=True)
    reading_points = models.PositiveSmallIntegerField(null=True)
    confidence_points = models.PositiveSmallIntegerField(null=True)
    outcome = models.CharField(max_length=30, blank=True)
    reason_status = models.CharField(max_length=20, blank=True)
    fault = models.CharField(max_length=40, blank=True)
    ability_before = models.SmallIntegerField(
        null=True, help_text="The model's estimate on the item before the answer, in thousandths of a logit."
    )
    grading_version = models.CharField(max_length=20, blank=True)
    scheme = models.ForeignKey("quizzes.GradingScheme", on_delete=models.SET_NULL, null=True, related_name="answers")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(score__isnull=True) | models.Q(score__gte=0, score__lte=FULL),
                name="score_within_scale",
            ),
            models.CheckConstraint(
                condition=models.Q(outcome="") | models.Q(outcome__in=OUTCOMES), name="outcome_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(reason__isnull=True, reasoned_at__isnull=True, score__isnull=True)
                | models.Q(reason__isnull=False, reasoned_at__isnull=False, score__isnull=False),
                name="mark_only_with_a_reason",
            ),
            models.CheckConstraint(
                condition=models.Q(confidence__isnull=True) | models.Q(confidence__lte=100),
                name="confidence_is_a_chance",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.question_id}: {self.choice}"


def answer_of(question: Question) -> Answer | None:
    """The answer of a question loaded with its answer, or None."""
    try:
        answer = question.answer
    except Answer.DoesNotExist:
        return None
    attempt = question.attempt
    if answer.scheme_id is not None and answer.scheme_id == attempt.scheme_id:
        answer.scheme = attempt.scheme  # one and the same, but for marks worked out anew: read once
    return answer
