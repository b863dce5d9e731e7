"""Answering costs few queries, and always the same ones. The list of what they are stands above each number."""

import pytest
from django.db import connection

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
    # 1 session, 2 user, 3 question with attempt, item, reading and answer, 4 note when it was first shown, 5 whether the
    # person teaches, 6 whether the person administers a school (both for the menu)
    with assert_query_count(6):
        client.get(address(asked))
    # The second time it was shown before.
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
    # Where rows are locked one by one, the person first: an erasure waits for the answer, or the answer for the erasure.
    with assert_query_count(6 + connection.features.has_select_for_update):
        client.post(address(asked, "choice"), {"choice": 1}, headers=HTMX)


def test_locking_a_choice_for_the_second_time(asked, client):
    factories.locked(asked)
    # 1 session, 2 user, 3 question with attempt, item and answer, 4 savepoint, 5 insert, refused by the constraint,
    # 6 rollback, 7 release, 8 read the answer that counts
    with assert_query_count(8 + connection.features.has_select_for_update):
        client.post(address(asked, "choice"), {"choice": 1}, headers=HTMX)


def test_giving_a_reason(asked, client):
    factories.locked(asked)
    finishes = asked.attempt.length == 1
    earlier = factories.question(factories.attempt(people.student(), length=1))
    factories.answered(earlier)  # so that student and cohort have their rows
    decisive = factories.reason_of(asked, factories.key_of(asked))
    # 1 session, 2 user, 3 question with attempt, item, reading and answer, 4 savepoint, 5 what is known of the student,
    # locked, 6 store reason and mark, 7 the cohort's sums, 8 what is known now, 9 memories, 10 one more or one moved on,
    # 11 add to the cohort's sums, 12 count what is answered, 13 release; for the last question also: finish the attempt; at
    # the end data version and teaching set (for what the sources say); where rows are locked one by one, the person and the
    # sums first
    materia_medica()  # compiled if no test has done so
    with assert_query_count(15 + finishes + 2 * connection.features.has_select_for_update):
        client.post(address(asked, "reason"), {"reason": decisive}, headers=HTMX)


def test_giving_a_reason_for_the_second_time(asked, client):
    factories.answered(asked)
    # 1 session, 2 user, 3 question with attempt, item, reading and answer, 4 data version, 5 teaching set
    with assert_query_count(5):
        client.post(address(asked, "reason"), {"reason": 0}, headers=HTMX)


def test_listing_the_drills(asked, client):
    client.get("/drills/")  # compiles the materia medica if no test has done so
    # 1 session, 2 user, 3 data version, 4 teaching set, 5 whether the person teaches, 6 whether the
    # person administers a school (both for the menu), 7 open attempts with counts, 8 finished ones with marks,
    # 9 forms that the person's courses offer
    with assert_query_count(9):
        client.get("/drills/")
