"""Print the compiled profiles of a teaching set."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.catalogue import EmptyMateriaMedicaError, materia_medica
from herbs.export import profiles
from herbs.models import TeachingSet

EXAMPLE = "example: python manage.py export_profiles --format json > profiles.json"


class Command(BaseCommand):
    """Profiles as JSON: everything the fit of a part is computed from."""

    help = f"Export the compiled profiles of a teaching set.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """Which set, which format."""
        parser.add_argument("--format", choices=("json",), default="json")
        parser.add_argument("--teaching-set", default=None, help="slug of a teaching set; the default one if absent")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print one JSON object."""
        try:
            medica = materia_medica(options["teaching_set"])
        except TeachingSet.DoesNotExist:
            raise CommandError(f"There is no teaching set {options['teaching_set']!r}.") from None
        except EmptyMateriaMedicaError as error:
            raise CommandError(str(error)) from None
        self.stdout.write(json.dumps(profiles(medica.catalogue), ensure_ascii=False))
