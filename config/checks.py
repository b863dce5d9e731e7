"""System checks with ids and hints."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Tags, Warning, register
from django.db import connections

PRAGMAS = {"journal_mode": "wal", "synchronous": 1}


@register(Tags.database)
def sqlite_waits_for_its_lock(databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    """counterpoise.W001: the pragmas that keep simultaneous answers from failing are really on."""
    found: list[CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        if connection.vendor != "sqlite" or connection.is_in_memory_db():  # type: ignore[attr-defined]
            continue
        with connection.cursor() as cursor:
            for pragma, wanted in PRAGMAS.items():
                value = cursor.execute(f"PRAGMA {pragma}").fetchone()[0]
                if value != wanted:
                    found.append(
                        Warning(
                            f"SQLite's {pragma} is {value!r}, not {wanted!r}.",
                            hint="Keep DATABASES['default']['OPTIONS']['init_command'] as config/settings.py has it.",
                            id="counterpoise.W001",
                        )
                    )
    return found
