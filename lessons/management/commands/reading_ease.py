"""Report how easily vignettes read."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from lessons.engine.reading import FamilyReading, report

EXAMPLE = (
    "example: python manage.py generate_items --count 500 > items.jsonl; python manage.py reading_ease items.jsonl"
)


class Command(BaseCommand):
    """Reads JSON lines of items, each with a vignette and a family."""

    help = f"Reading ease (Flesch 1948) and grade (Kincaid and others 1975) of vignettes, by family.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the items are."""
        parser.add_argument("file", type=Path, help="items as JSON lines")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the report."""
        families = report(_items(options["file"]))
        if not families:
            raise CommandError("The file holds no items with a vignette.")
        heads = ("ease", "5th", "95th", "grade", "5th", "95th", "words", "per sentence")
        self.stdout.write(f"{'family':<26}{'texts':>7}" + "".join(f"{head:>14}" for head in heads))
        for family in families:
            figures = (*family.ease, *family.grade, family.words, family.sentence_length)
            self.stdout.write(
                f"{family.family:<26}{family.texts:>7}" + "".join(f"{figure:>14.1f}" for figure in figures)
            )
        for family in families:
            self._hardest(family)

    def _hardest(self, family: FamilyReading) -> None:
        self.stdout.write(f"\nHardest of {family.family}:")
        for ease, text in family.hardest:
            self.stdout.write(f"  {ease:.1f}  {text}")


def _items(path: Path) -> Iterator[dict[str, Any]]:
    """Items line by line; those of families without a vignette are passed over."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise CommandError(f"{path} cannot be read: {error}") from None
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            item = json.loads(line)
            family, vignette = item["family"], item.get("vignette")
        except (ValueError, KeyError, TypeError, AttributeError):
            raise CommandError(f"Line {number} of {path} is not an item with a family.") from None
        if vignette:
            yield {"family": family, "vignette": vignette}
