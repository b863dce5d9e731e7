"""The answer round trip against the floor, through gunicorn over loopback, clients in processes of their own."""

import http.client
import multiprocessing
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

import numpy as np

HOST = "127.0.0.1"
TOKEN = "b" * 32  # a CSRF token is compared with itself: any text of the right length serves
WARM = 12


@dataclass(frozen=True)
class Client:
    """A signed-in client: its session and the questions it will answer (drill code, position)."""

    session: str
    questions: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Times:
    """Seconds of each request."""

    floor: tuple[float, ...]
    choice: tuple[float, ...]
    reason: tuple[float, ...]

    def ratio(self, percent: float) -> float:
        """Answer (choice and reason together) over floor at a percentile."""
        return float(np.percentile(self.choice + self.reason, percent) / np.percentile(self.floor, percent))


@dataclass(frozen=True)
class Server:
    """A running gunicorn: the port it listens on and the process whose children its workers are."""

    port: int
    pid: int


@contextmanager
def server(database_url: str, workers: int) -> Iterator[Server]:
    """A gunicorn of sync workers on a free port."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port: int = probe.getsockname()[1]
    environment = {**os.environ, "DATABASE_URL": database_url, "PYTHONWARNINGS": "ignore"}
    command = [
        sys.executable,
        "-m",
        "gunicorn",
        "-w",
        str(workers),
        "-b",
        f"{HOST}:{port}",
        "--log-level",
        "error",
        "quizzes.bench.wsgi",
    ]
    process = subprocess.Popen(command, env=environment, cwd=Path(__file__).parents[2])  # noqa: S603  (our own command)
    try:
        for _ in range(100):
            with socket.socket() as probe:
                if probe.connect_ex((HOST, port)) == 0:
                    break
            time.sleep(0.1)
        else:
            raise RuntimeError("The bench's server did not start within ten seconds.")
        yield Server(port, process.pid)
    finally:
        process.terminate()
        process.wait(timeout=20)


def post(port: int, path: str, session: str, fields: dict[str, str]) -> float:
    """Seconds of one htmx post; anything but 200 is an error."""
    headers = {
        "Cookie": f"sessionid={session}; csrftoken={TOKEN}",
        "X-CSRFToken": TOKEN,
        "HX-Request": "true",
        "Content-Type": "application/x-www-form-urlencoded",
    }
    start = time.perf_counter()
    connection = http.client.HTTPConnection(HOST, port, timeout=30)
    connection.request("POST", path, urlencode(fields), headers)
    answer = connection.getresponse()
    body = answer.read()
    spent = time.perf_counter() - start
    connection.close()
    if answer.status != 200 or not body:
        raise RuntimeError(f"{path} answered {answer.status}.")
    return spent


def work(port: int, client: Client, out: "multiprocessing.SimpleQueue[Times]") -> None:
    """One client: floor, choice and reason in turn, so that all three see the same moments of the machine."""
    floor, choice, reason = [], [], []
    for number, (code, position) in enumerate(client.questions):
        base = f"/drills/{code}/{position}/"
        spent = (
            post(port, "/floor/", client.session, {"x": "1"}),
            post(port, f"{base}choice/", client.session, {"choice": str(number % 4)}),
            post(port, f"{base}reason/", client.session, {"reason": "0"}),
        )
        if number >= WARM:
            floor.append(spent[0])
            choice.append(spent[1])
            reason.append(spent[2])
    out.put(Times(tuple(floor), tuple(choice), tuple(reason)))


def measure(port: int, clients: list[Client]) -> Times:
    """All clients at once."""
    out: multiprocessing.SimpleQueue[Times] = multiprocessing.SimpleQueue()
    processes = [multiprocessing.Process(target=work, args=(port, client, out)) for client in clients]
    for process in processes:
        process.start()
    found = [out.get() for _ in processes]
    for process in processes:
        process.join()
    return Times(
        tuple(t for times in found for t in times.floor),
        tuple(t for times in found for t in times.choice),
        tuple(t for times in found for t in times.reason),
    )
