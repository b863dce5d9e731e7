"""Load the materia medica from its files."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.loading import FaultsError, read_files
from herbs.services import load_materia_medica

EXAMPLE = "example: python manage.py load_materia_medica --check herbs/data"


class Command(BaseCommand):
    """All or nothing: every fault is listed with file and line, and a faulty file changes nothing."""

    help = f"Validate and load the materia medica. Loading the same files again changes nothing.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """The folder, and --check."""
        parser.add_argument(
            "path",
            nargs="?",
            default=str(settings.MATERIA_MEDICA_DIR),
            help="a data folder with vocabulary/ and herbs/",
        )
        parser.add_argument("--check", action="store_true", help="only validate; change nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Load, or say what is wrong."""
        folder = Path(options["path"])
        try:
            if options["check"]:
                bundle = read_files(folder, self._tell)
                parts = sum(len(herb["parts"]) for herb in bundle.herbs)
                self.stdout.write(f"No faults: {len(bundle.herbs)} herbs, {parts} parts. Nothing was changed.")
                return
            loaded = load_materia_medica(folder=folder, tell=self._tell)
        except FaultsError as error:
            lines = "\n".join(f"  {fault}" for fault in error.faults)
            raise CommandError(f"{len(error.faults)} faults; nothing was changed.\n{lines}") from None
        if loaded.changed:
            self.stdout.write(
                f"Loaded data version {loaded.data_version}: {loaded.written} herbs written, {loaded.removed} removed."
            )
            if loaded.kept:
                self.stdout.write(f"Left as people changed them here: {', '.join(loaded.kept)}.")
        else:
            self.stdout.write(f"Nothing to do: data version {loaded.data_version} is already loaded.")

    def _tell(self, done: int, of: int) -> None:
        if self.stderr.isatty():
            self.stderr.write(f"\r  reading herbs {done} of {of}", ending="\n" if done == of else "")
