"""The only way a view gets a course or a note: outsiders find nothing, insiders without the right are refused."""

from django.core.exceptions import PermissionDenied
from django.http import Http404

from herbs.models import Herb

from .models import Course, Enrolment, HerbNote, User


def course_for(user: User, slug: str, permission: str) -> Course:
    """A course on which the user has a permission; 404 for outsiders, 403 for members without it."""
    course = Course.objects.select_related("school", "teaching_set").filter(slug=slug).first()
    if course is None or not user.has_perm("lessons.view_course", course):
        raise Http404("No such course.")
    if not user.has_perm(permission, course):
        raise PermissionDenied
    return course


def course_of(user: User) -> Course | None:
    """The course whose teaching set the user's drills follow: the one joined last, or None."""
    enrolment = user.enrolments.select_related("course__teaching_set").order_by("-pk").first()
    return enrolment.course if enrolment else None


def enrolment_in(course: Course, username: str) -> Enrolment:
    """The enrolment of somebody in a course; 404 when there is none."""
    # PostgreSQL refuses to look for a text with a NUL in it; nobody has such a name.
    if "\x00" in username:
        raise Http404("Nobody of that name is in this course.")
    enrolment = course.enrolments.select_related("user").filter(user__username=username).first()
    if enrolment is None:
        raise Http404("Nobody of that name is in this course.")
    return enrolment


def note_for_owner(user: User, slug: str) -> tuple[HerbNote, Herb | None]:
    """The user's own note on a herb, and the herb; a note not yet saved, of version 0, where there is none.

    404 where there is neither herb nor note. The herb is None where it left the materia medica. Notes of others are never found.
    """
    herb = Herb.objects.filter(slug=slug).first()
    note = HerbNote.objects.filter(user=user, herb_slug=slug).first()
    if note is None:
        if herb is None:
            raise Http404("No such herb.")
        note = HerbNote(user=user, herb_slug=slug, herb_name=herb.name, text="", version=0)
    elif herb:
        note.herb_name = herb.name
    return note, herb
