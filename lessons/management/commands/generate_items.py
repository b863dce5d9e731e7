"""Generate items and print them."""

import json
from collections.abc import Mapping
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.catalogue import EmptyMateriaMedicaError
from herbs.models import TeachingSet
from lessons.bank import question_maker
from lessons.engine import FAMILIES, Constraints, NoValidItemError, UnknownFamilyError

EXAMPLE = "example: python manage.py generate_items --family best-fit --count 3 --seed 7 --format text"


class Command(BaseCommand):
    """Item i has seed S+i, and equals ``--count 1 --seed S+i``."""

    help = f"Generate questions with proved keys. Families: {', '.join(sorted(FAMILIES))}.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """What to generate."""
        parser.add_argument("--family", default="best-fit", help="item family")
        parser.add_argument("--count", type=int, default=1, help="how many items")
        parser.add_argument("--seed", type=int, default=1, help="seed of the first item")
        parser.add_argument("--teaching-set", default=None, help="slug of a teaching set; the default one if absent")
        parser.add_argument("--action", default=None, help="only this action class")
        parser.add_argument("--site", default=None, help="only this body site")
        parser.add_argument("--format", choices=("jsonl", "text"), default="jsonl")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the items one by one, as they are made."""
        try:
            maker = question_maker(options["teaching_set"])
        except TeachingSet.DoesNotExist:
            known = (
                ", ".join(TeachingSet.objects.values_list("slug", flat=True)) or "none; run load_materia_medica first"
            )
            raise CommandError(f"There is no teaching set {options['teaching_set']!r}. Known: {known}.") from None
        except EmptyMateriaMedicaError as error:
            raise CommandError(str(error)) from None
        constraints = Constraints(options["action"], options["site"])
        for seed in range(options["seed"], options["seed"] + options["count"]):
            try:
                item = maker.make(options["family"], seed, constraints)
            except (NoValidItemError, UnknownFamilyError) as error:
                raise CommandError(str(error)) from None
            self.stdout.write(json.dumps(item, ensure_ascii=False) if options["format"] == "jsonl" else as_text(item))


def as_text(item: Mapping[str, Any]) -> str:
    """An item as a page of plain text, key and reasons included."""
    heading = f"Item {item['seed']} · {item['presentation']['asking']} · {item['presentation']['pattern_name']}"
    lines = [heading, "=" * len(heading)]
    lines += ["", item["vignette"], "", item["stem"]]
    for number, option in enumerate(item["options"]):
        key = "*" if number == item["key"] else " "
        why = f" ({option['fault']})" if option["fault"] else ""
        lines.append(f" {key} {number + 1}. {option['label']}, {option['latin']}: {option['verdict']}{why}")
    lines += ["", "Because, for the key:"]
    lines += [f"   {reason['status']:<14} {reason['text']}" for reason in item["because"]]
    return "\n".join([*lines, ""])
