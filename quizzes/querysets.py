"""Querysets named after the page they feed."""

from collections.abc import Sequence
from typing import Any

from django.db import models
from django.db.models import Count, Q, Sum
from django.db.models.functions import Coalesce


class AttemptQuerySet(models.QuerySet[Any]):
    """Attempts."""

    def for_drill_list(self, student: models.Model) -> "AttemptQuerySet":
        """A student's attempts with how much is answered and the sum of marks, the latest first: one query."""
        return (
            self.filter(student=student)
            .annotate(
                answered=Count("questions__answer", filter=Q(questions__answer__score__isnull=False)),
                marks=Sum("questions__answer__score"),
            )
            .order_by("-started_at")
        )


class QuestionQuerySet(models.QuerySet[Any]):
    """Questions."""

    def for_panel(self) -> "QuestionQuerySet":
        """One question with attempt, item, reading and answer: one query. A course's own scheme is read when it is used."""
        return self.select_related("attempt__course", "item", "reading", "answer")

    def for_results(self) -> "QuestionQuerySet":
        """All questions of an attempt with items and answers: one query."""
        return self.select_related("item", "answer__scheme").order_by("position")

    def met_by(self, student: models.Model) -> "QuestionQuerySet":
        """The questions a student has seen or answered, the latest first, by when they were answered, or else first seen."""
        own = self.filter(attempt__student=student)
        met = own.filter(Q(answer__isnull=False) | Q(shown_at__isnull=False))
        return met.order_by(Coalesce("answer__chosen_at", "shown_at").desc(), "-pk")

    def for_history(self, pks: Sequence[int]) -> "list[Any]":
        """These questions with attempt, item and answer, in the order given: one query."""
        found = self.select_related("attempt", "item", "answer").in_bulk(pks)
        return [found[pk] for pk in pks]
