"""Locking a choice, with htmx and without."""

import html
import re

import pytest

from quizzes.models import Answer
from tests import factories, people
from tests.factories import HTMX, address

pytestmark = pytest.mark.django_db
WAYS = pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])


def send(asked, headers, student=None, **data):
    """Post a choice; the text of what the student then sees."""
    client = people.client_of(student or people.student())
    response = client.post(address(asked, "choice"), data, headers=headers)
    if not headers:
        assert (response.status_code, response.url) == (302, address(asked))
        response = client.get(response.url)
    assert response.status_code == 200
    return html.unescape(response.content.decode())


@pytest.fixture
def asked(db):
    """The first question of Wenna's drill."""
    return factories.question(factories.attempt(people.student()))


@WAYS
@pytest.mark.parametrize("after", range(4))
def test_a_choice_is_locked_and_its_reasons_are_asked(asked, headers, after):
    choice = factories.wrong_choice_of(asked, after=after)
    page = send(asked, headers, choice=choice)
    label = asked.item.opened["options"][choice]["label"]
    assert "The choice is locked." in page
    assert f"You chose <strong>{label}</strong>" in page
    assert page.count('name="reason"') == len(factories.reasons_for(asked.item.opened, choice))
    answer = Answer.objects.get()
    assert (answer.question, answer.choice, answer.reason, answer.score, answer.outcome) == (
        asked,
        choice,
        None,
        None,
        "",
    )


@WAYS
def test_no_choice_is_answered_with_a_sentence(asked, headers):
    page = send(asked, headers)
    assert "Choose one of the herbs before you lock the choice." in page
    assert 'name="choice"' in page
    assert not Answer.objects.exists()


@WAYS
@pytest.mark.parametrize(
    "choice", ["4", "9", "-1", "x", "1.5", "", " ", "²", "٣", "1e0", "0x1", "9" * 30, "None", "0\x00"]
)
def test_a_choice_that_names_no_option_is_answered_with_a_sentence(asked, headers, choice):
    page = send(asked, headers, choice=choice)
    assert re.search(r"There is no such option\. Choose one|Choose one of the herbs before", page)
    assert not Answer.objects.exists()


@WAYS
def test_the_same_choice_sent_again_changes_nothing(asked, headers):
    choice = factories.wrong_choice_of(asked)
    send(asked, headers, choice=choice)
    before = Answer.objects.values().get()
    assert "The choice is locked." in send(asked, headers, choice=choice)
    assert Answer.objects.values().get() == before


@WAYS
def test_of_two_tabs_with_different_choices_the_first_counts(asked, headers):
    first, second = factories.wrong_choice_of(asked), factories.key_of(asked)
    send(asked, headers, choice=first)
    page = send(asked, headers, choice=second)
    assert Answer.objects.get().choice == first
    assert f"You chose <strong>{asked.item.opened['options'][first]['label']}</strong>" in page


@WAYS
def test_a_choice_sent_after_the_answer_shows_the_answer_and_changes_nothing(asked, headers):
    factories.answered(asked, factories.wrong_choice_of(asked))
    before = Answer.objects.values().get()
    assert "Each herb in this case" in send(asked, headers, choice=factories.key_of(asked))
    assert Answer.objects.values().get() == before


@WAYS
def test_a_finished_drill_takes_no_further_choice(headers):
    drill = factories.finished_attempt(people.student())
    asked = factories.question(drill)
    before = list(Answer.objects.order_by("pk").values())
    send(asked, headers, choice=factories.wrong_choice_of(asked))
    assert list(Answer.objects.order_by("pk").values()) == before
    drill.refresh_from_db()
    assert drill.state == "finished"


@pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])
@pytest.mark.parametrize("who", [people.stranger, people.other_student, people.other_owner, people.other_administrator])
def test_nobody_else_finds_the_question(asked, headers, who):
    response = people.client_of(who()).post(address(asked, "choice"), {"choice": 0}, headers=headers)
    assert response.status_code == 404
    assert not Answer.objects.exists()


@pytest.mark.parametrize("position", [0, 3, 99999])
def test_a_question_that_the_drill_has_not_is_not_found(asked, position):
    client = people.client_of(people.student())
    assert client.post(f"/drills/{asked.attempt.code}/{position}/choice/", {"choice": 0}).status_code == 404


def test_choosing_needs_a_post(asked):
    assert people.client_of(people.student()).get(address(asked, "choice")).status_code == 405


@WAYS
def test_a_choice_without_the_token_of_the_form_is_refused(asked, headers):
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    response = client.post(address(asked, "choice"), {"choice": 0}, headers=headers)
    assert response.status_code == 403
    assert not Answer.objects.exists()


def test_the_form_carries_its_token_and_is_accepted_with_it(asked):
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    page = client.get(address(asked)).content.decode()
    form = re.search(r"<form[^>]*choice/.*?</form>", page, re.DOTALL).group()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w{64})"', form).group(1)
    assert client.post(address(asked, "choice"), {"choice": 0, "csrfmiddlewaretoken": token}).status_code == 302
    assert Answer.objects.count() == 1


def test_htmx_finds_the_token_on_the_body(asked):
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    page = client.get(address(asked)).content.decode()
    token = re.search(r"""<body hx-headers='{"X-CSRFToken": "(\w{64})"}'""", page).group(1)
    response = client.post(address(asked, "choice"), {"choice": 0}, headers=HTMX | {"X-CSRFToken": token})
    assert response.status_code == 200
    assert Answer.objects.count() == 1
