"""Check the proofs of items again, from each item alone."""

from collections import Counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from lessons.engine import recheck
from lessons.item_files import read_items

PROGRESS = 5000  # items between two lines of progress


class Command(BaseCommand):
    """Needs no materia medica: an item's certificate holds the figures its key rests on."""

    help = (
        "Re-check the keys of items from their certificates alone.\nexample: python manage.py check_items items.jsonl"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Which file."""
        parser.add_argument("file", help='JSON lines of items, frozen or opened; "-" for standard input')

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what does not hold, then a summary; fails when anything does not."""
        looked: Counter[str] = Counter()
        wrong = 0
        for number, item, fault in read_items(options["file"]):
            if item is None:
                wrong += 1
                self.stdout.write(f"line {number}: {fault}")
                continue
            looked[item["family"]] += 1
            found = recheck(item)
            wrong += bool(found)
            for sentence in found:
                self.stdout.write(f"line {number}: {item['family']}: {sentence}")
            if sum(looked.values()) % PROGRESS == 0:
                self.stderr.write(f"{sum(looked.values())} items checked")
        for family, count in looked.items():
            self.stdout.write(f"{family}: {count} checked")
        if wrong:
            raise CommandError(f"{wrong} of {sum(looked.values())} items do not hold.")
        self.stdout.write("Every key is proved by its certificate.")
