"""Every address of the site, and what each person is answered there."""

import uuid

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from herbs.models import Part
from tests import factories, people

pytestmark = pytest.mark.django_db

# The drill belongs to the student. "log in" is a redirect to the login page and back.
TABLE = """
address                     method   nobody   student   other student   instructor
home                        GET      200      200       200             200
cautions                    GET      200      200       200             200
login                       GET      200      302       302             302
logout                      GET      log in   405       405             405
logout                      POST     log in   302       302             302
quizzes:drill-list          GET      log in   200       200             200
quizzes:attempt-start       GET      log in   405       405             405
quizzes:attempt-start       POST     log in   302       302             302
quizzes:attempt-detail      GET      log in   302       404             404
quizzes:attempt-results     GET      log in   200       404             404
quizzes:question-detail     GET      log in   200       404             404
quizzes:question-choice     GET      log in   405       405             405
quizzes:question-choice     POST     log in   302       404             404
quizzes:question-reason     GET      log in   405       405             405
quizzes:question-reason     POST     log in   302       404             404
lessons:item-samples        GET      log in   403       403             200
lessons:teaching-set-compare GET     log in   403       403             200
herbs:herb-index            GET      log in   200       200             200
herbs:herb-detail           GET      log in   200       200             200
herbs:part-detail           GET      log in   302       302             302
herbs:class-index           GET      log in   200       200             200
herbs:class-detail          GET      log in   200       200             200
"""
PEOPLE = {
    "nobody": lambda: None,
    "student": people.student,
    "other student": people.other_student,
    "instructor": people.instructor,
}


def rows() -> list[tuple[str, str, dict[str, str]]]:
    """(name, method, {person: status}) of each line of the table."""
    found = []
    for line in TABLE.strip().splitlines()[1:]:
        name, method, *statuses = line.replace("log in", "log-in").split()
        found.append((name, method, dict(zip(PEOPLE, statuses, strict=True))))
    return found


def names_of(resolver: URLResolver, namespace: str = "") -> list[str]:
    """The full names of all addresses; one without a name stands as its pattern."""
    found = []
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            found += names_of(entry, inner)
        elif isinstance(entry, URLPattern):
            found.append(f"{namespace}{entry.name}" if entry.name else f"without a name: {entry.pattern}")
    return found


def path_of(name: str, drill) -> str:
    """An address that exists, for a drill of the student's."""
    part = Part.objects.select_related("herb").order_by("slug").first()
    action = factories.question(drill).item.action
    arguments = {
        "quizzes:attempt-detail": [drill.code],
        "quizzes:attempt-results": [drill.code],
        "quizzes:question-detail": [drill.code, 1],
        "quizzes:question-choice": [drill.code, 1],
        "quizzes:question-reason": [drill.code, 1],
        "herbs:herb-detail": [part.herb.slug],
        "herbs:part-detail": [part.slug],
        "herbs:class-detail": [action],
    }
    return reverse(name, args=arguments.get(name))


def test_the_table_names_every_address_and_no_other():
    named = set(names_of(get_resolver("config.urls")))
    told = {name for name, _, _ in rows()}
    assert told == named, f"missing from the table: {sorted(named - told)}; not in config.urls: {sorted(told - named)}"


@pytest.mark.parametrize("who", PEOPLE)
@pytest.mark.parametrize(
    ("name", "method", "expected"), rows(), ids=lambda value: value if isinstance(value, str) else ""
)
def test_what_each_person_is_answered(name, method, expected, who):
    drill = factories.attempt(people.student(), length=1)
    data = (
        {"action": "mixed", "length": 5, "code": str(uuid.uuid4()), "choice": 0, "reason": 0}
        if method == "POST"
        else {}
    )
    client = people.client_of(PEOPLE[who]())
    path = path_of(name, drill)
    response = getattr(client, method.lower())(path, data)
    if expected[who] == "log-in":
        assert (response.status_code, response.url) == (302, f"{reverse('login')}?next={path}")
    else:
        assert response.status_code == int(expected[who])
        assert not response.headers.get("Location", "").startswith(reverse("account_login"))


@pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
def test_no_address_answers_a_method_that_it_does_not_know(method):
    drill = factories.attempt(people.student(), length=1)
    client = people.client_of(people.student())
    for name in sorted({name for name, _, _ in rows()} - {"login", "logout", "lessons:item-samples"}):
        assert getattr(client, method)(path_of(name, drill)).status_code == 405, name
