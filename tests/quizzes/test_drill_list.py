"""The list of drills."""

import html
import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.models import Attempt
from tests import factories, people
from tests.queries import told

pytestmark = pytest.mark.django_db


def drill_list(query: str = "", who=people.student) -> str:
    """The text of the page."""
    response = people.client_of(who()).get(f"/drills/{query}")
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def test_a_new_student_sees_only_the_form():
    page = drill_list()
    assert "Start a drill" in page
    assert "<h2>Go on</h2>" not in page
    assert "<h2>Finished</h2>" not in page


def test_an_open_drill_can_be_gone_on_with_and_a_finished_one_read():
    begun, done = factories.drill_at_every_stage(people.student()), factories.finished_attempt(people.student())
    page = drill_list()
    going, finished = page.split("<h2>Start a drill</h2>")
    assert f'href="/drills/{begun.code}/"' in going
    assert "1 of 3 answered." in going
    assert f'href="/drills/{done.code}/results/"' in finished
    assert "1000 of 1000 over 2 questions" in finished


def test_a_student_sees_no_drill_of_another():
    other = factories.attempt(people.other_student()), factories.finished_attempt(people.other_student())
    page = drill_list()
    assert not any(str(drill.code) in page for drill in other)


def test_every_class_is_offered_and_the_one_asked_for_is_chosen(maker):
    classes = maker.materia_medica.class_actions
    page = drill_list(f"?class={classes[-1].slug}")
    select = re.search(r'<select[^>]*name="action".*?</select>', page, re.DOTALL).group()
    assert re.findall(r'<option value="([^"]*)"', select) == ["mixed", *(term.slug for term in classes)]
    assert re.findall(r'<option value="([^"]*)" selected', select) == [classes[-1].slug]


@pytest.mark.parametrize("query", ["?class=no-such-class", "?class=", "?class=%00", "?class=<script>"])
def test_a_class_that_does_not_exist_is_passed_over(query):
    page = drill_list(query)
    assert "Start a drill" in page
    assert "<script>" not in page


def test_each_form_has_a_code_of_its_own():
    codes = {re.search(r'name="code" value="([^"]*)"', drill_list()).group(1) for _ in range(2)}
    assert len(codes) == 2


def test_the_form_carries_its_token_and_is_refused_without():
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    page = client.get("/drills/").content.decode()
    sent = {"action": "mixed", "length": 5, "code": re.search(r'name="code" value="([^"]*)"', page).group(1)}
    assert client.post("/drills/start/", sent).status_code == 403
    assert not Attempt.objects.exists()
    form = re.search(r"<form[^>]*/drills/start/.*?</form>", page, re.DOTALL).group()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w{64})"', form).group(1)
    assert client.post("/drills/start/", sent | {"csrfmiddlewaretoken": token}).status_code == 302


def test_twelve_drills_cost_as_many_queries_as_two():
    client = people.client_of(people.student())
    counts = {}
    for wanted in (2, 12):
        while Attempt.objects.count() < wanted:
            factories.attempt(people.student(), length=1)
            factories.finished_attempt(people.student(), length=1)
        with CaptureQueriesContext(connection) as captured:
            page = client.get("/drills/").content.decode()
        assert page.count('<li class="entry">') == wanted
        counts[wanted] = len(captured)
    assert counts[2] == counts[12], told(captured)


def test_an_open_drill_does_not_drop_off_the_page_behind_newer_finished_ones():
    begun = factories.attempt(people.student(), length=1)
    Attempt.objects.filter(pk=begun.pk).update(started_at=timezone.now() - timedelta(days=30))
    for _ in range(12):
        factories.finished_attempt(people.student(), length=1)
    assert f'href="/drills/{begun.code}/"' in drill_list(), "A drill that is kept can no longer be reached."
