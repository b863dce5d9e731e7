"""The demo school: invented people in an invented place, marked so wherever they appear."""

import json
import secrets
from dataclasses import dataclass
from pathlib import Path

from allauth.account.models import EmailAddress
from django.contrib.auth.hashers import check_password
from django.db import transaction

from herbs.models import TeachingSet

from .models import Course, Enrolment, School, User

COURSE = "tarn-gate-evening-course"
SCHOOL_SLUG, SCHOOL = "tarn-gate", "Tarn Gate Evening School (invented)"
TITLE = "Reading the tissues: an evening course (invented)"
PEOPLE = (
    ("student", "Perrin Vale (invented)", Enrolment.Role.STUDENT),
    ("second-student", "Isolde Quarry (invented)", Enrolment.Role.STUDENT),
    ("assistant", "Jory Penhale (invented)", Enrolment.Role.ASSISTANT),
    ("instructor", "Maud Fenwright (invented)", Enrolment.Role.INSTRUCTOR),
    ("owner", "Silvan Threlkeld (invented)", Enrolment.Role.OWNER),
    ("administrator", "Beryl Askew (invented)", None),
)


class ForeignDatabaseError(Exception):
    """The database holds people that the demo did not make."""


@dataclass(frozen=True)
class Account:
    """A demo account as it is printed."""

    username: str
    password: str
    role: str


def check_database_is_ours() -> None:
    """Refuse a database that holds accounts but not the demo's own school. Whoever signs up in the demo later is welcome."""
    ours = School.objects.filter(slug=SCHOOL_SLUG, is_invented=True).exists()
    if not ours and User.objects.filter(is_invented=False).exists():
        raise ForeignDatabaseError(
            "This database holds accounts that the demo did not make, so the demo leaves it alone. "
            "Set DATABASE_URL to an empty database, or unset it to use .local/db.sqlite3."
        )


@transaction.atomic
def make_school(*, passwords: Path) -> list[Account]:
    """The demo school and its accounts; made once, the same afterwards. Passwords are random, kept in ``passwords``."""
    known: dict[str, str] = json.loads(passwords.read_text()) if passwords.exists() else {}
    school, _ = School.objects.get_or_create(slug=SCHOOL_SLUG, defaults={"name": SCHOOL, "is_invented": True})
    course, _ = Course.objects.get_or_create(
        slug=COURSE,
        defaults={"title": TITLE, "school": school, "teaching_set": TeachingSet.objects.get(is_default=True)},
    )
    accounts = []
    for username, name, role in PEOPLE:
        user, created = User.objects.get_or_create(
            username=username, defaults={"display_name": name, "is_invented": True}
        )
        password = known.setdefault(
            username, f"{secrets.choice(WORDS)}-{secrets.choice(WORDS)}-{secrets.randbelow(9000) + 1000}"
        )
        if created or not check_password(password, user.password):
            user.set_password(password)
            user.save(update_fields=["password"])
        # Accounts need a verified address to log in; example.org is reserved and reaches nobody.
        EmailAddress.objects.get_or_create(
            user=user, email=f"{username}@example.org", defaults={"verified": True, "primary": True}
        )
        if role is None:
            school.administrators.add(user)
        else:
            Enrolment.objects.get_or_create(user=user, course=course, defaults={"role": role})
        accounts.append(Account(username, password, role.label if role else "School administrator"))
    passwords.parent.mkdir(parents=True, exist_ok=True)
    passwords.touch(mode=0o600)
    passwords.chmod(0o600)
    passwords.write_text(json.dumps(known))
    return accounts


WORDS = ("bramble", "copper", "ember", "fallow", "gravel", "harbour", "kettle", "lantern", "meadow", "orchard", "pebble",
         "quarry", "rafter", "saddle", "umber", "velvet", "willow", "yonder")  # fmt: skip
