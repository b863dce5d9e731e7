"""Prove the learner model on invented students whose abilities, confusions, memories and learning are known."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from quizzes.engine.learner.simulation_plot import plot
from quizzes.engine.learner.simulation_report import figures, study, table

LEAST = {
    "students": 12,
    "answers": 20,
    "pool": 1000,
}  # fewer would leave a part of the simulation without anything to do


class Command(BaseCommand):
    """Simulated practice with the functions that serve real students; fails when a target is missed."""

    help = (
        "Simulate students in practice and judge what the learner model finds out.\n"
        "example: python manage.py simulate_students --students 500 --answers 300 --plot students.svg"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """How many of what."""
        parser.add_argument("--students", type=int, default=500)
        parser.add_argument("--answers", type=int, default=300, help="answers of each student")
        parser.add_argument("--pool", type=int, default=4000, help="items in the invented pool")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--plot", type=Path, help="write a picture (SVG) to this file")

    def handle(self, *args: Any, **options: Any) -> None:
        """Simulate, print the table, write the picture."""
        for name, least in LEAST.items():
            if options[name] < least:
                raise CommandError(f"--{name} must be {least} or more.")
        if options["pool"] < 4 * options["answers"]:
            raise CommandError("--pool must be four times --answers or more, or students run out of items.")
        found = study(
            students=options["students"], answers=options["answers"], pool=options["pool"], seed=options["seed"],
            progress=self.stderr.write,
        )  # fmt: skip
        told = figures(found)
        self.stdout.write(table(told))
        if options["plot"]:
            options["plot"].write_text(plot(found), encoding="utf-8")
            self.stderr.write(f"The picture is in {options['plot']}.")
        missed = [figure.name for figure in told if figure.is_met is False]
        if missed:
            raise CommandError(f"Missed: {'; '.join(missed)}.")
