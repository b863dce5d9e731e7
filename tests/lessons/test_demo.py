"""The demo school: what the command makes, and what it leaves alone."""

import json
import re
import socket
import stat
from io import StringIO

import pytest
from allauth.account.models import EmailAddress
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from lessons.demo import PEOPLE
from lessons.models import Course, Enrolment, School, User
from tests import people

pytestmark = pytest.mark.django_db


@pytest.fixture
def local(settings, tmp_path):
    """A folder of its own for what the demo keeps on this machine."""
    settings.LOCAL_DIR = tmp_path / "local"
    return settings.LOCAL_DIR


def demo() -> str:
    """Prepare the demo without serving; what it prints."""
    out = StringIO()
    call_command("demo", no_serve=True, stdout=out)
    return out.getvalue()


def accounts(printed: str) -> dict[str, str]:
    """Names and passwords as they are printed."""
    return dict(re.findall(r"^ +\w[\w ]* +(\S+) +password (\S+)$", printed, re.MULTILINE))


def everything() -> list[object]:
    """All rows of people and courses."""
    return [list(model.objects.order_by("pk").values()) for model in (User, EmailAddress, School, Course, Enrolment)]


def test_the_demo_prints_accounts_that_can_log_in(local):
    printed = accounts(demo())
    assert set(printed) == {username for username, _, _ in PEOPLE}
    assert len(set(printed.values())) == len(printed)
    for username, password in printed.items():
        response = people.log_in(Client(), username, password)
        assert (response.status_code, response.url) == (302, reverse("home")), username


def test_a_second_start_changes_nothing(local):
    first = demo()
    before = everything()
    second = demo()
    assert everything() == before
    assert accounts(second) == accounts(first)
    assert "already loaded" in second


def test_everybody_and_everything_of_the_demo_is_marked_as_invented(local):
    demo()
    assert User.objects.count() == len(PEOPLE)
    assert all(user.is_invented and "invented" in user.display_name for user in User.objects.all())
    school, course = School.objects.get(), Course.objects.get()
    assert course.school == school
    assert school.is_invented
    assert "invented" in school.name
    assert "invented" in course.title
    # example.org is reserved (RFC 2606): no letter of the demo reaches anybody.
    assert all(address.email.endswith("@example.org") for address in EmailAddress.objects.all())
    assert not User.objects.filter(is_superuser=True).exists()
    assert not User.objects.filter(is_staff=True).exists()


def test_the_demo_has_every_role_of_one_course_and_an_administrator_of_its_school(local):
    demo()
    roles = sorted(Enrolment.objects.values_list("role", flat=True))
    assert roles == ["assistant", "instructor", "owner", "student", "student"]
    administrators = list(School.objects.get().administrators.all())
    assert [user.username for user in administrators] == ["administrator"]
    assert not Enrolment.objects.filter(user__in=administrators).exists()


def test_the_page_says_that_the_person_is_invented(local):
    username, password = next(iter(accounts(demo()).items()))
    client = Client()
    client.login(username=username, password=password)
    assert "(invented)" in client.get(reverse("home")).content.decode()


def test_the_demo_leaves_a_database_with_other_people_alone(local):
    User.objects.create_user("somebody", password=people.PASSWORD)
    before = everything()
    with pytest.raises(CommandError, match=r"accounts that the demo did not make.*Set DATABASE_URL"):
        demo()
    assert everything() == before
    assert not local.exists()


def test_the_demo_is_refused_in_production(local, settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="Unset COUNTERPOISE_PRODUCTION"):
        demo()
    assert not User.objects.exists()


def test_passwords_are_kept_in_a_file_that_only_its_owner_reads(local):
    printed = accounts(demo())
    kept = local / "demo_accounts.json"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert json.loads(kept.read_text()) == printed
    kept.chmod(0o644)
    demo()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_passwords_differ_from_one_machine_to_another(local, settings, tmp_path):
    first = accounts(demo())
    settings.LOCAL_DIR = tmp_path / "elsewhere"
    second = accounts(demo())
    assert not set(first.values()) & set(second.values())
    assert Client().login(username="student", password=second["student"])
    assert not Client().login(username="student", password=first["student"])


def test_a_lost_database_gets_the_same_passwords_again(local):
    first = accounts(demo())
    User.objects.all().delete()
    assert accounts(demo()) == first


def test_a_port_in_use_is_told_with_the_command_for_another():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(
            CommandError, match=rf"port {port}\. Start with another: python manage\.py demo --port {port + 1}"
        ):
            call_command("demo", port=port, stdout=StringIO())
    assert not User.objects.exists()
