"""Thirty students answer twenty questions each at once, through gunicorn: nothing is lost, doubled or locked."""

import json
import os
import threading

import pytest

from quizzes.bench.databases import throwaway
from quizzes.bench.round_trip import server

from . import school

pytestmark = pytest.mark.concurrency


@pytest.fixture
def database_url():
    """A database of its own, of the kind that DATABASE_URL names: a file, or a new PostgreSQL database."""
    with throwaway(os.environ.get("DATABASE_URL", "")) as address:
        yield address


def recorded(url: str) -> list[list]:
    return json.loads(school.inside(url, "counted.py"))


def check_learned(url: str) -> None:
    """Every marked answer taught its student once, and the cohort's sums are those of its students."""
    learned = json.loads(school.inside(url, "learned.py"))
    assert learned["students"]
    assert all(answers == marked for answers, marked in learned["students"])
    assert learned["sums"] == learned["own"]


def test_rows_are_the_answers_sent(database_url):
    clients = school.prepare(database_url)
    with server(database_url, workers=3) as running:
        told = school.answer_all(running.port, clients)
    assert not told.errors
    rows = recorded(database_url)
    assert len(rows) == 30 * 20 == len({(code, position) for code, position, *_ in rows})
    assert {(code, position): choice for code, position, choice, *_ in rows} == told.choices
    assert all(reason is not None and score is not None for *_, reason, score in rows)
    check_learned(database_url)


def test_what_was_acknowledged_survives_a_killed_worker(database_url):
    clients = school.prepare(database_url)
    half = threading.Event()
    with server(database_url, workers=3) as running:
        killer = threading.Thread(target=lambda: (half.wait(120), school.kill_a_worker(running.pid)))
        killer.start()
        told = school.answer_all(running.port, clients, half)
        killer.join()
    assert half.is_set()
    assert not told.errors
    rows = recorded(database_url)
    kept = {(code, position): (choice, reason) for code, position, choice, reason, _ in rows}
    assert len(kept) == len(rows), "An answer was recorded twice."
    assert {place: choice for place, (choice, _) in kept.items()} == told.choices
    assert all(kept[place][1] is not None for place in told.reasons)
    check_learned(database_url)
