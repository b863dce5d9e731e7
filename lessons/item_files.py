"""Files of items: JSON lines, frozen or opened, read one by one."""

import json
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path

from django.core.management.base import CommandError

from .engine import Item, opened


def read_items(name: str) -> Iterator[tuple[int, Item | None, str]]:
    """(line number, opened item or None, what is wrong with the line) for each line of a file; "-" is standard input.

    CommandError when there is no such file.
    """
    if name != "-" and not Path(name).is_file():
        raise CommandError(
            f"There is no file {name!r}. Make one with: python manage.py generate_items --count 100 > {name}"
        )
    with nullcontext(sys.stdin) if name == "-" else Path(name).open(encoding="utf-8", errors="replace") as lines:
        for number, line in enumerate(lines, 1):
            if not line.strip():
                continue
            try:
                yield number, opened(json.loads(line)), ""
            except (ValueError, KeyError, TypeError, IndexError, AttributeError):
                yield (
                    number,
                    None,
                    "This line is no item. Each line holds one item as JSON, as generate_items prints it.",
                )
