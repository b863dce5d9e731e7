"""Who may do what with drills and answers."""

import rules

from lessons.models import User
from lessons.policy import administers, is_staff_of, teaches

from .models import Attempt


@rules.predicate
def is_owner(user: User, attempt: Attempt | None) -> bool:
    """The attempt is the user's own."""
    return attempt is not None and attempt.student_id == user.pk


@rules.predicate
def runs_its_course(user: User, attempt: Attempt | None) -> bool:
    """The user is staff of the course the drill was worked in, or administers its school. Practice is the student's alone."""
    if attempt is None or attempt.course is None or attempt.kind == Attempt.Kind.PRACTICE:
        return False
    return bool(is_staff_of(user, attempt.course) or administers(user, attempt.course))


rules.add_perm("quizzes.view_attempt", is_owner | runs_its_course)
rules.add_perm("quizzes.answer_attempt", is_owner)
rules.add_perm("quizzes.view_grading", is_staff_of | administers)
rules.add_perm("quizzes.change_grading", teaches | administers)
