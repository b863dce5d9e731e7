"""Giving the reason for a locked choice, with htmx and without."""

import html
import re

import pytest

from quizzes import services
from quizzes.engine import reasons_for
from quizzes.grading_schemes import graded_by
from quizzes.models import Answer
from quizzes.presenting import outcome_words
from tests import factories, people
from tests.factories import HTMX, address

pytestmark = pytest.mark.django_db
WAYS = pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])


def send(asked, headers, **data):
    """Post a reason; the text of what the student then sees."""
    client = people.client_of(people.student())
    response = client.post(address(asked, "reason"), data, headers=headers)
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
@pytest.mark.parametrize(
    ("right", "decisive", "outcome", "least", "most"),
    [
        (True, True, "both-right", 1000, 1000),
        (True, False, "right-for-a-wrong-reason", 533, 767),
        (False, True, "wrong-for-a-right-reason", 467, 467),
        (False, False, "both-wrong", 0, 234),
    ],
)
def test_the_answer_is_marked_and_explained(asked, headers, right, decisive, outcome, least, most):
    choice = factories.key_of(asked) if right else factories.wrong_choice_of(asked)
    # A distractor of the item may be unsafe by chance; that outcome has a test of its own.
    asked.item.opened["options"][choice]["verdict"] = "suits" if right else "little"
    factories.store(asked, asked.item.opened)
    factories.locked(asked, choice)
    page = send(asked, headers, reason=factories.reason_of(asked, choice, decisive=decisive))
    answer = Answer.objects.get()
    assert answer.outcome == outcome
    assert least <= answer.score <= most
    assert answer.reasoned_at is not None
    assert outcome_words("best-fit", outcome)[1] in page
    assert f"<dd>{answer.score} of 1000</dd>" in page
    key = asked.item.opened["options"][factories.key_of(asked)]
    assert f"<strong>{key['label']}</strong>" in page
    for option in asked.item.opened["options"]:
        assert option["latin"] in page
    assert "Go to question 2" in page


@WAYS
def test_an_unsafe_choice_earns_nothing_even_for_the_decisive_reason(asked, headers):
    choice = factories.wrong_choice_of(asked)
    factories.make_unsafe(asked, choice)
    factories.locked(asked, choice)
    page = send(asked, headers, reason=factories.reason_of(asked, choice))
    answer = Answer.objects.get()
    assert (answer.outcome, answer.score, answer.choice_points, answer.reason_points) == ("unsafe", 0, 0, 0)
    assert answer.fault == "unsafe for this person"
    assert "A choice that could harm earns nothing" in page


@WAYS
def test_a_reason_before_a_choice_is_answered_with_a_sentence(asked, headers):
    page = send(asked, headers, reason=0)
    assert "Lock a choice first; the reasons come after it." in page
    assert 'name="choice"' in page
    assert not Answer.objects.exists()


@WAYS
def test_no_reason_is_answered_with_a_sentence(asked, headers):
    factories.locked(asked)
    page = send(asked, headers)
    assert "Choose the reason that decides before you send it." in page
    assert 'name="reason"' in page
    assert Answer.objects.get().reason is None


@WAYS
@pytest.mark.parametrize("reason", ["6", "99", "-1", "x", "1.5", "", "²", "9" * 30])
def test_a_reason_that_does_not_exist_is_answered_with_a_sentence(asked, headers, reason):
    factories.locked(asked)
    page = send(asked, headers, reason=reason)
    assert re.search(r"There is no such reason\. Choose one|Choose the reason that decides before", page)
    answer = Answer.objects.get()
    assert (answer.reason, answer.score) == (None, None)


@WAYS
def test_the_reason_sent_again_changes_nothing(asked, headers):
    choice = factories.locked(asked).choice
    reason = factories.reason_of(asked, choice, decisive=False)
    send(asked, headers, reason=reason)
    before = Answer.objects.values().get()
    assert "Each herb in this case" in send(asked, headers, reason=reason)
    assert Answer.objects.values().get() == before


@WAYS
def test_of_two_tabs_with_different_reasons_the_first_counts(asked, headers):
    choice = factories.locked(asked).choice
    first = factories.reason_of(asked, choice, decisive=False)
    send(asked, headers, reason=first)
    before = Answer.objects.values().get()
    page = send(asked, headers, reason=factories.reason_of(asked, choice))
    assert Answer.objects.values().get() == before
    assert f"Your reason: “{reasons_for(asked.item.opened, choice)[first]['text']}”" in page


def test_of_two_reasons_at_the_same_moment_the_first_to_be_stored_counts(asked, monkeypatch):
    """The slow request has read the answer, and not yet written, when the fast one writes."""
    choice = factories.locked(asked).choice
    fast = factories.question(asked.attempt)
    first = factories.reason_of(asked, choice, decisive=False)

    def overtaken(*arguments):
        monkeypatch.setattr(services, "graded_by", graded_by)
        services.record_reason(question=fast, reason=first)
        return graded_by(*arguments)

    monkeypatch.setattr(services, "graded_by", overtaken)
    answer = services.record_reason(question=asked, reason=factories.reason_of(asked, choice))
    assert answer.reason == Answer.objects.get().reason == first
    assert answer.outcome == "right-for-a-wrong-reason"


@WAYS
def test_the_last_answer_finishes_the_drill_whatever_the_order(headers):
    drill = factories.attempt(people.student(), length=2)
    for position, state in ((2, "open"), (1, "finished")):
        asked = factories.question(drill, position)
        factories.locked(asked)
        send(asked, headers, reason=0)
        drill.refresh_from_db()
        assert (drill.state, drill.finished_at is not None) == (state, state == "finished")


@WAYS
def test_a_finished_drill_takes_no_further_reason(headers):
    drill = factories.finished_attempt(people.student())
    before = list(Answer.objects.order_by("pk").values()), drill.finished_at
    send(factories.question(drill), headers, reason=1)
    drill.refresh_from_db()
    assert (list(Answer.objects.order_by("pk").values()), drill.finished_at) == before


def test_the_last_question_leads_to_the_results():
    drill = factories.finished_attempt(people.student())
    page = people.client_of(people.student()).get(address(factories.question(drill, 2))).content.decode()
    assert f'href="/drills/{drill.code}/results/"' in page
    assert "Go to question" not in page


@WAYS
@pytest.mark.parametrize("who", [people.stranger, people.other_student, people.other_owner, people.other_administrator])
def test_nobody_else_finds_the_question(asked, headers, who):
    factories.locked(asked)
    response = people.client_of(who()).post(address(asked, "reason"), {"reason": 0}, headers=headers)
    assert response.status_code == 404
    assert Answer.objects.get().reason is None


def test_giving_a_reason_needs_a_post(asked):
    assert people.client_of(people.student()).get(address(asked, "reason")).status_code == 405


@WAYS
def test_a_reason_without_the_token_of_the_form_is_refused(asked, headers):
    factories.locked(asked)
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    assert client.post(address(asked, "reason"), {"reason": 0}, headers=headers).status_code == 403
    assert Answer.objects.get().reason is None


@WAYS
def test_the_form_carries_its_token_and_is_accepted_with_it(asked, headers):
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    factories.locked(asked)
    page = client.get(address(asked), headers=headers).content.decode()
    form = re.search(r"<form[^>]*reason/.*?</form>", page, re.DOTALL).group()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w{64})"', form).group(1)
    sent = {"reason": 0, "csrfmiddlewaretoken": token}
    assert client.post(address(asked, "reason"), sent, headers=headers).status_code == (200 if headers else 302)
    assert Answer.objects.get().reason == 0
