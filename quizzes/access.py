"""The only way a view gets a student's row: outsiders find nothing."""

from uuid import UUID

from django.http import Http404

from lessons.models import User

from .models import Attempt, Question


def attempt_for_student(user: User, code: UUID) -> Attempt:
    """An attempt the user may see; 404 otherwise."""
    attempt = Attempt.objects.filter(code=code).first()
    if attempt is None or not user.has_perm("quizzes.view_attempt", attempt):
        raise Http404("No such drill.")
    return attempt


def question_for_student(user: User, code: UUID, position: int) -> Question:
    """A question of an attempt the user may answer, with attempt, item and answer; 404 otherwise."""
    question = Question.objects.for_panel().filter(attempt__code=code, position=position).first()
    if question is None or not user.has_perm("quizzes.answer_attempt", question.attempt):
        raise Http404("No such question.")
    return question
