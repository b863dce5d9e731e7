"""Starting a drill."""

import re
import uuid
from collections import Counter
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.engine import NoValidItemError
from lessons.models import Item
from quizzes.models import Attempt, Question
from quizzes.services import OPEN_AT_MOST, STARTED_AT_MOST, start_attempt
from tests import factories, people

pytestmark = pytest.mark.django_db
START = "/drills/start/"


def form(**changes: object) -> dict[str, object]:
    """What the form of the drill list sends."""
    return {"action": "mixed", "length": "5", "code": str(uuid.uuid4())} | changes


def test_starting_leads_to_the_first_question_of_a_fresh_drill():
    student = people.student()
    code = uuid.uuid4()
    response = people.client_of(student).post(START, form(code=str(code)))
    assert (response.status_code, response.url) == (302, f"/drills/{code}/1/")
    drill = Attempt.objects.get(code=code)
    assert (drill.student, drill.length, drill.state, drill.action) == (student, 5, "open", "")
    assert list(drill.questions.values_list("position", flat=True)) == [1, 2, 3, 4, 5]
    assert drill.questions.values("item").distinct().count() == 5


def test_a_drill_of_one_class_asks_about_that_class_alone(maker):
    term = maker.materia_medica.class_actions[0]
    client = people.client_of(people.student())
    client.post(START, form(action=term.slug))
    drill = Attempt.objects.get()
    assert (drill.action, drill.title) == (term.slug, term.plural.capitalize())
    assert set(Item.objects.filter(questions__attempt=drill).values_list("action", flat=True)) == {term.slug}


def test_the_same_form_sent_twice_starts_one_drill():
    client = people.client_of(people.student())
    sent = form()
    first, second = client.post(START, sent), client.post(START, sent)
    assert first.url == second.url
    assert Attempt.objects.count() == 1
    assert Question.objects.count() == 5


def test_the_service_gives_back_the_drill_that_a_code_has_already_started():
    student, code = people.student(), uuid.uuid4()
    drill = factories.attempt(student, code=code, length=2)
    again = start_attempt(student=student, code=code, action="", length=3)
    assert again == drill
    assert drill.questions.count() == 2


def test_a_code_of_another_student_gives_no_way_into_that_drill():
    drill = factories.attempt(people.other_student())
    client = people.client_of(people.student(), raise_request_exception=False)
    response = client.post(START, form(code=str(drill.code)))
    assert response.status_code < 500, "A code that somebody else used must not fail the server."
    assert str(drill.code) not in response.headers.get("Location", "")
    drill.refresh_from_db()
    assert drill.student == people.other_student()
    assert drill.questions.count() == 2


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"action": "no-such-class"}, "There is no such action class. Choose one from the list."),
        ({"action": ""}, "This field is required."),
        ({"length": "7"}, "A drill has 5, 10 or 20 questions."),
        ({"length": "0"}, "A drill has 5, 10 or 20 questions."),
        ({"length": "-5"}, "A drill has 5, 10 or 20 questions."),
        ({"length": "5000000"}, "A drill has 5, 10 or 20 questions."),
        ({"length": "five"}, "A drill has 5, 10 or 20 questions."),
        ({"length": ""}, "This field is required."),
    ],
)
def test_a_form_that_makes_no_sense_comes_back_with_a_sentence(changes, sentence):
    response = people.client_of(people.student()).post(START, form(**changes))
    assert response.status_code == 200
    assert sentence in response.content.decode()
    assert not Attempt.objects.exists()


@pytest.mark.parametrize("code", ["", "not-a-code", "1234"])
def test_a_form_with_a_broken_code_starts_nothing_and_can_be_sent_again(code):
    client = people.client_of(people.student())
    response = client.post(START, form(code=code))
    assert response.status_code == 200
    assert not Attempt.objects.exists()
    page = response.content.decode()
    assert 'role="alert"' in page or "invalid-feedback" in page, "The page that came back does not say what was wrong."
    fresh = re.search(r'name="code"[^>]*value="([^"]*)"', page)
    assert client.post(START, form(code=fresh.group(1))).status_code == 302, (
        "The page that came back can never be sent."
    )


def test_a_class_for_which_nothing_can_be_proved_is_refused_with_a_sentence_and_nothing_is_written():
    slug = factories.class_without_questions()
    items = Item.objects.count()
    response = people.client_of(people.student()).post(START, form(action=slug))
    assert response.status_code == 200
    assert "Choose another class" in response.content.decode()
    assert not Attempt.objects.exists()
    assert Item.objects.count() == items
    with pytest.raises(NoValidItemError):
        factories.attempt(people.student(), action=slug)


def test_keys_stand_at_even_positions():
    """Over ten drills of eight questions the fullest and the emptiest place differ by 1 on average, 3.6 by chance alone."""
    spreads = []
    for _ in range(10):
        drill = factories.attempt(people.student(), length=8)
        places = Counter(question.item.opened["key"] for question in drill.questions.select_related("item"))
        spreads.append(max(places[n] for n in range(4)) - min(places[n] for n in range(4)))
    assert sum(spreads) <= 25
    assert max(spreads) <= 5


def begun(student, *, number: int, state: str = "open", ago: timedelta = timedelta(0)) -> None:
    """Rows of drills without questions: enough for what counts drills."""
    Attempt.objects.bulk_create(
        Attempt(student=student, title="Mixed classes", length=5, state=state, started_at=timezone.now() - ago)
        for _ in range(number)
    )


def test_somebody_with_many_drills_open_is_asked_to_finish_one():
    student = people.student()
    begun(student, number=OPEN_AT_MOST - 1, ago=timedelta(days=90))
    client = people.client_of(student)
    assert client.post(START, form()).status_code == 302
    response = client.post(START, form())
    assert response.status_code == 200
    assert f"You have {OPEN_AT_MOST} drills open. Finish one of them" in response.content.decode()
    assert Attempt.objects.count() == OPEN_AT_MOST
    Attempt.objects.filter(pk=Attempt.objects.earliest("pk").pk).update(state="finished")
    assert client.post(START, form()).status_code == 302


def test_somebody_who_starts_drill_after_drill_is_asked_to_rest():
    student = people.student()
    begun(student, number=STARTED_AT_MOST, state="finished", ago=timedelta(minutes=30))
    response = people.client_of(student).post(START, form())
    assert response.status_code == 200
    assert "You have started many drills within the hour." in response.content.decode()
    assert not Attempt.objects.filter(state="open").exists()
    Attempt.objects.update(started_at=timezone.now() - timedelta(minutes=61))
    assert people.client_of(student).post(START, form()).status_code == 302


def test_the_drills_of_others_do_not_count():
    begun(people.other_student(), number=STARTED_AT_MOST)
    assert people.client_of(people.student()).post(START, form()).status_code == 302


def test_a_drill_that_was_started_is_found_again_however_many_are_open():
    student, sent = people.student(), form()
    client = people.client_of(student)
    first = client.post(START, sent)
    begun(student, number=OPEN_AT_MOST)
    assert client.post(START, sent).url == first.url


def test_only_somebody_logged_in_starts_a_drill():
    response = people.client_of(None).post(START, form())
    assert response.status_code == 302
    assert response.url.startswith(reverse("account_login"))
    assert not Attempt.objects.exists()


def test_starting_needs_a_post():
    assert people.client_of(people.student()).get(START).status_code == 405
