"""Named people with fixed rights: a student, a student of another course, an instructor. None of them exists."""

from django.test import Client

from herbs.models import TeachingSet
from lessons.models import Course, Enrolment, User

PASSWORD = "bramble-lantern-4071"
EVENING, WEEKEND = "hedge-lane-evening-course", "millrace-weekend-course"


def course(slug: str = EVENING) -> Course:
    """An invented course under the default teaching set; the same one each time."""
    return Course.objects.get_or_create(
        slug=slug,
        defaults={
            "title": slug.replace("-", " ").capitalize(),
            "school": "A school that does not exist (invented)",
            "teaching_set": TeachingSet.objects.get(is_default=True),
            "is_invented": True,
        },
    )[0]


def person(username: str, name: str, role: str, slug: str = EVENING) -> User:
    """An invented person with a role in a course; the same one each time. The password is PASSWORD."""
    user = User.objects.filter(username=username).first()
    if user is None:
        user = User.objects.create_user(
            username, password=PASSWORD, display_name=f"{name} (invented)", is_invented=True
        )
        Enrolment.objects.create(user=user, course=course(slug), role=role)
    return user


def student() -> User:
    """Wenna Thorpe, who learns in the evening course."""
    return person("wenna", "Wenna Thorpe", Enrolment.Role.STUDENT)


def other_student() -> User:
    """Corin Ashby, who learns in another course and has no business with Wenna's drills."""
    return person("corin", "Corin Ashby", Enrolment.Role.STUDENT, WEEKEND)


def instructor() -> User:
    """Ottilie Marsh, who teaches the evening course."""
    return person("ottilie", "Ottilie Marsh", Enrolment.Role.INSTRUCTOR)


def client_of(user: User | None, **options: bool) -> Client:
    """A browser in which the person is logged in; nobody when None."""
    client = Client(**options)
    if user is not None:
        client.force_login(user)
    return client
