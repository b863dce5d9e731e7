"""Which stored items no longer hold with the data as they are now."""

from collections import Counter
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from herbs.models import TeachingSet
from lessons.bank import QuestionMaker, question_maker
from lessons.engine.impact import impact
from lessons.items import REVISED, retire_for_data
from lessons.models import Item

BATCH = 500
PROGRESS = 2000  # items between two lines of progress


class Command(BaseCommand):
    """Re-checks certificates with today's figures; nothing is generated again."""

    help = (
        "Tell which stored items' proofs no longer hold after a change of data.\n"
        "example: python manage.py data_impact --retire"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """What to look at, and what to do about it."""
        parser.add_argument("--all", action="store_true", help="also items made for single drills, and retired ones")
        parser.add_argument(
            "--retire", action="store_true", help=f"retire drafts and approved items that fail: {REVISED!r}"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print each item that fails with the reason, then counts."""
        items = Item.objects.all() if options["all"] else Item.objects.filter(review__in=["draft", "approved"])
        makers: dict[str, QuestionMaker | None] = {}
        counts: Counter[str] = Counter()
        retired = 0
        for number, item in enumerate(items.order_by("pk").iterator(chunk_size=BATCH), 1):
            if item.teaching_set not in makers:
                makers[item.teaching_set] = _maker(item.teaching_set)
            maker = makers[item.teaching_set]
            if maker is None:
                counts["without its teaching set"] += 1
                continue
            found = impact(item.opened, maker.workshop)
            counts[found.status] += 1
            if not found.holds:
                self.stdout.write(f"{item.code} ({item.family}, {item.review}): {' '.join(found.why)}")
                retired += bool(options["retire"] and retire_for_data(item=item))
            if number % PROGRESS == 0:
                self.stderr.write(f"{number} items looked at")
        names = {
            "holds": "unchanged",
            "moved": "hold with other figures",
            "fails": "no longer hold",
            "gone": "lost a part",
        }
        self.stdout.write(
            "; ".join(f"{count} {names.get(name, name)}" for name, count in sorted(counts.items())) or "No items."
        )
        if options["retire"]:
            self.stdout.write(f"{retired} retired.")


def _maker(teaching_set: str) -> QuestionMaker | None:
    return question_maker(teaching_set) if TeachingSet.objects.filter(slug=teaching_set).exists() else None
