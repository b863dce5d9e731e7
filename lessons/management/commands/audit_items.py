"""Audit the writing of stored or printed items."""

import json
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from lessons.engine.audit import Flaw, audit_form, flaws
from lessons.engine.packing import Item, opened

EXAMPLE = "example: python manage.py generate_items --count 100 | python manage.py audit_items -"
PROGRESS = 1000  # lines between two words of progress


class Command(BaseCommand):
    """Every flaw with its line, family and guideline; a summary; exit status 1 when there is a flaw or an unreadable line."""

    help = f"Audit items, one JSON object a line, by the guidelines of Haladyna, Downing & Rodriguez (2002).\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """What to audit."""
        parser.add_argument("file", help='JSON lines of items, in either form; "-" reads the standard input')
        parser.add_argument("--form", action="store_true", help="audit the items, counted from 1, as one form too")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, audit and report line by line."""
        found: Counter[tuple[int, str]] = Counter()
        kept: list[tuple[int, Item]] = []
        items = flawed = unreadable = 0
        with _lines(options["file"]) as lines:
            for number, line in enumerate(lines, start=1):
                if number % PROGRESS == 0:
                    self.stderr.write(f"{number} lines read.")
                if not line.strip():
                    continue
                try:
                    item, broken = _audited(line)
                except UnreadableItemError as error:
                    unreadable += 1
                    self.stdout.write(f"Line {number}: {error}")
                    continue
                items += 1
                flawed += bool(broken)
                for flaw in broken:
                    self._tell(number, item, flaw, found)
                if options["form"]:
                    kept.append((number, item))
        for position, flaw in audit_form([item for _, item in kept]):
            self._tell(*kept[position], flaw, found)
        self._summarise(found, items)
        if found or unreadable:
            raise CommandError(_outcome(found.total(), flawed, items, unreadable))

    def _tell(self, number: int, item: Item, flaw: Flaw, found: Counter[tuple[int, str]]) -> None:
        found[flaw.guideline, flaw.name] += 1
        self.stdout.write(f"Line {number}, {item['family']}, guideline {flaw.guideline}: {flaw.sentence}")

    def _summarise(self, found: Counter[tuple[int, str]], items: int) -> None:
        self.stdout.write(f"{items} {'item' if items == 1 else 'items'} audited.")
        for (_, name), times in sorted(found.items()):
            self.stdout.write(f"{times:>6}  {name}")
        if items and not found:
            self.stdout.write("No guideline broken.")


class UnreadableItemError(Exception):
    """A line that holds no item."""


def _audited(line: str) -> tuple[Item, list[Flaw]]:
    """The item of a line, opened, and its flaws. UnreadableItemError tells what is wrong with the line."""
    try:
        stored = json.loads(line)
    except json.JSONDecodeError as error:
        raise UnreadableItemError(f"this is not JSON ({error.msg} at column {error.colno}).") from None
    if not isinstance(stored, dict):
        raise UnreadableItemError("an item is a JSON object, and this is not one.")
    missing = [name for name in ("family", "stem", "options", "because") if name not in stored]
    if missing:
        raise UnreadableItemError(f"the item has no {' and no '.join(missing)}.")
    try:
        item = opened(stored)
        return item, flaws(item)
    # A damaged item may fail anywhere in unpacking: whatever it was, the line is told and the next one is read.
    except Exception as error:
        raise UnreadableItemError(f"the item cannot be opened ({type(error).__name__}: {error}).") from None


@contextmanager
def _lines(name: str) -> Iterator[IO[str]]:
    """The lines of a file, or of the standard input for "-"."""
    if name == "-":
        yield sys.stdin
        return
    if not Path(name).is_file():
        raise CommandError(f"There is no file {name}.")
    # Bytes that are no text spoil their own line alone.
    with Path(name).open(encoding="utf-8", errors="replace") as file:
        yield file


def _outcome(total: int, flawed: int, items: int, unreadable: int) -> str:
    told = []
    if total:
        told.append(f"{total} {'flaw' if total == 1 else 'flaws'}; {flawed} of {items} items break a guideline alone.")
    if unreadable:
        told.append(f"{unreadable} {'line holds' if unreadable == 1 else 'lines hold'} no readable item.")
    return " ".join(told)
