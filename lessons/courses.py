"""Pages of courses and one's own account."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from .access import course_for, enrolment_in
from .engine import FAMILIES
from .engine.trust import PROVED
from .models import Course, Enrolment
from .policy import STAFF
from .requests import PersonRequest
from .services import LastOwnerError, change_role
from .set_pages import sets_for

# Who answers for the course comes first.
RANK = {role: place for place, role in enumerate(reversed(Enrolment.Role.values))}


def by_rank(member: Enrolment) -> tuple[int, str]:
    """Owners, instructors, assistants, students; within each by name."""
    return RANK[member.role], member.user.username


@require_safe
def account(request: PersonRequest) -> HttpResponse:
    """One's own account: courses, and how one logs in."""
    context = {
        "enrolments": request.user.enrolments.select_related("course__school").order_by("course__title"),
        "administered": Course.objects.filter(school__administrators=request.user).select_related("school"),
    }
    return render(request, "lessons/account.html", context)


@require_safe
def course_detail(request: PersonRequest, slug: str) -> HttpResponse:
    """A course: its teaching set and who teaches."""
    course = course_for(request.user, slug, "lessons.view_course")
    context = {
        "course": course,
        "staff": sorted(course.enrolments.filter(role__in=STAFF).select_related("user"), key=by_rank),
        "may_view_members": request.user.has_perm("lessons.view_members", course),
        "families": [
            {"name": name, "title": FAMILIES[name].TITLE, "is_trusted": name not in course.untrusted_families}
            for name in PROVED
        ],
        "may_view_grading": request.user.has_perm("quizzes.view_grading", course),
        "may_change_trust": request.user.has_perm("lessons.change_trust", course),
        "sets": sets_for(request.user) if request.user.has_perm("lessons.change_roles", course) else [],
    }
    return render(request, "lessons/course_detail.html", context)


@require_POST
def course_questions(request: PersonRequest, slug: str) -> HttpResponse:
    """Say which kinds of question students meet fresh; the others they meet one by one approved. For whoever teaches it."""
    course = course_for(request.user, slug, "lessons.change_trust")
    trusted = set(request.POST.getlist("trusted"))
    course.untrusted_families = [name for name in PROVED if name not in trusted]
    course.save(update_fields=["untrusted_families"])
    messages.success(request, "New drills of this course follow that. Drills already begun keep their questions.")
    return redirect("lessons:course-detail", slug=slug)


@require_safe
def course_members(request: PersonRequest, slug: str) -> HttpResponse:
    """Who is in a course, for its staff."""
    course = course_for(request.user, slug, "lessons.view_members")
    context = {
        "course": course,
        "members": sorted(course.enrolments.select_related("user"), key=by_rank),
        "may_change_roles": request.user.has_perm("lessons.change_roles", course),
        "roles": Enrolment.Role.choices,
    }
    return render(request, "lessons/course_members.html", context)


@require_POST
def member_role(request: PersonRequest, slug: str, username: str) -> HttpResponse:
    """Give a member another role, for owners and school administrators."""
    course = course_for(request.user, slug, "lessons.change_roles")
    enrolment = enrolment_in(course, username)
    role = request.POST.get("role", "")
    if role not in Enrolment.Role.values:
        messages.error(request, "There is no such role. Choose one from the list.")
        return redirect("lessons:course-members", slug=slug)
    try:
        change_role(enrolment=enrolment, role=role)
        messages.success(request, f"{enrolment.user} is now {Enrolment.Role(role).label} in this course.")
    except LastOwnerError as error:
        messages.error(request, str(error))
    return redirect("lessons:course-members", slug=slug)
