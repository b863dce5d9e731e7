"""The health page says whether the site can answer, and the logs say what happened without saying to whom."""

import io
import json
import logging
import re
import sys

import pytest
from django.core.exceptions import BadRequest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import include, path, reverse

from config import urls
from config.logs import JsonFormatter
from herbs.models import Release
from tests import account_pages, factories, people
from tests.factories import HTMX, address
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db


def failing(request, name=""):
    """A view with a fault that carries what a person wrote."""
    answer = request.POST.get("reason", "quince marmalade")
    raise RuntimeError(f"{request.user} wrote {answer}")


def unreadable(request):
    """A view that cannot read what was sent."""
    raise BadRequest("wenna@example.org sent it")


# This module is the test's own list of addresses: those of the site, and two that fail.
urlpatterns = [
    path("failing/<str:name>/", failing),
    path("unreadable/", unreadable),
    path("", include(urls.urlpatterns)),
]
handler400, handler403, handler404, handler500 = urls.handler400, urls.handler403, urls.handler404, urls.handler500


# ---- Health ----


def health() -> tuple[int, dict[str, str]]:
    """Status and content of the health page, for nobody in particular."""
    response = Client(raise_request_exception=False).get(reverse("health"))
    assert response.headers["Content-Type"] == "application/json"
    return response.status_code, json.loads(response.content)


def test_a_site_with_its_data_is_well():
    assert health() == (200, {"status": "ok"})


def test_a_site_without_its_data_is_not():
    Release.objects.all().delete()
    assert health() == (503, {"status": "the materia medica is empty"})


@pytest.mark.parametrize("fault", [OperationalError("could not connect to 10.0.0.7 as counterpoise")])
def test_a_site_whose_database_is_down_is_not_and_tells_nothing_of_it(fault):
    def down(*args):
        raise fault

    with connection.execute_wrapper(down):
        status, content = health()
    assert (status, content) == (503, {"status": "the database does not answer"})
    assert health()[0] == 200


def test_health_asks_the_database_really_and_only_once():
    with assert_query_count(1):
        health()


def test_health_may_be_asked_by_anybody_and_tells_the_same():
    answers = {
        who: people.client_of(make()).get(reverse("health")).content
        for who, make in people.EVERYBODY.items()
        if who != "nobody"
    }
    assert set(answers.values()) == {Client().get(reverse("health")).content}


def test_health_leaves_no_session_behind():
    response = Client().get(reverse("health"))
    assert not response.cookies


# ---- Logs ----


@pytest.fixture
def written(settings):
    """What the site's formatter writes of everything that is logged during a test."""
    settings.ROOT_URLCONF = "tests.test_health_and_logs"
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(JsonFormatter())
    root = logging.getLogger()
    root.addHandler(handler)
    yield stream
    root.removeHandler(handler)


def lines(stream: io.StringIO) -> list[dict]:
    """The lines written, each an object of JSON."""
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_fault_is_logged_with_its_route_kind_and_place(written):
    client = people.client_of(people.student(), raise_request_exception=False)
    assert client.post("/failing/wenna/", {"reason": "my own words"}).status_code == 500
    (line,) = [line for line in lines(written) if line.get("error")]
    assert line["level"] == "ERROR"
    assert line["logger"] == "django.request"
    assert (line["method"], line["route"], line["status_code"]) == ("POST", "failing/<str:name>/", 500)
    assert line["error"] == "RuntimeError"
    assert any(re.search(r"test_health_and_logs\.py:\d+$", step) for step in line["where"])
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}\+00:00", line["time"])


def personal(drill) -> list[str]:
    """What must never stand in a log: who, which drill, what was written, how one logs in."""
    user = drill.student
    return [
        user.username, user.email, user.display_name, "Thorpe", people.PASSWORD, str(drill.code), drill.code.hex,
        "quince", "my own words", "not-this-password", "senara", "127.0.0.1", account_pages.SECRET,
        *people.client_of(user).session.session_key.split(),
    ]  # fmt: skip


def misadventures(drill) -> list[int]:
    """Everything that can go wrong for people, of which the site writes a line; the statuses answered."""
    client = people.client_of(drill.student, raise_request_exception=False)
    strict = people.client_of(drill.student, enforce_csrf_checks=True)
    foreign, nobody = people.client_of(people.other_student()), Client(raise_request_exception=False)
    unanswered = address(factories.question(drill, 3))
    responses = [
        client.post("/failing/wenna/", {"reason": "my own words"}),
        client.get("/failing/wenna/?email=wenna@example.org", headers=HTMX),
        client.get("/unreadable/?name=wenna"),
        client.get("/nothing-here/wenna/"),
        foreign.get(unanswered),
        people.client_of(people.instructor()).get(unanswered),
        client.get(reverse("quizzes:question-choice", args=[drill.code, 1])),
        strict.post(address(factories.question(drill, 3), "choice"), {"choice": "my own words"}),
        client.get("/", headers={"Host": "wenna.elsewhere.example"}),
        client.get(f"/drills/{drill.code}/wenna/"),
        client.get(reverse("lessons:course-members", args=[people.EVENING])),
        foreign.get(reverse("quizzes:member-drills", args=[people.EVENING, "wenna"])),
        nobody.post(account_pages.confirmation_address(drill.student)[:-3] + "x/"),
        client.post(reverse("quizzes:attempt-start"), b"\xff\xfe", content_type="multipart/form-data"),
    ]
    people.log_in(nobody, "wenna", "not-this-password")
    people.log_in(nobody, "wenna")
    nobody.post(reverse("account_reset_password"), {"email": "wenna@example.org"})
    return [response.status_code for response in responses]


def test_no_line_holds_personal_data(written):
    drill = factories.drill_at_every_stage(people.student())
    statuses = misadventures(drill)
    assert set(statuses) == {400, 403, 404, 405, 500}
    found = lines(written)
    assert len(found) >= len(statuses)
    text = written.getvalue()
    assert not [words for words in personal(drill) if words.lower() in text.lower()], text
    assert not re.search(r"[0-9a-f]{8}-[0-9a-f]{4}-", text), "A path with the code of a drill stands in the log."
    assert not re.search(r"[\w.+-]+@[\w-]+\.\w+", text), "An e-mail address stands in the log."


def test_the_lines_still_say_where_things_go_wrong(written):
    misadventures(factories.drill_at_every_stage(people.student()))
    told = {(line.get("route"), line.get("status_code")) for line in lines(written)}
    assert ("drills/<uuid:code>/<int:position>/", 404) in told
    assert ("drills/<uuid:code>/<int:position>/", 403) in told
    assert ("drills/<uuid:code>/<int:position>/choice/", 405) in told
    assert ("failing/<str:name>/", 500) in told
    assert ("", 404) in told


def test_the_raw_log_would_have_held_them(written, caplog):
    """The search itself: what Django would have written holds what the site's formatter leaves out."""
    drill = factories.drill_at_every_stage(people.student())
    misadventures(drill)
    told = {words for words in personal(drill) if words.lower() in caplog.text.lower()}
    assert {"wenna", str(drill.code)} <= told


def test_a_line_without_a_request_keeps_its_words():
    record = logging.LogRecord("counterpoise", logging.INFO, __file__, 1, "loaded %s herbs", (79,), None)
    line = json.loads(JsonFormatter().format(record))
    assert (line["level"], line["logger"], line["message"]) == ("INFO", "counterpoise", "loaded 79 herbs")
    assert not {"route", "method", "error", "where"} & set(line)


def test_a_long_traceback_keeps_its_last_steps():
    def deep(number: int) -> None:
        if number == 0:
            raise ValueError("wenna")
        deep(number - 1)

    try:
        deep(40)
    except ValueError:
        record = logging.LogRecord("x", logging.ERROR, __file__, 1, "failed", (), sys.exc_info())
    line = json.loads(JsonFormatter().format(record))
    assert line["error"] == "ValueError"
    assert len(line["where"]) == 12
    assert "wenna" not in json.dumps(line)
    assert line["where"][-1].endswith(f":{deep.__code__.co_firstlineno + 2}")


@pytest.mark.parametrize("words", ["two\nlines", "\u2028", '"quoted"', "\x00", "é", "\ud800"])
def test_whatever_is_logged_stays_one_line_of_json(words):
    record = logging.LogRecord("x", logging.WARNING, __file__, 1, "%s", (words,), None)
    text = JsonFormatter().format(record)
    assert "\n" not in text
    assert json.loads(text)["message"] == words
    text.encode()  # what the stream does with it
