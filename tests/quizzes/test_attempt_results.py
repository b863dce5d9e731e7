"""The results of a drill, and going on where it was left."""

import html
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from quizzes.engine import chance_level
from tests import factories, people
from tests.factories import address
from tests.queries import told

pytestmark = pytest.mark.django_db


def results(drill, who=people.student):
    """The text of a drill's results page."""
    response = people.client_of(who()).get(reverse("quizzes:attempt-results", args=[drill.code]))
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def test_a_perfect_drill_shows_full_marks_and_nothing_to_look_at_again():
    page = results(factories.finished_attempt(people.student()))
    assert "You scored 1000 of 1000 on average over 2 of 2 questions." in page
    assert "Look at these again" not in page
    assert "Where you went astray" not in page
    assert "Go on with the drill" not in page
    assert page.count("You chose well, for the reason that decides") == 2


def test_the_mean_is_of_the_marks_and_wrong_answers_are_named():
    drill = factories.attempt(people.student())
    first, second = factories.question(drill, 1), factories.question(drill, 2)
    factories.answered(first)
    wrong = factories.wrong_choice_of(second)
    mark = factories.answered(second, wrong, decisive=False)
    page = results(drill)
    assert f"You scored {round((1000 + mark.score) / 2)} of 1000 on average over 2 of 2 questions." in page
    assert "Look at these again" in page
    options = second.item.opened["options"]
    assert (
        f">Question 2</a>: {options[wrong]['label']}, where {options[second.item.opened['key']]['label']} suits" in page
    )
    assert f"<strong>{mark.fault.capitalize()}</strong>: taken 1 of the" in page
    assert ">Question 1</a>" not in page


def test_a_right_choice_for_a_wrong_reason_is_to_be_looked_at_again():
    drill = factories.attempt(people.student(), length=1)
    factories.answered(factories.question(drill), decisive=False)
    page = results(drill)
    assert "The choice was right; look again at what decides it." in page
    assert "Where you went astray" not in page


def test_an_unfinished_drill_says_how_far_it_got_and_leads_on():
    page = results(factories.drill_at_every_stage(people.student()))
    assert "over 1 of 3 questions" in page
    assert "Go on with the drill" in page
    assert page.count(">unfinished</td>") == 2
    assert page.count(">not yet</td>") == 1


def test_a_drill_without_an_answer_says_so():
    page = results(factories.attempt(people.student()))
    assert "Nothing is answered yet." in page
    assert "You scored" not in page


def test_the_chance_level_is_that_of_the_questions_that_were_answered():
    """Beside a mean over some questions stands what guessing gives on those, not on others still to come."""
    drill = factories.attempt(people.student())
    hard = factories.question(drill, 2)
    content = hard.item.opened
    for number, option in enumerate(content["options"]):
        option["verdict"] = "suits" if number == content["key"] else "unsafe"
    for reason in content["because"][content["key"]]:
        reason["status"] = "decisive" if reason is content["because"][content["key"]][0] else "false"
    factories.store(hard, content)
    first = factories.question(drill, 1)
    for number, option in enumerate(first.item.opened["options"]):
        option["verdict"] = "suits" if number == first.item.opened["key"] else "little"
    factories.store(first, first.item.opened)
    factories.answered(first)
    expected = chance_level(first.item.opened)
    assert abs(expected - chance_level(content)) > 10
    assert f"Guessing would give about {expected}." in results(drill)


@pytest.mark.parametrize("who", [people.stranger, people.other_student, people.other_owner, people.other_administrator])
@pytest.mark.parametrize("name", ["quizzes:attempt-results", "quizzes:attempt-detail"])
def test_nobody_else_finds_the_drill(who, name):
    drill = factories.finished_attempt(people.student(), length=1)
    assert people.client_of(who()).get(reverse(name, args=[drill.code])).status_code == 404


def test_a_drill_goes_on_at_the_first_question_without_a_mark():
    drill = factories.attempt(people.student(), length=3)
    client = people.client_of(people.student())
    place = reverse("quizzes:attempt-detail", args=[drill.code])
    assert client.get(place).url == address(factories.question(drill, 1))
    factories.answered(factories.question(drill, 1))
    assert client.get(place).url == address(factories.question(drill, 2))
    factories.locked(factories.question(drill, 2))
    assert client.get(place).url == address(factories.question(drill, 2))
    factories.answered(factories.question(drill, 3))
    assert client.get(place).url == address(factories.question(drill, 2))
    factories.answered(factories.question(drill, 2))
    assert client.get(place).url == reverse("quizzes:attempt-results", args=[drill.code])


def test_a_code_that_no_drill_has_is_not_found():
    client = people.client_of(people.student())
    assert client.get("/drills/00000000-0000-4000-8000-000000000000/results/").status_code == 404
    assert client.get("/drills/not-a-code/results/").status_code == 404


def test_each_question_can_be_read_again():
    drill = factories.finished_attempt(people.student(), length=2)
    client = people.client_of(people.student())
    page = results(drill)
    links = set(re.findall(rf'href="(/drills/{drill.code}/\d+/)"', page))
    assert links == {address(factories.question(drill, 1)), address(factories.question(drill, 2))}
    assert all("Each herb in this case" in client.get(link).content.decode() for link in links)


def test_six_questions_cost_as_many_queries_as_two():
    client = people.client_of(people.student())
    counts = []
    for length in (2, 6):
        drill = factories.finished_attempt(people.student(), length=length)
        with CaptureQueriesContext(connection) as captured:
            client.get(reverse("quizzes:attempt-results", args=[drill.code]))
        counts.append(len(captured))
    assert counts[0] == counts[1], told(captured)
