"""Check the proofs of items again, from each item alone."""

from collections import Counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from lessons.engine import Item, recheck
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
        wrong = unread = 0
        for number, item, fault in read_items(options["file"]):
            if item is None:
                unread += 1
                self.stdout.write(f"line {number}: {fault}")
                continue
            found = _objections(item)
            looked[str(item.get("family"))] += 1
            wrong += bool(found)
            for sentence in found:
                self.stdout.write(f"line {number}: {item.get('family')}: {sentence}")
            if sum(looked.values()) % PROGRESS == 0:
                self.stderr.write(f"{sum(looked.values())} items checked")
        for family, count in looked.items():
            self.stdout.write(f"{family}: {count} checked")
        lines = f" {unread} lines are no items." if unread else ""
        if wrong or unread:
            raise CommandError(f"{wrong} of {sum(looked.values())} items do not hold.{lines}")
        if not looked:
            raise CommandError("There is no item in it. Make some with: python manage.py generate_items --count 100")
        self.stdout.write("Every key is proved by its certificate.")


def _objections(item: Item) -> list[str]:
    """What of an item does not hold; a damaged one may fail anywhere, and whatever it was, the line is told."""
    try:
        return recheck(item)
    except Exception as error:
        return [f"It is damaged and cannot be checked ({type(error).__name__}: {error})."]
