"""The only way a view gets a student's row: outsiders find nothing."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404

from lessons.models import User

from .models import Answer, Attempt, Question


def attempt_for_student(user: User, code: UUID) -> Attempt:
    """An attempt the user may see: one's own, or one of a course one helps to run; 404 otherwise."""
    attempt = Attempt.objects.select_related("course", "student").filter(code=code).first()
    if attempt is None or not user.has_perm("quizzes.view_attempt", attempt):
        raise Http404("No such drill.")
    return attempt


def question_for_student(user: User, code: UUID, position: int) -> Question:
    """A question of an attempt the user may answer, with attempt, item and answer.

    404 for outsiders; 403 for staff, who may see an answered question but not answer it.
    """
    question = _question(user, code, position)
    if not user.has_perm("quizzes.answer_attempt", question.attempt):
        raise PermissionDenied
    return question


def question_for_reader(user: User, code: UUID, position: int) -> Question:
    """A question the user may look at: one's own at any stage, a student's (for staff) once it is answered."""
    question = _question(user, code, position)
    own = user.has_perm("quizzes.answer_attempt", question.attempt)
    if not own and not Answer.objects.filter(question=question, score__isnull=False).exists():
        raise PermissionDenied
    return question


def _question(user: User, code: UUID, position: int) -> Question:
    question = Question.objects.for_panel().filter(attempt__code=code, position=position).first()
    if question is None or not user.has_perm("quizzes.view_attempt", question.attempt):
        raise Http404("No such question.")
    return question
