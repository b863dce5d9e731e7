"""Count the claims, or list those on one basis."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.claims_summary import listed, summary
from herbs.models import Basis, Claim

EXAMPLE = "example: python manage.py claims --summary; python manage.py claims --basis memory"


class Command(BaseCommand):
    """What the materia medica rests on."""

    help = f"Count what is claimed by source and basis, or list every claim on one basis.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """One of the two."""
        group = parser.add_mutually_exclusive_group(required=True)
        group.add_argument("--summary", action="store_true", help="counts by basis, predicate, tradition and source")
        group.add_argument("--basis", choices=Basis.values, help="list the claims on this basis")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print."""
        if not Claim.objects.exists():
            raise CommandError("The materia medica is empty. Run: python manage.py load_materia_medica")
        if options["basis"]:
            for line in listed(options["basis"]):
                self.stdout.write(line)
            return
        self._summary()

    def _summary(self) -> None:
        found = summary()
        self.stdout.write(f"{found.herbs} species, {found.parts} parts, {found.claims} claims.")
        share = 100 / max(found.energetic, 1)
        self.stdout.write(
            f"Energetic claims (degree, action, affinity, state, taste): {found.energetic}; from published sources "
            f"{found.energetic_published} ({found.energetic_published * share:.1f} %), of these read in a table "
            f"{found.energetic_read} ({found.energetic_read * share:.1f} %), the rest cited from memory."
        )
        self.stdout.write(
            f"Parts with an energetic claim from a published source: {found.parts_published}; with one read in a table: "
            f"{found.parts_read}."
        )
        for title, counts in (
            ("By basis", found.by_basis),
            ("By predicate", found.by_predicate),
            ("By tradition", found.by_tradition),
            ("By source", found.by_source),
        ):
            self.stdout.write(f"{title}:")
            for name, count in counts.most_common():
                self.stdout.write(f"  {count:>6}  {name}")
