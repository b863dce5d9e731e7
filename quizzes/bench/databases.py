"""A database of its own for a measurement, thrown away afterwards."""

import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
from psycopg import sql


@contextmanager
def throwaway(named: str) -> Iterator[str]:
    """The address of an empty database: a new one on the server that ``named`` (postgres://...) points to, else a file."""
    if not named.startswith("postgres"):
        with tempfile.TemporaryDirectory() as folder:
            yield f"sqlite:///{Path(folder) / 'throwaway.sqlite3'}"
        return
    name = f"throwaway_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(named, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    try:
        yield f"{named.rsplit('/', 1)[0]}/{name}"
    finally:
        with psycopg.connect(named, autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))
