"""How questions are made: shown to instructors alone."""

import html
import re

import pytest
from django.urls import reverse

from lessons.models import Enrolment, Item
from tests import factories, people

pytestmark = pytest.mark.django_db
PLACE = "/questions/"


def samples(query: str = "") -> str:
    """The text of the page for an instructor."""
    response = people.client_of(people.instructor()).get(f"{PLACE}{query}")
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def test_an_instructor_sees_key_verdicts_faults_audit_and_proof():
    page = samples()
    assert page.count("<section") == 3
    assert page.count("(key)") == 3
    assert page.count("<td>suits</td>") == 3
    assert page.count("(decisive)") == 3
    assert page.count("no guideline broken") == 3
    assert page.count("re-checked from its certificate alone; it holds.") == 3


def test_each_visit_makes_fresh_samples_and_stores_none():
    before = Item.objects.count()
    first, second = (re.findall(r"<p>([^<]{80,})</p>", samples()) for _ in range(2))
    assert len(first) == len(second) == 3
    assert first != second
    assert Item.objects.count() == before


def test_samples_of_one_class_are_of_that_class(maker):
    for term in maker.materia_medica.class_actions[:3]:
        page = samples(f"?class={term.slug}")
        assert len(re.findall(rf"(?:these|four) {term.plural}", page)) == 3
        assert re.findall(r'<a href="\?family=best-fit&(?:amp;)?class=([^"]*)" aria-current="true">', page)[-1:] == [
            term.slug
        ]


@pytest.mark.parametrize("query", ["?class=no-such-class", "?class=", "?class=<script>x()</script>", "?class=%00"])
def test_a_class_that_does_not_exist_gives_samples_of_any(query):
    page = samples(query)
    assert page.count("(key)") == 3
    assert "x()" not in page


def test_a_class_without_a_provable_question_is_told_with_a_sentence():
    page = samples(f"?class={factories.class_without_questions()}")
    assert 'role="alert"' in page
    assert "Choose another class" in page
    assert "(key)" not in page


@pytest.mark.parametrize("who", [people.student, people.other_student])
def test_a_student_may_not_see_them_nor_the_way_to_them(who):
    client = people.client_of(who())
    response = client.get(PLACE)
    assert response.status_code == 403
    assert "(key)" not in response.content.decode()
    assert f'href="{PLACE}"' not in client.get(reverse("home")).content.decode()


def test_the_menu_leads_an_instructor_there():
    assert f'href="{PLACE}"' in people.client_of(people.instructor()).get(reverse("home")).content.decode()


def test_who_ceases_to_teach_sees_them_no_more():
    person = people.instructor()
    client = people.client_of(person)
    assert client.get(PLACE).status_code == 200
    person.enrolments.update(role=Enrolment.Role.STUDENT)
    assert client.get(PLACE).status_code == 403


def test_somebody_not_logged_in_is_asked_to_log_in():
    response = people.client_of(None).get(PLACE)
    assert (response.status_code, response.url) == (302, f"{reverse('account_login')}?next={PLACE}")
