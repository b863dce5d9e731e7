"""Fit how hard items are, from the answers to items that practice chose by lot."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from quizzes.calibrating import LEAST, calibrate


class Command(BaseCommand):
    """Prints each weight as it was judged and as it is fitted; stores the difficulties unless told not to."""

    help = "Fit the difficulty of every item from answers to items chosen by lot in practice."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Options."""
        parser.add_argument("--dry-run", action="store_true", help="Say what would change, and store nothing.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Fit, print, store."""
        fitted = calibrate(write=not options["dry_run"])
        if fitted is None:
            self.stdout.write(
                f"Fewer than {LEAST} answers to questions drawn by lot so far: the judged weights stand, nothing is changed."
            )
            return
        self.stdout.write(f"{'feature':28}{'judged':>9}{'fitted':>9}")
        for name, (judged, found) in fitted.weights.items():
            self.stdout.write(f"{name:28}{judged:9.2f}{found:9.2f}")
        done = "would change" if options["dry_run"] else "changed"
        self.stdout.write(
            f"{fitted.answers:,} answers, {fitted.models:,} item models; {done} the difficulty of {fitted.items:,} items, "
            f"by {fitted.largest:.2f} logits at most."
        )
