"""Write a report on how the working profiles stand to the sources."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from herbs.catalogue import EmptyMateriaMedicaError, MateriaMedica, materia_medica
from herbs.engine import capital, degree_number
from herbs.source_report import Agreement, agreements, licensed, taste_checks

EXAMPLE = "example: python manage.py compare_sources --output report.md"


class Command(BaseCommand):
    """Agreement with every tradition, contrary signs with reasons, licensed actions, taste rules and their exceptions."""

    help = f"Compare the working profiles with what the sources say, as a report in Markdown.\n{EXAMPLE}"

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to write, and under which set."""
        parser.add_argument("--output", help="a file to write; printed when left out")
        parser.add_argument("--teaching-set", help="slug of a teaching set; the default one when left out")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the report."""
        try:
            medica = materia_medica(options["teaching_set"])
        except EmptyMateriaMedicaError as error:
            raise CommandError(str(error)) from None
        text = "\n".join(report(medica)) + "\n"
        if options["output"]:
            Path(options["output"]).write_text(text, encoding="utf-8")
            self.stdout.write(f"Written to {options['output']}.")
        else:
            self.stdout.write(text, ending="")


def report(medica: MateriaMedica) -> Iterator[str]:
    """The report's lines."""
    yield "# The materia medica beside its sources"
    yield ""
    yield (
        f"Data version {medica.catalogue.data_version}, teaching set {medica.teaching_set_name}, "
        f"{timezone.localdate():%Y-%m-%d}. Working values are those of each part in its usual form."
    )
    yield ""
    yield "## Degrees"
    yield ""
    yield "| tradition | axis | pairs | same side | within one degree | weighted kappa (95 %) | contrary |"
    yield "|---|---|---:|---:|---:|---|---:|"
    found = list(agreements(medica))
    for told in found:
        yield _row(told)
    yield ""
    yield "Kappa: Cohen's with linear weights over nine degrees (1968); interval: Fleiss, Cohen and Everitt (1969)."
    yield ""
    yield "## Where a source says the contrary"
    for told in found:
        contrary = [pair for pair in told.pairs if pair.is_contrary]
        if contrary:
            yield ""
            yield f"### {told.tradition}, {told.axis}"
            yield ""
            for pair in contrary:
                reason = capital(pair.reason or "no reason noted")
                yield f"- {pair.part}: {_signed(pair.says)} ({pair.source}), working {_signed(pair.working)}. {reason}."
    yield from _licensed(medica)
    yield from _tastes(medica)


def _row(told: Agreement) -> str:
    kappa = "none" if told.kappa is None else f"{told.kappa.value:.2f} ({told.kappa.low:.2f} to {told.kappa.high:.2f})"
    contrary = str(sum(pair.is_contrary for pair in told.pairs))
    shares = [f"{told.same_side:.0%}", f"{told.within_one:.0%}"]
    return f"| {' | '.join([told.tradition, told.axis, str(len(told.pairs)), *shares, kappa, contrary])} |"


def _licensed(medica: MateriaMedica) -> Iterator[str]:
    actions = licensed(medica)
    missing = [entry for entry in actions if not entry.is_taught]
    yield ""
    yield "## Actions in official monographs"
    yield ""
    yield f"{len(actions)} actions at a place; practice teaches {len(actions) - len(missing)} of them there."
    for entry in missing:
        yield f"- {entry.part}: {entry.action} in {entry.site or 'general'} ({entry.source}) is not taught there."


def _tastes(medica: MateriaMedica) -> Iterator[str]:
    yield ""
    yield "## From taste to effect"
    for check in taste_checks(medica):
        yield ""
        yield f"### {check.tradition}"
        yield ""
        yield f"{check.held} of {check.looked_at} degrees lie within one of what the tastes lead one to expect. Exceptions:"
        yield ""
        for part, axis, awaited, degree in check.exceptions:
            size = "a plain" if degree_number(abs(awaited - degree)) < 3 else "a wide"
            yield f"- {part}, {axis}: expected {_signed(awaited)}, found {_signed(degree)}; {size} departure."


def _signed(value: float) -> str:
    return f"{value:+.3g}".replace("-", "\u2212") if value else "0"
