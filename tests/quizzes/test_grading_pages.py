"""Pages of how a course grades and regrades: seen, changed, previewed, done once, undone; and to whom they open."""

import html
import re
import uuid
from typing import Any

import pytest
from django.urls import reverse

from lessons.models import Enrolment
from quizzes import grading_pages
from quizzes.grading_schemes import change_scheme, scheme_of
from quizzes.models import Answer, Attempt, GradingScheme, Regrade
from quizzes.regrading import regrade
from tests import factories, people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
GRADING = f"/drills/grading/{people.EVENING}/"
PREVIEW, DO = f"{GRADING}regrade/", f"{GRADING}regrade/do/"
WEIGHTS = {"reading": 10, "choice": 60, "reason": 30, "confidence": 0, "asks_reading": "some", "base": 0}
TEACHERS = pytest.mark.parametrize(
    "who", [people.instructor, people.owner, people.administrator], ids=lambda make: make.__name__
)


@pytest.fixture
def teacher(db):
    return people.client_of(people.instructor())


def words(response: Any) -> str:
    """The text of a page, without its tags."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())))


def version(**values: Any) -> GradingScheme:
    """The next version of the evening course."""
    latest = scheme_of(people.course())
    told = {name: value for name, value in WEIGHTS.items() if name != "base"} | values
    return change_scheme(course=people.course(), by=people.owner(), base=latest.number if latest else 0, **told)


def marked() -> Attempt:
    """Wenna's drill of two answers under the shipped weights: right, and right with a reason that decides nothing."""
    drill = factories.attempt(people.student(), length=2)
    factories.answered(factories.question(drill, 1))
    asked = factories.question(drill, 2)
    factories.locked(asked)
    statuses = [reason["status"] for reason in asked.item.opened["because"][factories.key_of(asked)]]
    idle = next(n for n, status in enumerate(statuses) if status not in ("decisive", "true"))
    factories.services.record_reason(question=asked, reason=idle)
    return drill


def scores() -> list[int]:
    """All marks in order."""
    return list(Answer.objects.order_by("pk").values_list("score", flat=True))


# ---- How a course grades ----


def test_the_course_leads_its_staff_there_and_nobody_else():
    place = reverse("lessons:course-detail", args=[people.EVENING])
    for make in (people.assistant, people.instructor, people.owner, people.administrator):
        assert f'href="{GRADING}"' in people.client_of(make()).get(place).content.decode()
    assert GRADING not in people.client_of(people.student()).get(place).content.decode()


def test_a_course_that_set_nothing_shows_what_the_app_comes_with(teacher):
    page = words(teacher.get(GRADING))
    assert "This course has set nothing of its own" in page
    assert "As shipped: pattern 25, answer 40, reason 35, confidence 0." in page
    assert re.search(r"without the pattern not asked – 533 467", page)
    assert re.search(r"with the pattern 250 400 350", page)
    assert "Never yet." in page
    assert PREVIEW not in teacher.get(GRADING).content.decode(), "There is no version to regrade by."


def test_the_quadratic_rule_is_told_in_words_and_figures(teacher):
    page = words(teacher.get(GRADING))
    assert "Over many questions nobody earns more than by saying what they think" in page
    assert "guessing 25 44 94" in page  # 1 - .75^2 and 1 - .25^2
    assert "fairly sure 70 91 51" in page
    assert "certain 100 100 0" in page


@TEACHERS
def test_whoever_teaches_saves_a_new_version(who):
    client = people.client_of(who())
    response = client.post(GRADING, WEIGHTS, follow=True)
    assert response.redirect_chain == [(GRADING, 302)]
    scheme = scheme_of(people.course())
    assert (scheme.number, scheme.weights, scheme.asks_reading, scheme.made_by) == (
        1, {"reading": 10, "choice": 60, "reason": 30, "confidence": 0}, "some", who(),
    )  # fmt: skip
    page = words(response)
    assert "Version 1 holds. Drills begun from now on are graded by it; past marks stay as they are." in page
    assert "Version 1: pattern 10, answer 60, reason 30, confidence 0. Pattern asked in every third question" in page
    assert f"By {who()}," in page
    assert re.search(r"without the pattern not asked – 667 333", page)


def test_every_version_is_listed_with_who_and_when(teacher):
    version()
    second = version(choice=50, reason=40)
    page = words(teacher.get(GRADING))
    assert "Version 2 has held since" in page
    listed = [f"Version {n}: pattern 10, answer {a}, reason {r}" for n, a, r in ((2, 50, 40), (1, 60, 30))]
    assert 0 < page.index(listed[0]) < page.index(listed[1]) < page.index("As shipped:")
    assert page.count(f"By {people.owner()}, {second.made_at:%-d %B %Y, %H:%M} .") == 2


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"choice": 55}, "The weights sum to 95, and must sum to 100. Add 5."),
        ({"choice": 70}, "The weights sum to 110, and must sum to 100. Take away 10."),
        ({"choice": 0, "reading": 70}, "The answer always weighs something."),
        ({"reason": 0, "reading": 40}, "The reason always weighs something."),
        (
            {"reading": 0, "choice": 70},
            "A pattern that is asked weighs something. Give it a weight, or never ask for it.",
        ),
        ({"confidence": 4, "choice": 56}, "Give confidence at least 5, or 0 not to ask for it"),
        ({"confidence": -5, "choice": 65}, "greater than or equal to 0"),
        ({"choice": "sixty"}, "Enter a whole number."),
        ({"choice": ""}, "This field is required."),
        ({"asks_reading": "often"}, "Select a valid choice."),
        ({"base": ""}, "This page was out of date. Open it again."),
        ({"base": "x"}, "This page was out of date. Open it again."),
    ],
)
def test_weights_that_cannot_be_are_refused_with_a_sentence(teacher, sent, sentence):
    response = teacher.post(GRADING, WEIGHTS | sent)
    assert response.status_code == 200
    assert sentence in words(response)
    for name, value in sent.items():
        if name in ("choice", "reading", "confidence", "reason"):
            assert f'value="{value}"' in response.content.decode() or value == "", "What was typed is lost."
    assert not GradingScheme.objects.exists()


@pytest.mark.parametrize(
    "sent", [{"reading": 0, "choice": 70, "asks_reading": "never"}, {"confidence": 5, "choice": 55}]
)
def test_weights_at_the_edge_are_taken(teacher, sent):
    assert teacher.post(GRADING, WEIGHTS | sent).status_code == 302
    assert scheme_of(people.course()).number == 1


def test_a_form_over_somebody_else_s_change_loses_nothing(teacher):
    """Refused once, with what was typed, beside what holds now; sent again it becomes the next version."""
    version(choice=50, reason=40)
    response = teacher.post(GRADING, WEIGHTS | {"choice": 61, "reason": 29})
    page = response.content.decode()
    assert "Somebody changed the grading since you opened this page. What you typed is still in the form" in words(
        response
    )
    assert 'name="choice" value="61"' in page and 'name="reason" value="29"' in page
    assert 'name="base" value="1"' in page
    assert "Version 1: pattern 10, answer 50, reason 40, confidence 0." in words(response)
    assert scheme_of(people.course()).number == 1
    teacher.post(GRADING, WEIGHTS | {"choice": 61, "reason": 29, "base": 1})
    assert (scheme_of(people.course()).number, scheme_of(people.course()).choice) == (2, 61)


def test_a_form_sent_twice_makes_one_version(teacher):
    for _ in range(2):
        assert teacher.post(GRADING, WEIGHTS).status_code == 302
    assert GradingScheme.objects.count() == 1


def test_saving_what_holds_already_says_so(teacher):
    version()
    response = teacher.post(GRADING, WEIGHTS | {"base": 1}, follow=True)
    assert "Nothing changed: these weights hold already." in words(response)
    assert GradingScheme.objects.count() == 1


def test_assistants_look_and_change_nothing():
    marked()
    version()
    client = people.client_of(people.assistant())
    page = client.get(GRADING)
    assert page.status_code == 200 and "As shipped: pattern 25, answer 40, reason 35, confidence 0." in words(page)
    assert "<form" not in re.search(r"<main.*</main>", page.content.decode(), re.DOTALL).group()
    assert client.post(GRADING, WEIGHTS | {"base": 1, "choice": 61, "reason": 29}).status_code == 403
    assert client.get(PREVIEW).status_code == 403
    assert client.post(DO, {"version": 1, "reason": "No.", "code": uuid.uuid4()}).status_code == 403
    assert (GradingScheme.objects.count(), Regrade.objects.count()) == (1, 0)


# ---- Past marks ----


def test_a_preview_tells_whom_it_touches_and_writes_nothing(teacher):
    marked()
    version(choice=80, reason=10)
    page = words(teacher.get(PREVIEW))
    assert "Marks that change 1 of 2" in page
    assert "By, on average +356 of 1000" in page  # 533 becomes 889
    assert "Largest rise 356 Largest fall none" in page
    assert "1 more mark keeps its number; only what its parts weigh changes." in page
    assert f"{people.student()} 1 of 2 766.5 944.5 +178" in page
    assert "Count 2 marks by version 1" in page
    assert scores() == [1000, 533] and not Regrade.objects.exists()


def test_any_version_may_be_chosen_and_the_latest_is_first(teacher):
    marked()
    version()
    version(choice=80, reason=10)
    assert "Under version 2" in words(teacher.get(PREVIEW))
    assert "Under version 1" in words(teacher.get(PREVIEW, {"version": 1}))
    for odd in ("3", "x", "-1", "9" * 40, "\x00"):
        page = words(teacher.get(PREVIEW, {"version": odd}))
        assert "There is no such version. Choose one from the list." in page
        assert "Count" not in page.split("Show what would change")[1]


def test_where_there_is_nothing_to_work_out_there_is_no_button(teacher):
    assert "This course has no version of its own" in words(teacher.get(PREVIEW))
    version(asks_reading="never")
    assert "No mark has been given in this course yet" in words(teacher.get(PREVIEW))
    marked()
    assert "All 2 marks of this course are counted by version 1 already" in words(teacher.get(PREVIEW))
    assert DO not in teacher.get(PREVIEW).content.decode()


def test_of_many_students_those_come_whose_means_move_most(teacher, monkeypatch):
    monkeypatch.setattr(grading_pages, "MOST_STUDENTS", 1)
    marked()
    other = factories.attempt(people.assistant(), length=1)
    answer = factories.answered(factories.question(other), factories.wrong_choice_of(factories.question(other)))
    Answer.objects.filter(pk=answer.pk).update(score=1)  # a mark that surely moves, by less than Wenna's
    version(choice=80, reason=10)
    page = words(teacher.get(PREVIEW))
    assert "And 1 more student, whose means move less." in page
    assert str(people.student()) in page and str(people.assistant()) not in page


def sent(**values: Any) -> dict[str, Any]:
    """What the form of a preview sends."""
    return {"version": 1, "reason": "Answers count for more.", "seen": 2, "code": str(uuid.uuid4())} | values


@TEACHERS
def test_whoever_teaches_regrades_and_undoes(who):
    marked()
    version(choice=80, reason=10)
    client = people.client_of(who())
    response = client.post(DO, sent(), follow=True)
    assert response.redirect_chain == [(GRADING, 302)]
    page = words(response)
    assert "2 marks are counted by version 1 now." in page and "When the page was opened" not in page
    assert f"2 marks counted by version 1: Answers count for more. By {who()}," in page
    assert scores() == [1000, 889]
    done = Regrade.objects.get()
    undo = reverse("quizzes:regrade-undo", args=[people.EVENING, done.code])
    assert f'action="{undo}"' in response.content.decode()
    page = words(client.post(undo, follow=True))
    assert "2 marks put back." in page and f"Undone by {who()}," in page
    assert scores() == [1000, 533]
    assert "That regrade was undone already." in words(client.post(undo, follow=True))
    assert undo not in client.get(GRADING).content.decode()


def test_a_form_sent_twice_regrades_once(teacher):
    marked()
    version(choice=80, reason=10)
    same = sent()
    assert [teacher.post(DO, same).status_code for _ in range(2)] == [302, 302]
    assert Regrade.objects.count() == 1 and scores() == [1000, 889]
    teacher.post(reverse("quizzes:regrade-undo", args=[people.EVENING, same["code"]]))
    page = words(teacher.post(DO, same, follow=True))
    assert "That regrade was done, and undone since. Nothing was changed now." in page
    assert scores() == [1000, 533]


def test_an_answer_given_after_the_preview_is_told_of(teacher):
    marked()
    late = factories.attempt(people.student(), length=1)
    version(choice=80, reason=10)
    factories.answered(factories.question(late))
    page = words(teacher.post(DO, sent(), follow=True))
    assert "3 marks are counted by version 1 now. When the page was opened there were 2:" in page


@pytest.mark.parametrize(
    ("odd", "sentence"),
    [
        ({"reason": " "}, "This field is required."),
        ({"reason": "x" * 201}, "at most 200 characters"),
        ({"reason": "a\x00b"}, "Null characters are not allowed."),
        ({"code": "x"}, "This page was out of date. Open it again."),
        ({"code": ""}, "This page was out of date. Open it again."),
        ({"version": 7}, "There is no such version. Choose one from the list."),
        ({"version": "x"}, "There is no such version. Choose one from the list."),
        ({"version": ""}, "This page was out of date. Open it again."),
    ],
)
def test_a_regrade_that_says_too_little_is_refused(teacher, odd, sentence):
    marked()
    version(choice=80, reason=10)
    response = teacher.post(DO, sent() | odd)
    assert response.status_code == 200 and sentence in words(response)
    assert scores() == [1000, 533] and not Regrade.objects.exists()
    if "reason" not in odd and "version" not in odd:
        assert 'value="Answers count for more."' in response.content.decode(), "What was typed is lost."


def test_a_regrade_that_has_nothing_to_do_says_so(teacher):
    marked()
    scheme = version(choice=80, reason=10)
    regrade(course=scheme.course, scheme=scheme, by=people.owner(), reason="First.", code=uuid.uuid4())
    page = words(teacher.post(DO, sent()))
    assert "already, so there is nothing to work out anew." in page
    assert Regrade.objects.count() == 1


def test_only_the_latest_regrade_has_a_button_and_may_be_undone(teacher):
    marked()
    version(choice=80, reason=10)
    version(choice=50, reason=40)
    for number in (1, 2):
        teacher.post(DO, sent(version=number))
    second, first = Regrade.objects.all()
    undo = [reverse("quizzes:regrade-undo", args=[people.EVENING, done.code]) for done in (first, second)]
    page = teacher.get(GRADING).content.decode()
    assert undo[1] in page and undo[0] not in page
    at_last = scores()
    assert "A later regrade stands on this one. Undo the latest one first" in words(teacher.post(undo[0], follow=True))
    assert scores() == at_last
    teacher.post(undo[1])
    assert undo[0] in teacher.get(GRADING).content.decode()
    teacher.post(undo[0])
    assert scores() == [1000, 533]


def test_a_regrade_belongs_to_its_course(teacher):
    """Ottilie, who teaches in both courses, finds it under its own alone; who leaves finds nothing."""
    marked()
    scheme = version(choice=80, reason=10)
    done = regrade(course=scheme.course, scheme=scheme, by=people.owner(), reason="A test.", code=uuid.uuid4())
    Enrolment.objects.create(user=people.instructor(), course=people.course(people.WEEKEND), role=Enrolment.Role.OWNER)
    assert teacher.post(reverse("quizzes:regrade-undo", args=[people.WEEKEND, done.code])).status_code == 404
    assert (
        people.client_of(people.other_owner())
        .post(reverse("quizzes:regrade-undo", args=[people.EVENING, done.code]))
        .status_code
        == 404
    )
    assert scores() == [1000, 889]


def test_people_who_have_left_are_named_as_such(teacher):
    marked()
    scheme = version(choice=80, reason=10)
    regrade(course=scheme.course, scheme=scheme, by=people.owner(), reason="A test.", code=uuid.uuid4())
    people.administrator()
    people.owner().delete()
    page = words(teacher.get(GRADING))
    assert page.count("omebody who has left") == 2


# ---- Cost ----


def test_the_page_costs_the_same_whatever_its_history(teacher):
    marked()
    for wanted in (1, 4):
        while GradingScheme.objects.count() < wanted:
            scheme = version(choice=50 + GradingScheme.objects.count(), reason=40 - GradingScheme.objects.count())
            regrade(course=scheme.course, scheme=scheme, by=people.owner(), reason="A test.", code=uuid.uuid4())
        # 1 session, 2 user, 3 course with school and teaching set, 4 role in the course, 5 the latest version, 6 the latest
        # regrade that stands, 7 versions with who made them, 8 regrades with people and counts, 9 whether the person
        # teaches (for the menu)
        with assert_query_count(9):
            assert teacher.get(GRADING).status_code == 200
