"""What the staff of a course see of its students' drills, and which teaching set a drill follows."""

import html
import re

import pytest
from django.urls import reverse

from herbs.models import TeachingSet
from lessons.models import Enrolment
from quizzes.models import Answer, Attempt
from tests import factories, people
from tests.factories import HTMX, address
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
STAFF = pytest.mark.parametrize(
    "who", [people.assistant, people.instructor, people.owner, people.administrator], ids=lambda make: make.__name__
)
OUTSIDERS = pytest.mark.parametrize(
    "who",
    [people.stranger, people.other_student, people.other_owner, people.other_school_owner, people.other_administrator],
    ids=lambda make: make.__name__,
)
WAYS = pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])


@pytest.fixture
def drill(db) -> Attempt:
    """Wenna's drill: the first question answered, the second with its choice locked, the third not begun."""
    return factories.drill_at_every_stage(people.student())


def words(response) -> str:
    """The text of a page."""
    return html.unescape(response.content.decode())


def pages_of(drill: Attempt) -> list[str]:
    """Every page about a drill that staff may open."""
    return [
        reverse("quizzes:member-drills", args=[drill.course.slug, drill.student.username]),
        reverse("quizzes:attempt-results", args=[drill.code]),
        address(factories.question(drill, 1)),
    ]


# ---- What staff see ----


@STAFF
def test_staff_come_from_the_members_to_a_student_s_answer(drill, who):
    client = people.client_of(who())
    members = words(client.get(reverse("lessons:course-members", args=[people.EVENING])))
    listed, results, question = pages_of(drill)
    assert f'href="{listed}"' in members
    assert f'href="{results}"' in (page := words(client.get(listed)))
    assert "1 of 3" in page
    page = words(client.get(results))
    assert f'href="{question}"' in page
    assert "over 1 of 3 questions" in page
    assert "Wenna Thorpe (invented)" in page
    page = words(client.get(question))
    assert "Each herb in this case" in page
    assert re.search(rf"<dd>{Answer.objects.get(score__isnull=False).score} of 1000</dd>", page)


@STAFF
def test_a_student_s_results_do_not_speak_to_staff_as_if_they_were_theirs(drill, who):
    page = words(people.client_of(who()).get(reverse("quizzes:attempt-results", args=[drill.code])))
    main = re.search(r"<main.*</main>", page, re.DOTALL).group()
    assert not re.findall(r"\b[Yy]ours?\b|\bYou (?:scored|chose|went)\b|Where you went", main)
    assert "Go on with the drill" not in main, "It leads staff to a question that they may not open."


@STAFF
@pytest.mark.parametrize("position", [2, 3])
@WAYS
def test_staff_do_not_see_a_question_before_it_is_answered(drill, who, position, headers):
    response = people.client_of(who()).get(address(factories.question(drill, position)), headers=headers)
    assert response.status_code == 403
    assert factories.question(drill, position).item.opened["vignette"] not in words(response)


@STAFF
def test_every_question_that_the_results_lead_staff_to_can_be_opened(drill, who):
    client = people.client_of(who())
    page = words(client.get(reverse("quizzes:attempt-results", args=[drill.code])))
    links = set(re.findall(rf'href="(/drills/{drill.code}/(?:\d+/)?)"', page))
    assert address(factories.question(drill, 1)) in links
    assert {link: client.get(link, follow=True).status_code for link in links} == dict.fromkeys(links, 200)


@STAFF
@WAYS
@pytest.mark.parametrize("name", ["choice", "reason"])
@pytest.mark.parametrize("position", [1, 2, 3])
def test_staff_cannot_answer_for_a_student(drill, who, headers, name, position):
    before = list(Answer.objects.order_by("pk").values())
    asked = factories.question(drill, position)
    response = people.client_of(who()).post(address(asked, name), {name: 0}, headers=headers)
    assert response.status_code == 403
    assert list(Answer.objects.order_by("pk").values()) == before


@pytest.mark.parametrize("who", [people.assistant, people.owner], ids=lambda make: make.__name__)
def test_staff_answer_drills_of_their_own_as_anybody(who):
    own = factories.attempt(who(), length=1)
    client = people.client_of(who())
    assert client.get(address(factories.question(own))).status_code == 200
    assert client.post(address(factories.question(own), "choice"), {"choice": 0}).status_code == 302
    assert Answer.objects.get().choice == 0


# ---- What nobody else sees ----


@OUTSIDERS
def test_outsiders_find_nothing_of_it(drill, who):
    client = people.client_of(who())
    places = [*pages_of(drill), *(address(factories.question(drill, n)) for n in (2, 3)), f"/drills/{drill.code}/"]
    assert {place: client.get(place).status_code for place in places} == dict.fromkeys(places, 404)
    for name in ("choice", "reason"):
        assert client.post(address(factories.question(drill, 3), name), {name: 0}).status_code == 404


def test_a_fellow_student_finds_nothing_of_it(drill):
    fellow = people.person("denzil", "Denzil Rowe", Enrolment.Role.STUDENT)
    client = people.client_of(fellow)
    listed, *others = pages_of(drill)
    assert client.get(listed).status_code == 403
    assert [client.get(place).status_code for place in others] == [404, 404]


def test_a_student_s_drill_of_another_course_is_no_business_of_this_one_s_staff(drill):
    """Wenna joins the weekend course too: its staff see what she works from then on, not what she worked before."""
    wenna = people.student()
    Enrolment.objects.create(user=wenna, course=people.course(people.WEEKEND), role=Enrolment.Role.STUDENT)
    later = factories.attempt(wenna, length=1)
    assert later.course == people.course(people.WEEKEND)
    staff = people.client_of(people.other_school_owner())
    listed = staff.get(reverse("quizzes:member-drills", args=[people.WEEKEND, "wenna"]))
    assert str(later.code) in words(listed)
    assert str(drill.code) not in words(listed)
    assert staff.get(reverse("quizzes:attempt-results", args=[later.code])).status_code == 200
    assert staff.get(reverse("quizzes:attempt-results", args=[drill.code])).status_code == 404
    own = people.client_of(people.owner())
    assert own.get(reverse("quizzes:attempt-results", args=[later.code])).status_code == 404


def test_a_drill_outside_any_course_is_seen_by_its_student_alone():
    drill = factories.attempt(people.stranger(), length=1)
    assert drill.course is None
    place = reverse("quizzes:attempt-results", args=[drill.code])
    assert people.client_of(people.stranger()).get(place).status_code == 200
    for make in (people.owner, people.administrator, people.other_administrator):
        assert people.client_of(make()).get(place).status_code == 404


def test_who_leaves_the_staff_sees_no_more(drill):
    client = people.client_of(people.assistant())
    places = pages_of(drill)
    assert [client.get(place).status_code for place in places] == [200, 200, 200]
    Enrolment.objects.filter(user=people.assistant()).update(role=Enrolment.Role.STUDENT)
    assert [client.get(place).status_code for place in places] == [403, 404, 404]
    people.assistant().enrolments.all().delete()
    assert client.get(places[1]).status_code == 404


@pytest.mark.parametrize("username", ["corin", "lowen", "nobody-of-this-name"])
def test_only_members_have_drills_in_a_course(username):
    people.other_student(), people.stranger()
    place = reverse("quizzes:member-drills", args=[people.EVENING, username])
    assert people.client_of(people.owner()).get(place).status_code == 404


def test_six_drills_of_a_member_cost_as_many_queries_as_one():
    place = reverse("quizzes:member-drills", args=[people.EVENING, people.student().username])
    client = people.client_of(people.instructor())
    for wanted in (1, 6):
        while Attempt.objects.count() < wanted:
            factories.finished_attempt(people.student(), length=1)
        # 1 session, 2 user, 3 course with school and teaching set, 4 role in the course, 5 enrolment of the member with
        # user, 6 whether the person teaches (for the menu), 7 attempts with counts and marks
        with assert_query_count(7):
            assert client.get(place).status_code == 200


# ---- The teaching set ----


def other_set() -> TeachingSet:
    """A teaching set that is not the default one."""
    return TeachingSet.objects.filter(is_default=False).get()


def start(user) -> Attempt:
    """Start a drill of five questions as the page would."""
    code = "5b0f0d0e-6a8c-4f0e-9a53-0d9b8a1f2c11"
    sent = {"action": "mixed", "length": 5, "code": code}
    assert people.client_of(user).post(reverse("quizzes:attempt-start"), sent).status_code == 302
    return Attempt.objects.get(code=code)


def sets_of(drill: Attempt) -> set[str]:
    """The teaching sets under which a drill's questions were made."""
    questions = drill.questions.select_related("item")
    assert {question.item.teaching_set for question in questions} == {
        question.item.opened["teaching_set"] for question in questions
    }
    return {question.item.teaching_set for question in questions}


def test_a_drill_follows_the_teaching_set_of_the_course():
    course = people.course()
    course.teaching_set = other_set()
    course.save()
    drill = start(people.student())
    assert drill.course == course
    assert sets_of(drill) == {other_set().slug}


def test_a_drill_outside_any_course_follows_the_default_set():
    other_set()
    drill = start(people.stranger())
    assert drill.course is None
    assert sets_of(drill) == {TeachingSet.objects.get(is_default=True).slug}


def test_of_two_courses_the_one_joined_last_counts():
    weekend = people.course(people.WEEKEND)
    weekend.teaching_set = other_set()
    weekend.save()
    wenna = people.student()
    Enrolment.objects.create(user=wenna, course=weekend, role=Enrolment.Role.STUDENT)
    drill = start(wenna)
    assert drill.course == weekend
    assert sets_of(drill) == {other_set().slug}


def test_a_drill_keeps_its_questions_when_the_course_changes_its_set():
    drill = start(people.student())
    before = [question.item_id for question in drill.questions.all()]
    course = people.course()
    course.teaching_set = other_set()
    course.save()
    client = people.client_of(people.student())
    assert client.post(address(factories.question(drill), "choice"), {"choice": 0}).status_code == 302
    assert [question.item_id for question in drill.questions.all()] == before
    assert sets_of(drill) == {TeachingSet.objects.get(is_default=True).slug}
