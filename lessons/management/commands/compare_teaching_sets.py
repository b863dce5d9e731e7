"""Print what changes when another teaching set decides."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.catalogue import EmptyMateriaMedicaError
from herbs.engine import moved
from herbs.models import TeachingSet
from lessons.bank import question_maker
from lessons.engine import contrast

EXAMPLE = "example: python manage.py compare_teaching_sets contemporary-western after-culpeper"


class Command(BaseCommand):
    """Profiles that move, and for each action class the share of presentations turned contested."""

    help = f"Compare two teaching sets: profiles that move, verdicts that flip, what becomes contested.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """The two sets."""
        parser.add_argument("first", help="slug of a teaching set")
        parser.add_argument("second", help="slug of another")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print a line for each class, and the whole."""
        try:
            before, after = question_maker(options["first"]), question_maker(options["second"])
        except TeachingSet.DoesNotExist:
            known = (
                ", ".join(TeachingSet.objects.values_list("slug", flat=True)) or "none; run load_materia_medica first"
            )
            raise CommandError(f"There is no such teaching set. Known: {known}.") from None
        except EmptyMateriaMedicaError as error:
            raise CommandError(str(error)) from None
        moves = moved(before.materia_medica.catalogue, after.materia_medica.catalogue)
        signs = sum(move.changes_sign for move in moves)
        self.stdout.write(f"{len(moves)} working values or ranges move; {signs} change sides of temperate.")
        provable = contested = 0
        for term in before.materia_medica.class_actions:
            found = contrast(before.prover, after.prover, before.scenery, [term.slug])
            provable += found.provable_before
            contested += len(found.contested)
            self.stdout.write(
                f"  {term.plural:<24} {len(found.contested):>3} of {found.provable_before:>3} provable presentations turn "
                f"contested; {len(found.flips):>3} verdicts flip"
            )
        share = 100 * contested / provable if provable else 0.0
        self.stdout.write(f"Turned contested in all: {contested} of {provable}, {share:.1f} %.")
