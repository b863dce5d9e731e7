"""Who may see how questions are made."""

import rules

from .models import Enrolment, User


@rules.predicate
def is_instructor(user: User) -> bool:
    """The user teaches some course."""
    return user.is_authenticated and user.enrolments.filter(role=Enrolment.Role.INSTRUCTOR).exists()


rules.add_perm("lessons.view_samples", is_instructor)
