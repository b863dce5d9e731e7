"""Roles in a course: who may change them, and that a course never loses its last owner."""

import html

import pytest
from django.urls import reverse

from lessons.models import Enrolment
from lessons.services import LastOwnerError, change_role
from tests import people

pytestmark = pytest.mark.django_db
Role = Enrolment.Role


@pytest.fixture(autouse=True)
def course(db):
    """The evening course with one member of each role."""
    for make in (people.student, people.assistant, people.instructor, people.owner):
        make()
    return people.course()


def role_of(user, slug: str = people.EVENING) -> str:
    """Somebody's role in a course, as stored."""
    return Enrolment.objects.get(user=user, course__slug=slug).role


def change(who, of, role: str, slug: str = people.EVENING, **options):
    """What ``who`` is answered on giving a member another role."""
    place = reverse("lessons:member-role", args=[slug, of.username])
    return people.client_of(who, **options).post(place, {"role": role})


def told(who, slug: str = people.EVENING) -> str:
    """The text of the members' page."""
    response = people.client_of(who).get(reverse("lessons:course-members", args=[slug]))
    assert response.status_code == 200
    return html.unescape(response.content.decode())


@pytest.mark.parametrize("who", [people.student, people.assistant, people.instructor])
@pytest.mark.parametrize("of", [people.student, people.owner])
@pytest.mark.parametrize("role", Role.values)
def test_a_member_cannot_change_roles(who, of, role):
    before = role_of(of())
    assert change(who(), of(), role).status_code == 403
    assert role_of(of()) == before


@pytest.mark.parametrize("who", [people.assistant, people.instructor])
def test_staff_see_the_members_but_no_way_to_change_them(who):
    page = told(who())
    assert "Wenna Thorpe (invented)" in page
    assert "/role/" not in page


def test_who_answers_for_the_course_is_listed_first():
    names = ["Hester Nance", "Ottilie Marsh", "Jenifer Coad", "Wenna Thorpe"]
    page = told(people.owner())
    rows = page[page.index("<tbody>") :]
    assert [rows.index(name) for name in names] == sorted(rows.index(name) for name in names)


@pytest.mark.parametrize("who", [people.owner, people.administrator])
@pytest.mark.parametrize("role", Role.values)
def test_owners_and_administrators_can(who, role):
    response = change(who(), people.student(), role)
    assert (response.status_code, response.url) == (302, reverse("lessons:course-members", args=[people.EVENING]))
    assert role_of(people.student()) == role


def test_the_members_page_says_what_was_done():
    client = people.client_of(people.owner())
    place = reverse("lessons:member-role", args=[people.EVENING, "wenna"])
    page = html.unescape(client.post(place, {"role": "assistant"}, follow=True).content.decode())
    assert "Wenna Thorpe (invented) is now Assistant in this course." in page


@pytest.mark.parametrize(
    "who",
    [people.stranger, people.other_student, people.other_owner, people.other_school_owner, people.other_administrator],
)
def test_somebody_of_elsewhere_does_not_even_find_the_course(who):
    assert change(who(), people.student(), Role.OWNER).status_code == 404
    assert change(who(), who(), Role.OWNER).status_code == 404
    assert role_of(people.student()) == Role.STUDENT
    assert not Enrolment.objects.filter(user=who(), course__slug=people.EVENING).exists()


def test_a_course_that_does_not_exist_is_answered_as_one_of_elsewhere():
    answers = [
        people.client_of(people.other_owner()).get(reverse("lessons:course-detail", args=[slug]))
        for slug in (people.EVENING, "no-such-course")
    ]
    texts = [answer.content.decode().split("<main")[1] for answer in answers]
    assert [answer.status_code for answer in answers] == [404, 404]
    assert texts[0] == texts[1]


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.OWNER])
@pytest.mark.parametrize("who", [people.owner, people.administrator])
def test_the_last_owner_stays(who, role):
    client = people.client_of(who())
    place = reverse("lessons:member-role", args=[people.EVENING, people.owner().username])
    page = client.post(place, {"role": role}, follow=True).content.decode()
    assert "The course would be left without an owner. Make somebody else an owner first." in html.unescape(page)
    assert role_of(people.owner()) == Role.OWNER


def test_an_owner_may_step_back_once_there_is_another():
    change(people.owner(), people.instructor(), Role.OWNER)
    change(people.owner(), people.owner(), Role.STUDENT)
    assert role_of(people.owner()) == Role.STUDENT
    assert role_of(people.instructor()) == Role.OWNER
    assert change(people.owner(), people.student(), Role.OWNER).status_code == 403


def test_an_owner_of_another_course_does_not_count_as_an_owner_of_this_one():
    people.other_owner()
    enrolment = Enrolment.objects.get(user=people.owner())
    with pytest.raises(LastOwnerError):
        change_role(enrolment=enrolment, role=Role.ASSISTANT)
    assert role_of(people.owner()) == Role.OWNER


def test_the_service_counts_owners_as_they_are_stored_not_as_they_were_read():
    """Two owners who step back at the same moment, each from what was read before the other did."""
    change_role(enrolment=Enrolment.objects.get(user=people.instructor()), role=Role.OWNER)
    first, second = (Enrolment.objects.get(user=user) for user in (people.owner(), people.instructor()))
    change_role(enrolment=first, role=Role.STUDENT)
    with pytest.raises(LastOwnerError):
        change_role(enrolment=second, role=Role.STUDENT)
    assert role_of(people.instructor()) == Role.OWNER


@pytest.mark.parametrize("role", ["", "king", "OWNER", "owner ", "\x00"])
def test_a_role_that_does_not_exist_changes_nothing_and_is_told(role):
    client = people.client_of(people.owner())
    place = reverse("lessons:member-role", args=[people.EVENING, "wenna"])
    page = html.unescape(client.post(place, {"role": role}, follow=True).content.decode())
    assert "There is no such role. Choose one from the list." in page
    assert role_of(people.student()) == Role.STUDENT


@pytest.mark.parametrize("of", [people.stranger, people.other_student])
def test_only_members_have_a_role_to_change(of):
    assert change(people.owner(), of(), Role.OWNER).status_code == 404
    assert not Enrolment.objects.filter(user=of(), course__slug=people.EVENING).exists()


@pytest.mark.parametrize("name", ["%00", "wenna%00", "%FF", "%F0%9F%8C%BF", "x" * 500, "%2e%2e"])
def test_a_name_that_nobody_can_have_is_not_found(name):
    """PostgreSQL refuses a text with a NUL byte, which SQLite takes."""
    client = people.client_of(people.owner(), raise_request_exception=False)
    assert client.post(f"/courses/{people.EVENING}/members/{name}/role/", {"role": "owner"}).status_code == 404
    assert client.get(f"/drills/of/{people.EVENING}/{name}/").status_code == 404


def test_a_change_without_the_token_of_the_form_is_refused():
    assert change(people.owner(), people.student(), Role.OWNER, enforce_csrf_checks=True).status_code == 403
    assert role_of(people.student()) == Role.STUDENT


def test_rights_follow_the_role_at_once():
    client = people.client_of(people.student())
    places = [reverse("lessons:item-samples"), reverse("lessons:course-members", args=[people.EVENING])]
    assert [client.get(place).status_code for place in places] == [403, 403]
    change(people.owner(), people.student(), Role.ASSISTANT)
    assert [client.get(place).status_code for place in places] == [403, 200]
    change(people.owner(), people.student(), Role.INSTRUCTOR)
    assert [client.get(place).status_code for place in places] == [200, 200]
    change(people.owner(), people.student(), Role.STUDENT)
    assert [client.get(place).status_code for place in places] == [403, 403]


@pytest.mark.parametrize("who", [who for who in people.EVERYBODY if who != "nobody"])
def test_the_account_page_lists_ones_own_courses_and_no_other(who):
    user = people.EVERYBODY[who]()
    page = html.unescape(people.client_of(user).get(reverse("account")).content.decode())
    shown = {slug for slug in (people.EVENING, people.MORNING, people.WEEKEND) if f"/courses/{slug}/" in page}
    people.course(people.MORNING)
    expected = {
        "stranger": set(), "other student": {people.WEEKEND}, "other owner": {people.MORNING},
        "administrator": {people.EVENING}, "other administrator": {people.WEEKEND},
    }  # fmt: skip
    assert shown == expected.get(who, {people.EVENING})
    for slug in shown:
        assert people.client_of(user).get(reverse("lessons:course-detail", args=[slug])).status_code == 200
