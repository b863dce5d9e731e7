"""An account and everything personal, gone in one transaction; what stays for others names nobody any more."""

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import QuerySet

from herbs.models import TeachingSet
from lessons.models import Course, Enrolment, Item, User


class SoleOwnerError(Exception):
    """Courses would be left without an owner: ``courses``. Nothing was erased."""

    def __init__(self, courses: list[Course]) -> None:
        self.courses = courses
        super().__init__("A course would be left without an owner.")


def owned_alone(user: User) -> QuerySet[Course]:
    """The courses that have no other owner."""
    owned = Enrolment.objects.filter(role=Enrolment.Role.OWNER)
    mine, others = owned.filter(user=user).values("course"), owned.exclude(user=user).values("course")
    return Course.objects.filter(pk__in=mine).exclude(pk__in=others).order_by("title")


def erase_person(*, user: User) -> None:
    """Erase a person; one who is gone already stays gone. Raises SoleOwnerError where a course would lose its only owner."""
    with transaction.atomic():
        # Locked in the order: person, courses. Whoever gives up the role of an owner locks the course, too.
        if not User.objects.select_for_update().filter(pk=user.pk).exists():
            return
        list(
            Course.objects.select_for_update()
            .filter(pk__in=Enrolment.objects.filter(user=user, role=Enrolment.Role.OWNER).values("course"))
            .order_by("pk")
        )
        if alone := list(owned_alone(user)):
            raise SoleOwnerError(alone)
        _sets_of_nobody_else(user).delete()
        _log_out_everywhere(user)
        User.objects.filter(pk=user.pk).delete()


def _sets_of_nobody_else(user: User) -> QuerySet[TeachingSet]:
    """One's own teaching sets that nobody else can see, no course is taught under, and no question was made under."""
    used = Item.objects.values("teaching_set")
    unseen = TeachingSet.objects.filter(owner=user, is_local=True, courses=None, colleagues=None)
    return TeachingSet.objects.filter(pk__in=unseen.values("pk")).exclude(slug__in=used)


def _log_out_everywhere(user: User) -> None:
    """Delete the person's sessions. A session names its person inside only, so that each has to be opened."""
    named = str(user.pk)
    mine = [s.pk for s in Session.objects.iterator() if s.get_decoded().get(SESSION_KEY) == named]
    Session.objects.filter(pk__in=mine).delete()
