"""Who may do what with drills and answers."""

import rules

from lessons.models import User

from .models import Attempt


@rules.predicate
def is_owner(user: User, attempt: Attempt | None) -> bool:
    """The attempt is the user's own."""
    return attempt is not None and attempt.student_id == user.pk


rules.add_perm("quizzes.view_attempt", is_owner)
rules.add_perm("quizzes.answer_attempt", is_owner)
