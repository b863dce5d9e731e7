"""One student's practice on several devices at once: every question comes once, and every answer teaches once."""

import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from quizzes.bench.databases import throwaway
from quizzes.bench.round_trip import server

from . import school

pytestmark = pytest.mark.concurrency
DEVICES, QUESTIONS = 6, 5
PATTERN = {"temperature": "1", "moisture": "0", "tone": "0", "movement": "0"}
# An answer to whatever is asked: one choice, an order, a matching, a place.
ANSWER = {
    "choice": "1", "option-0": "1", "option-1": "2", "option-2": "3", "option-3": "0", "temperature": "1", "moisture": "1",
}  # fmt: skip
ORDER = {"choice": "1", "option-0": "1", "option-1": "2", "option-2": "3", "option-3": "4"}


def test_every_question_comes_once_and_teaches_once():
    with throwaway(os.environ.get("DATABASE_URL", "")) as address:
        migrate = [sys.executable, "manage.py", "migrate", "-v0"]
        subprocess.run(migrate, env={**os.environ, "DATABASE_URL": address}, cwd=school.ROOT, check=True, timeout=120)
        session, code = json.loads(school.inside(address, "practice.py"))
        with server(address, workers=3) as running, ThreadPoolExecutor(DEVICES) as devices:

            def everywhere(path: str, fields: dict[str, str]) -> None:
                sent = [devices.submit(school.post, running.port, path, session, fields) for _ in range(DEVICES)]
                assert {one.result() for one in sent} == {200}

            for position in range(1, QUESTIONS + 1):
                base = f"/drills/{code}/{position}/"
                everywhere(f"{base}reading/", PATTERN)
                everywhere(f"{base}choice/", ANSWER)
                everywhere(f"{base}choice/", ORDER)  # an order counts from 1; for all else the first answer stands
                everywhere(f"{base}reason/", {"reason": "1"})
                everywhere(f"/drills/practice/{code}/next/", {"position": str(position + 1)})
        positions, length, marked, learned = json.loads(school.inside(address, "practised.py"))
    assert positions == list(range(1, QUESTIONS + 2))
    assert (length, marked, learned) == (QUESTIONS + 1, QUESTIONS, QUESTIONS)
