"""What goes wrong is said in a sentence that tells what to do: to a page request as a page, to htmx in short."""

import html
import re

import pytest
from django.core.exceptions import BadRequest, PermissionDenied
from django.test import Client
from django.urls import include, path, reverse

from config import urls
from herbs.models import Claim, Herb, Part, Release, Source, Term, Tradition, TraditionRole
from tests import factories, people
from tests.factories import HTMX

pytestmark = pytest.mark.django_db
WAYS = pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "page"])


def failing(request):
    """A view with a fault that nobody expected."""
    raise RuntimeError("a fault with a secret in it: quince")


def unreadable(request):
    """A view that cannot read what was sent."""
    raise BadRequest("unreadable")


def forbidden(request):
    """A view that nobody may open."""
    raise PermissionDenied


# This module is the test's own list of addresses: those of the site, and three that fail.
urlpatterns = [
    path("failing/", failing),
    path("unreadable/", unreadable),
    path("forbidden/", forbidden),
    path("", include(urls.urlpatterns)),
]
handler400, handler403, handler404 = urls.handler400, urls.handler403, urls.handler404
handler500 = getattr(urls, "handler500", "django.views.defaults.server_error")


@pytest.fixture
def wenna(settings, db) -> Client:
    """Wenna's browser on a site that also has addresses that fail."""
    settings.ROOT_URLCONF = "tests.test_errors"
    return people.client_of(people.student(), raise_request_exception=False)


def words(response) -> str:
    """The text without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


ADVICE = {
    "/unreadable/": (400, r"reload the page|Reload the page"),
    "/forbidden/": (403, r"log in with that one|sign in with another account"),
    "/nothing-here/": (404, r"Check the address|start from the first page"),
    "/failing/": (500, r"reload the page|Reload the page"),
}


@WAYS
@pytest.mark.parametrize(("place", "status", "advice"), [(place, *rest) for place, rest in ADVICE.items()], ids=ADVICE)
def test_an_error_says_what_to_do(wenna, headers, place, status, advice):
    response = wenna.get(place, headers=headers)
    assert response.status_code == status
    assert re.search(advice, words(response))
    assert "quince" not in words(response)
    assert "Traceback" not in words(response)


@pytest.mark.parametrize("place", ADVICE)
def test_an_error_page_is_a_whole_page_with_a_way_on(wenna, place):
    text = wenna.get(place).content.decode()
    assert text.startswith("<!doctype html>")
    assert text.count("<h1>") == 1
    assert 'href="/"' in text
    assert "For teaching only, not medical advice." in html.unescape(text)


@pytest.mark.parametrize("place", ADVICE)
def test_htmx_is_answered_with_a_sentence_and_not_a_page(wenna, place):
    text = wenna.get(place, headers=HTMX).content.decode()
    assert "<html" not in text, "A whole page must not reach a panel."
    assert len(re.findall(r"\.(?:\s|<|$)", text)) <= 4


@WAYS
def test_a_form_that_is_too_old_says_so(headers, db):
    client = people.client_of(people.student(), enforce_csrf_checks=True)
    response = client.post(reverse("quizzes:attempt-start"), {"action": "mixed"}, headers=headers)
    assert response.status_code == 403
    assert re.search(r"[Rr]eload the page", words(response))
    assert ("<html" in response.content.decode()) is (not headers)


def test_a_login_form_that_is_too_old_says_so():
    response = Client(enforce_csrf_checks=True).post(reverse("account_login"), {"login": "wenna", "password": "x"})
    assert response.status_code == 403
    assert "This form is out of date" in words(response)


@WAYS
def test_a_host_name_that_is_not_ours_is_refused_with_a_page(wenna, headers):
    response = wenna.get("/", headers=headers | {"Host": "elsewhere.example"})
    assert response.status_code == 400
    assert "Reload the page" in words(response) or "front page" in words(response)


@WAYS
def test_a_student_is_told_that_samples_are_not_for_students(headers, db):
    response = people.client_of(people.student()).get(reverse("lessons:item-samples"), headers=headers)
    assert response.status_code == 403
    assert re.search(r"another account|that one", words(response))


def test_somebody_not_logged_in_is_told_that_an_address_leads_nowhere():
    response = Client().get("/nothing-here/")
    assert response.status_code == 404
    assert "This page is not here" in words(response)


@pytest.mark.parametrize(
    "place",
    ["/materia-medica/no-such-herb/", "/parts/no-such-part/", "/classes/no-such-class/", "/drills/not-a-code/"],
)
def test_what_does_not_exist_is_not_found(db, place):
    response = people.client_of(people.student()).get(place)
    assert response.status_code == 404
    assert "This page is not here" in words(response)


def test_a_wrong_password_is_answered_with_a_sentence(db):
    people.student()
    response = people.log_in(Client(), "wenna", "not this one")
    assert response.status_code == 200
    assert "The username and/or password you specified are not correct." in words(response)


# ---- A database in which nothing has been loaded ----


@pytest.fixture
def emptied(db):
    """An instructor with a drill at every stage, after which all herbs, words and releases are gone."""
    drill = factories.drill_at_every_stage(people.instructor())
    places = factories.page_addresses(drill)
    # Teaching sets stay, since courses keep theirs; but no tradition is left that they could listen to.
    for rows in (Claim, Part, Herb, Term, Source, Release, TraditionRole, Tradition):
        rows.objects.all().delete()
    return places


@pytest.mark.parametrize("name", ["drill list", "materia medica", "classes", "class", "samples", "teaching sets"])
def test_an_empty_materia_medica_is_told_with_what_to_do(emptied, name):
    response = people.client_of(people.instructor()).get(emptied[name])
    assert response.status_code == 503
    assert "The materia medica is empty" in words(response)
    assert "python manage.py load_materia_medica" in words(response)


@pytest.mark.parametrize("name", ["front page", "cautions"])
def test_open_pages_stand_without_a_materia_medica(emptied, name):
    response = Client().get(emptied[name])
    assert response.status_code == 200
    assert "python manage.py load_materia_medica" in words(response)


def test_starting_a_drill_without_a_materia_medica_says_what_to_do(emptied):
    sent = {"action": "mixed", "length": 5, "code": "5b0f0d0e-6a8c-4f0e-9a53-0d9b8a1f2c11"}
    response = people.client_of(people.instructor()).post(reverse("quizzes:attempt-start"), sent)
    assert response.status_code == 503
    assert "python manage.py load_materia_medica" in words(response)


@pytest.mark.parametrize(
    "name",
    ["question, answered", "question, choice locked", "question, not begun", "results", "results, unfinished"],
)
def test_drills_already_begun_outlive_the_materia_medica(emptied, name):
    assert people.client_of(people.instructor()).get(emptied[name]).status_code == 200


@pytest.mark.parametrize("name", ["monograph", "not found"])
def test_what_was_emptied_is_not_found(emptied, name):
    assert people.client_of(people.instructor()).get(emptied[name]).status_code == 404


def test_a_part_of_an_emptied_materia_medica_is_not_found(emptied):
    assert people.client_of(people.instructor()).get(reverse("herbs:part-detail", args=["any-part"])).status_code == 404
