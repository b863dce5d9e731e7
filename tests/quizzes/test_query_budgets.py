"""Answering costs few queries, and always the same ones. The list of what they are stands above each number."""

import pytest

from herbs.catalogue import materia_medica
from tests import factories, people
from tests.factories import HTMX, address
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db


@pytest.fixture(params=[1, 8], ids=["drill of 1", "drill of 8"])
def asked(request, db):
    """The first question of a drill; its length must not matter."""
    return factories.question(factories.attempt(people.student(), length=request.param))


@pytest.fixture
def client(db):
    """Wenna's browser."""
    return people.client_of(people.student())


def test_opening_a_question(asked, client):
    # 1 session, 2 user, 3 question with attempt, item and answer, 4 whether the person teaches,
    # 5 whether the person administers a school (both for the menu)
    with assert_query_count(5):
        client.get(address(asked))


def test_staff_open_a_student_s_answer(asked):
    factories.answered(asked)
    client = people.client_of(people.instructor())
    # 1 session, 2 user, 3 question with attempt, course, item and answer, 4 role in the course, 5 whether it is answered,
    # 6 whether the person teaches (for the menu), 7 the student's name, 8 data version and 9 teaching set (for what the
    # sources say)
    materia_medica()  # compiled if no test has done so
    with assert_query_count(9):
        client.get(address(asked))


def test_locking_a_choice(asked, client):
    # 1 session, 2 user, 3 question with attempt, item and answer, 4 savepoint, 5 insert the answer, 6 release
    with assert_query_count(6):
        client.post(address(asked, "choice"), {"choice": 1}, headers=HTMX)


def test_locking_a_choice_for_the_second_time(asked, client):
    factories.locked(asked)
    # 1 session, 2 user, 3 question with attempt, item and answer, 4 savepoint, 5 insert, refused by the constraint,
    # 6 rollback, 7 release, 8 read the answer that counts
    with assert_query_count(8):
        client.post(address(asked, "choice"), {"choice": 1}, headers=HTMX)


def test_giving_a_reason(asked, client):
    factories.locked(asked)
    finishes = asked.attempt.length == 1
    # 1 session, 2 user, 3 question with attempt, item and answer, 4 answer, 5 savepoint, 6 lock the attempt, 7 store reason
    # and mark, 8 count what is answered, 9 release, 10 answer as stored; for the last one also: finish the attempt;
    # at the end data version and teaching set (for what the sources say)
    materia_medica()  # compiled if no test has done so
    with assert_query_count(13 if finishes else 12):
        client.post(address(asked, "reason"), {"reason": 0}, headers=HTMX)


def test_giving_a_reason_for_the_second_time(asked, client):
    factories.answered(asked)
    # 1 session, 2 user, 3 question with attempt, item and answer, 4 answer, 5 data version, 6 teaching set
    with assert_query_count(6):
        client.post(address(asked, "reason"), {"reason": 0}, headers=HTMX)


def test_listing_the_drills(asked, client):
    client.get("/drills/")  # compiles the materia medica if no test has done so
    # 1 session, 2 user, 3 data version, 4 teaching set, 5 whether the person teaches, 6 whether the
    # person administers a school (both for the menu), 7 open attempts with counts, 8 finished ones with marks,
    # 9 forms that the person's courses offer
    with assert_query_count(9):
        client.get("/drills/")
