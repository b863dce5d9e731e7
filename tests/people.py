"""Named people with fixed rights in three invented courses of two invented schools. None of them exists.

The evening and the morning course belong to the Hedge Lane school, the weekend course to the Millrace school.
"""

from allauth.account.models import EmailAddress
from django.test import Client

from herbs.models import TeachingSet
from lessons.models import Course, Enrolment, School, User

PASSWORD = "bramble-lantern-4071"
EVENING, MORNING, WEEKEND = "hedge-lane-evening-course", "hedge-lane-morning-course", "millrace-weekend-course"
HEDGE_LANE, MILLRACE = "hedge-lane", "millrace"
SCHOOL_OF = {EVENING: HEDGE_LANE, MORNING: HEDGE_LANE, WEEKEND: MILLRACE}


def school(slug: str = HEDGE_LANE) -> School:
    """An invented school; the same one each time."""
    name = f"{slug.replace('-', ' ').title()} School (invented)"
    return School.objects.get_or_create(slug=slug, defaults={"name": name, "is_invented": True})[0]


def course(slug: str = EVENING) -> Course:
    """An invented course under the default teaching set; the same one each time."""
    return Course.objects.get_or_create(
        slug=slug,
        defaults={
            "title": f"{slug.replace('-', ' ').capitalize()} (invented)",
            "school": school(SCHOOL_OF[slug]),
            "teaching_set": TeachingSet.objects.get(is_default=True),
        },
    )[0]


def account(username: str, name: str) -> User:
    """An invented person with a verified e-mail address and no course; the same one each time. The password is PASSWORD."""
    user = User.objects.filter(username=username).first()
    if user is None:
        email = f"{username}@example.org"
        user = User.objects.create_user(
            username, email=email, password=PASSWORD, display_name=f"{name} (invented)", is_invented=True
        )
        EmailAddress.objects.create(user=user, email=email, verified=True, primary=True)
    return user


def person(username: str, name: str, role: str, slug: str = EVENING) -> User:
    """An invented person with a role in a course; the same one each time, with the role first given."""
    user = account(username, name)
    Enrolment.objects.get_or_create(user=user, course=course(slug), defaults={"role": role})
    return user


def stranger() -> User:
    """Lowen Hale, who has an account and belongs to no course."""
    return account("lowen", "Lowen Hale")


def student() -> User:
    """Wenna Thorpe, who learns in the evening course."""
    return person("wenna", "Wenna Thorpe", Enrolment.Role.STUDENT)


def other_student() -> User:
    """Corin Ashby, who learns in a course of another school and has no business with Wenna's drills."""
    return person("corin", "Corin Ashby", Enrolment.Role.STUDENT, WEEKEND)


def assistant() -> User:
    """Jenifer Coad, who assists in the evening course."""
    return person("jenifer", "Jenifer Coad", Enrolment.Role.ASSISTANT)


def instructor() -> User:
    """Ottilie Marsh, who teaches the evening course."""
    return person("ottilie", "Ottilie Marsh", Enrolment.Role.INSTRUCTOR)


def owner() -> User:
    """Hester Nance, who owns the evening course."""
    return person("hester", "Hester Nance", Enrolment.Role.OWNER)


def other_owner() -> User:
    """Talan Rudd, who owns the morning course of the same school."""
    return person("talan", "Talan Rudd", Enrolment.Role.OWNER, MORNING)


def other_school_owner() -> User:
    """Elowen Pryce, who owns the weekend course of the other school."""
    return person("elowen", "Elowen Pryce", Enrolment.Role.OWNER, WEEKEND)


def administrator() -> User:
    """Gerens Holt, who administers the school of the evening and the morning course."""
    user = account("gerens", "Gerens Holt")
    course(EVENING).school.administrators.add(user)
    return user


def other_administrator() -> User:
    """Morva Tull, who administers the other school."""
    user = account("morva", "Morva Tull")
    course(WEEKEND).school.administrators.add(user)
    return user


EVERYBODY = {
    "nobody": lambda: None,
    "stranger": stranger,
    "student": student,
    "other student": other_student,
    "assistant": assistant,
    "instructor": instructor,
    "owner": owner,
    "other owner": other_owner,
    "administrator": administrator,
    "other administrator": other_administrator,
}


def client_of(user: User | None, **options: bool) -> Client:
    """A browser in which the person is logged in; nobody when None."""
    client = Client(**options)
    if user is not None:
        client.force_login(user)
    return client


def log_in(client: Client, username: str, password: str = PASSWORD, **fields: str):
    """Send the log-in form; the answer."""
    return client.post("/accounts/login/", {"login": username, "password": password} | fields)
