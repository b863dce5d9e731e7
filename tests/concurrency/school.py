"""A school of thirty in a database of its own, answered through gunicorn over loopback."""

import http.client
import json
import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from quizzes.bench.round_trip import HOST, TOKEN

ROOT = Path(__file__).parents[2]
PATIENCE = 60.0


@dataclass
class Told:
    """What the server acknowledged: (drill code, position) -> choice, and which of them also the reason; and any error."""

    choices: dict[tuple[str, int], int] = field(default_factory=dict)
    reasons: set[tuple[str, int]] = field(default_factory=set)
    errors: list[str] = field(default_factory=list)


def inside(database_url: str, script: str) -> str:
    """Run a script of this folder in manage.py shell on a database; its last line of output."""
    done = subprocess.run(
        [sys.executable, "manage.py", "shell", "-v0"],
        input=(Path(__file__).parent / script).read_text(),
        env={**os.environ, "DATABASE_URL": database_url},
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.strip().splitlines()[-1]


def prepare(database_url: str) -> list[list[str]]:
    """Migrate and make the school: [session, drill code] of each student."""
    migrate = [sys.executable, "manage.py", "migrate", "-v0"]
    subprocess.run(migrate, env={**os.environ, "DATABASE_URL": database_url}, cwd=ROOT, check=True, timeout=120)
    return json.loads(inside(database_url, "prepare.py"))


def post(port: int, path: str, session: str, fields: dict[str, str]) -> int:
    """Status of one htmx post; sent again after a broken connection, as a student would press the button again."""
    headers = {
        "Cookie": f"sessionid={session}; csrftoken={TOKEN}",
        "X-CSRFToken": TOKEN,
        "HX-Request": "true",
        "Content-Type": "application/x-www-form-urlencoded",
    }
    deadline = time.monotonic() + PATIENCE
    while True:
        connection = http.client.HTTPConnection(HOST, port, timeout=30)
        try:
            connection.request("POST", path, urlencode(fields), headers)
            answer = connection.getresponse()
            answer.read()
            return answer.status
        except (OSError, http.client.HTTPException):
            if time.monotonic() > deadline:
                raise
            time.sleep(0.05)
        finally:
            connection.close()


def answer_all(port: int, clients: list[list[str]], after_half: threading.Event | None = None) -> Told:
    """Everybody answers every question at once; ``after_half`` is set when half of the answers are in."""
    told, lock = Told(), threading.Lock()
    total = len(clients) * 20

    def work(number: int, session: str, code: str) -> None:
        for position in range(1, 21):
            choice = (number + position) % 4
            base = f"/drills/{code}/{position}/"
            try:
                first = post(port, f"{base}choice/", session, {"choice": str(choice)})
                second = post(port, f"{base}reason/", session, {"reason": str(position % 3)})
            except (OSError, http.client.HTTPException) as error:
                told.errors.append(f"{base}: {error}")
                continue
            with lock:
                if first == 200:
                    told.choices[(code, position)] = choice
                if second == 200:
                    told.reasons.add((code, position))
                if (first, second) != (200, 200):
                    told.errors.append(f"{base}: {first} {second}")
                if after_half and len(told.choices) * 2 > total:
                    after_half.set()

    threads = [threading.Thread(target=work, args=(n, *client)) for n, client in enumerate(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return told


def kill_a_worker(parent: int) -> None:
    """Kill -9 one of gunicorn's workers: a child of the process that the server began as.

    Told apart by number alone: what ps prints of a command may be cut short to the width of a terminal.
    """
    listed = subprocess.run(["ps", "-e", "-o", "pid=,ppid="], capture_output=True, text=True, check=True).stdout
    rows = [tuple(map(int, line.split())) for line in listed.splitlines()]
    workers = [pid for pid, ppid in rows if ppid == parent]
    assert workers, f"Process {parent} has no workers."
    os.kill(workers[0], signal.SIGKILL)
