"""Who may do what with courses, people and questions. Roles are per course; a school's administrators act as owners."""

import rules

from .models import Course, Enrolment, User

Role = Enrolment.Role
STAFF = (Role.ASSISTANT, Role.INSTRUCTOR, Role.OWNER)
TEACHERS = (Role.INSTRUCTOR, Role.OWNER)


def role_in(user: User, course: Course) -> str | None:
    """The user's role in a course, or None; one query for each user and course, kept on the user."""
    roles: dict[int, str | None] = user.__dict__.setdefault("_roles", {})
    if course.pk not in roles:
        roles[course.pk] = Enrolment.objects.filter(user=user, course=course).values_list("role", flat=True).first()
    return roles[course.pk]


@rules.predicate
def administers(user: User, course: Course | None) -> bool:
    """The user administers the course's school."""
    return course is not None and user.administered_schools.filter(pk=course.school_id).exists()


@rules.predicate
def belongs(user: User, course: Course | None) -> bool:
    """The user has some role in the course."""
    return course is not None and role_in(user, course) is not None


@rules.predicate
def is_staff_of(user: User, course: Course | None) -> bool:
    """The user helps to run the course."""
    return course is not None and role_in(user, course) in STAFF


@rules.predicate
def owns(user: User, course: Course | None) -> bool:
    """The user owns the course."""
    return course is not None and role_in(user, course) == Role.OWNER


@rules.predicate
def teaches(user: User, course: Course | None) -> bool:
    """The user teaches the course."""
    return course is not None and role_in(user, course) in TEACHERS


@rules.predicate
def teaches_somewhere(user: User) -> bool:
    """The user teaches some course, or administers a school; two queries at most, and the answer is kept on the user."""
    if not user.is_authenticated:
        return False
    if "_teaches" not in user.__dict__:
        teaches = user.enrolments.filter(role__in=TEACHERS).exists()
        user.__dict__["_teaches"] = teaches or user.administered_schools.exists()
    return bool(user.__dict__["_teaches"])


# A rule as well as a permission: pages that only show or hide a link ask it without touching Django's permission tables.
rules.add_rule("lessons.view_samples", teaches_somewhere)
rules.add_perm("lessons.view_samples", teaches_somewhere)
rules.add_perm("lessons.view_course", belongs | administers)
rules.add_perm("lessons.view_members", is_staff_of | administers)
rules.add_perm("lessons.change_roles", owns | administers)
# The materia medica is one for the whole installation: whoever teaches may mend it, and every change can be undone.
for name in ("herbs.change_herb", "herbs.change_picture", "herbs.add_teachingset"):
    rules.add_rule(name, teaches_somewhere)
    rules.add_perm(name, teaches_somewhere)
rules.add_perm("lessons.change_trust", teaches | administers)
# The item bank is shared like the materia medica: whoever teaches may read it, make drafts and review them.
for name in ("lessons.view_items", "lessons.change_item", "lessons.view_plans", "lessons.change_plan"):
    rules.add_rule(name, teaches_somewhere)
    rules.add_perm(name, teaches_somewhere)
