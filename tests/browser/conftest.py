"""Real Chromium against a live server over a database file of its own. Run apart: ``pytest -m browser``."""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.cache import cache
from django.db import connection
from playwright.sync_api import BrowserContext, Page, expect

from herbs.models import Release
from herbs.services import load_materia_medica
from lessons.models import User
from tests import people

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PATIENCE = 5000  # milliseconds before a step that does not happen fails its test


@pytest.fixture(scope="session", autouse=True)
def database_beside_a_running_loop() -> None:
    """Let the tests use the database while the browser's event loop runs in this thread.

    Never unset: the test database is taken down after the browser.
    """
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A database in a file: the server's threads each have a connection of their own, as in production."""
    settings.DATABASES["default"].setdefault("TEST", {})["NAME"] = str(
        tmp_path_factory.mktemp("database") / "test.sqlite3"
    )


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """The system's own Chromium; without one the tests fail and say what to install."""
    path = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if path is None:
        pytest.fail(
            f"The browser tests need one of {', '.join(BROWSERS)} on the PATH. On Debian: apt-get install chromium",
            pytrace=False,
        )
    return {**browser_type_launch_args, "executable_path": path, "args": list(FLAGS)}


@pytest.fixture(scope="session")
def base_url(live_server: Any) -> str:
    """Addresses in the tests are relative to the live server."""
    return live_server.url


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """A wide window unless a test says otherwise, and nothing that moves by itself."""
    window = {"width": 1280, "height": 900}
    return {**browser_context_args, "locale": "en-GB", "viewport": window, "reduced_motion": "reduce"}


@pytest.fixture(scope="session")
def kept_copy() -> Iterator[sqlite3.Connection]:
    """A copy of an SQLite database as it is when everything has been loaded; empty until a test has loaded it."""
    with closing(sqlite3.connect(":memory:")) as copy:
        yield copy


@pytest.fixture(autouse=True)
def loaded(transactional_db: None, kept_copy: sqlite3.Connection) -> None:
    """The shipped materia medica. The test before has emptied every table, so it is loaded again, or copied back.

    Only the table of the shared cache is no model's and outlives a test: the counts of log-ins in it are taken back.
    """
    cache.clear()
    is_sqlite = connection.vendor == "sqlite"
    if is_sqlite and connection.is_in_memory_db():
        pytest.fail("Run the browser tests by themselves: pytest -m browser", pytrace=False)
    if Release.objects.exists():
        return
    if kept_copy.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
        kept_copy.backup(connection.connection)
        return
    load_materia_medica(folder=Path(settings.MATERIA_MEDICA_DIR))
    if is_sqlite:
        connection.connection.backup(kept_copy)


@pytest.fixture
def context(loaded: None, context: BrowserContext) -> BrowserContext:
    """A browser profile, closed before the tables are emptied."""
    context.set_default_timeout(PATIENCE)
    expect.set_options(timeout=PATIENCE)
    return context


@pytest.fixture(autouse=True)
def complaints(context: BrowserContext) -> Iterator[list[str]]:
    """Everything that a browser console says in red, blocked code and failed loads included; the test fails for any.

    A test that expects some removes it from the list.
    """
    found: list[str] = []

    def hear(message: Any) -> None:
        if message.type == "error":
            found.append(f"{message.location.get('url', '')}: {message.text}")

    context.on("console", hear)
    context.on("weberror", lambda error: found.append(f"uncaught: {error.error}"))
    context.on(
        "response",
        lambda response: found.append(f"{response.status} {response.url}") if response.status >= 400 else None,
    )
    yield found
    assert not found, "\n".join(found)


def sign_in(context: BrowserContext, user: User) -> None:
    """Put the session of a person into the browser."""
    cookie = people.client_of(user).cookies[settings.SESSION_COOKIE_NAME]
    context.add_cookies(
        [{"name": cookie.key, "value": cookie.value, "domain": "localhost", "path": "/", "httpOnly": True}]
    )


@pytest.fixture
def student_page(context: BrowserContext) -> Page:
    """A tab in which Wenna is logged in."""
    sign_in(context, people.student())
    return context.new_page()


@pytest.fixture
def owner_page(context: BrowserContext) -> Page:
    """A tab in which the owner of the course is logged in."""
    sign_in(context, people.owner())
    return context.new_page()
