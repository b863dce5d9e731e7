"""Generate items and print them."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.catalogue import EmptyMateriaMedicaError
from herbs.models import TeachingSet
from lessons.bank import QuestionMaker, question_maker
from lessons.engine import FAMILIES, Constraints, Item, NoValidItemError, UnknownFamilyError, family_of, frozen
from lessons.services import freeze_items

ALL = "all"
PROGRESS = 1000  # items between two lines of progress
FAMILY_HELP = f"item family: {', '.join(FAMILIES)}, or {ALL}"
EXAMPLE = "example: python manage.py generate_items --family best-fit --count 3 --seed 7 --format text"


class Command(BaseCommand):
    """Item i has seed S+i, and equals ``--count 1 --seed S+i``."""

    help = f"Generate questions with proved keys. Families: {', '.join(FAMILIES)}.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """What to generate."""
        parser.add_argument("--family", default="best-fit", help=FAMILY_HELP)
        parser.add_argument("--count", type=int, default=1, help="how many items of each family")
        parser.add_argument("--seed", type=int, default=1, help="seed of the first item")
        parser.add_argument("--teaching-set", default=None, help="slug of a teaching set; the default one if absent")
        parser.add_argument("--action", default=None, help="only this action class")
        parser.add_argument("--site", default=None, help="only this body site")
        parser.add_argument("--format", choices=("jsonl", "text"), default="jsonl")
        parser.add_argument("--opened", action="store_true", help="print items opened, with all texts, not frozen")
        parser.add_argument("--bank", action="store_true", help="store the items in the item bank as drafts")

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
        families = list(FAMILIES) if options["family"] == ALL else [options["family"]]
        constraints = Constraints(options["action"], options["site"])
        for family in families:
            try:
                for made, item in enumerate(self.items(maker, family, constraints, options), 1):
                    if options["bank"]:
                        freeze_items(contents=[item], review="draft")
                    self.stdout.write(printed(item, options))
                    if made % PROGRESS == 0:
                        self.stderr.write(f"{family}: {made} of {options['count']}")
            except (NoValidItemError, UnknownFamilyError) as error:
                raise CommandError(str(error)) from None

    def items(
        self, maker: QuestionMaker, family: str, constraints: Constraints, options: Mapping[str, Any]
    ) -> Iterator[Item]:
        """Items of one family; a finite one ends when every case was made."""
        first, count = options["seed"], options["count"]
        if not family_of(family).FINITE:
            for seed in range(first, first + count):
                yield maker.make(family, seed, constraints)
            return
        met: set[str] = set()
        cases = len(maker.cases(family, constraints))
        if not cases:
            raise NoValidItemError(f"There is no {family} question within these limits. Choose another class, or any.")
        for seed in range(first, first + cases):
            if len(met) == count:
                return
            item = maker.make(family, seed, constraints)
            # A case that cannot be written gives way to the next, which has a seed of its own.
            about = json.dumps(
                [item["subject"], [option.get("part", "") for option in item["options"]]], sort_keys=True
            )
            if about not in met:
                met.add(about)
                yield item
        if count > len(met):
            self.stderr.write(f"{family}: exhausted at {len(met)}")


def printed(item: Item, options: Mapping[str, Any]) -> str:
    """An item as one line of JSON, frozen unless asked opened, or as text."""
    if options["format"] == "text":
        return as_text(item)
    return json.dumps(item if options["opened"] else frozen(item), ensure_ascii=False, separators=(",", ":"))


def as_text(item: Mapping[str, Any]) -> str:
    """An item as a page of plain text, key and reasons included."""
    told = item["presentation"]
    about = f" · {told['asking']} · {told['pattern_name']}" if told else ""
    heading = f"{item['family']} {item['seed']}{about}"
    lines = [heading, "=" * len(heading), ""]
    lines += [item["vignette"], ""] if item["vignette"] else []
    lines.append(item["stem"])
    for number, option in enumerate(item["options"]):
        key = "*" if item["response"] == "choose" and number == item["key"] else " "
        why = f" ({option['fault']})" if option.get("fault") else ""
        told_of = ", ".join(part for part in (option.get("latin"), option.get("verdict")) if part)
        lines.append(f" {key} {number + 1}. {option['label']}{f': {told_of}' if told_of else ''}{why}")
    if item.get("kinds"):
        lines.append(f"   Kinds: {'; '.join(item['kinds'])}")
    if item["response"] != "choose":
        lines.append(f"   Key: {json.dumps(item['key'])}")
    reasons = item["because"][item["key"] if len(item["because"]) > 1 else 0]
    lines += ["", "Because, for the key:" if len(item["because"]) > 1 else "Because:"]
    lines += [f"   {reason['status']:<14} {reason['text']}" for reason in reasons]
    return "\n".join([*lines, ""])
