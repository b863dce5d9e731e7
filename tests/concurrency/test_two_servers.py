"""Two separate gunicorns on one database serve one student's drill alternately, without a hitch."""

import http.client
import json
import os

import pytest

from quizzes.bench.databases import throwaway
from quizzes.bench.round_trip import HOST, server

from . import school

pytestmark = pytest.mark.concurrency


def get(port: int, path: str, session: str) -> tuple[int, str]:
    """Status and body of a page, as the student sees it."""
    connection = http.client.HTTPConnection(HOST, port, timeout=30)
    connection.request("GET", path, headers={"Cookie": f"sessionid={session}"})
    answer = connection.getresponse()
    body = answer.read().decode()
    connection.close()
    return answer.status, body


def test_one_drill_on_two_servers():
    with throwaway(os.environ.get("DATABASE_URL", "")) as address:
        session, code = school.prepare(address)[0]
        with server(address, workers=1) as first, server(address, workers=1) as second:
            for position in range(1, 21):
                here, there = (first.port, second.port) if position % 2 else (second.port, first.port)
                base = f"/drills/{code}/{position}/"
                assert school.post(here, f"{base}choice/", session, {"choice": str(position % 4)}) == 200
                status, page = get(there, base, session)
                assert status == 200 and "The choice is locked" in page
                assert school.post(there, f"{base}reason/", session, {"reason": "0"}) == 200
                status, page = get(here, base, session)
                assert status == 200 and "The reasoning" in page
            status, page = get(first.port, f"/drills/{code}/results/", session)
            assert status == 200 and "20 of 20" in page
        mine = [row for row in json.loads(school.inside(address, "counted.py")) if row[0] == code]
    assert len(mine) == 20 and all(score is not None for *_, score in mine)
