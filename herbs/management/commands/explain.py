"""Explain the fit of a part for a presentation, in plain text."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.catalogue import EmptyMateriaMedicaError, materia_medica
from herbs.engine import EnergeticsError
from herbs.explain import explain, read_presentation
from herbs.models import TeachingSet

SAMPLE = '{"site": "respiratory", "action": "expectorant", "pattern": {"moisture": {"degree": -2}}}'
EXAMPLE = f"example: python manage.py explain althaea-officinalis-root --presentation '{SAMPLE}'"


class Command(BaseCommand):
    """A fit with its parts: each axis, affinity, action, the sum, the verdict and how far it can move."""

    help = f"Explain how a part fits a presentation.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """The part, and the presentation as JSON."""
        parser.add_argument("part", help="slug of a part, such as inula-helenium-root")
        parser.add_argument("--presentation", required=True, help=f"JSON such as {SAMPLE}".replace("%", "%%"))
        parser.add_argument("--teaching-set", default=None)

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the explanation."""
        try:
            wanted = json.loads(options["presentation"])
        except json.JSONDecodeError as error:
            raise CommandError(f"The presentation is not valid JSON ({error}). It looks like {SAMPLE}") from None
        try:
            catalogue = materia_medica(options["teaching_set"]).catalogue
            self.stdout.write(explain(catalogue, options["part"], read_presentation(wanted)))
        except TeachingSet.DoesNotExist:
            raise CommandError(f"There is no teaching set {options['teaching_set']!r}.") from None
        except (EnergeticsError, EmptyMateriaMedicaError) as error:
            raise CommandError(str(error)) from None
