"""The only way a view gets a student's row: outsiders find nothing."""

from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import Count, Q
from django.http import Http404

from lessons.access import course_for
from lessons.models import Form, Item, User

from .models import Answer, Attempt, Question, Regrade


def attempt_for_student(user: User, code: UUID) -> Attempt:
    """An attempt the user may see: one's own, or one of a course one helps to run; 404 otherwise."""
    attempt = Attempt.objects.select_related("course", "student").filter(code=code).first()
    if attempt is None or not user.has_perm("quizzes.view_attempt", attempt):
        raise Http404("No such drill.")
    return attempt


def session_for_student(user: User, code: UUID) -> Attempt:
    """A practice session of one's own; 404 otherwise, whoever one is."""
    attempt = Attempt.objects.filter(code=code, student_id=user.pk, kind=Attempt.Kind.PRACTICE).first()
    if attempt is None:
        raise Http404("No such session.")
    attempt.student = user
    found: Attempt = attempt
    return found


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


def forms_offered(user: User) -> Any:
    """Forms offered in the courses a person belongs to, the latest first, with their lengths: one query.

    Items that are no longer approved are left out, and so is a form that has no other.
    """
    offered = Form.objects.filter(course__enrolments__user=user, offered_at__isnull=False).select_related("course")
    left = Count("places", filter=Q(places__item__review=Item.Review.APPROVED))
    return offered.annotate(length=left).filter(length__gt=0).order_by("-offered_at")


def form_for_student(user: User, code: UUID) -> Form:
    """A form offered in a course the user belongs to; 404 otherwise."""
    form = forms_offered(user).filter(code=code).first()
    if form is None:
        raise Http404("No such form.")
    found: Form = form
    return found


def regrade_for_staff(user: User, slug: str, code: UUID) -> Regrade:
    """A regrade of a course whose grading the user may change; 404 for outsiders, 403 for members without the right."""
    course = course_for(user, slug, "quizzes.change_grading")
    found = Regrade.objects.select_related("course").filter(course=course, code=code).first()
    if found is None:
        raise Http404("No such regrade.")
    return found


def _question(user: User, code: UUID, position: int) -> Question:
    try:
        question: Question = Question.objects.for_panel().get(attempt__code=code, position=position)
    except Question.DoesNotExist:
        raise Http404("No such question.") from None
    if not user.has_perm("quizzes.view_attempt", question.attempt):
        raise Http404("No such question.")
    return question
