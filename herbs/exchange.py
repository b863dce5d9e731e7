"""Claims as rows of a spreadsheet, out and in: a dry run tells what each row would do before anything is written."""

import re
from collections.abc import Iterable
from functools import cached_property
from typing import Any

import tablib
from django.core.exceptions import ValidationError
from django.db import transaction
from import_export import fields, resources, widgets
from import_export.results import Result

from .editing import Person, document_of, remember_shipped, save_herb, stored_bundle
from .loading import Fault
from .loading.herb_files import HerbReader
from .loading.writing import AMOUNTS, DETAILS
from .models import Claim, Herb, HerbEdit, Part, Source

COLUMNS = (
    "part", "predicate", "subject", "amount", "level", "reason", *DETAILS, "site", "form", "source", "seen", "note", "remove",
)  # fmt: skip
FORMATS = {"csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
MAX_BYTES = 2 * 1024 * 1024
MAX_ROWS = 20_000
# A cell that a spreadsheet could take for a formula gets an apostrophe before it; plain numbers stay numbers.
RISKY = ("=", "+", "-", "@", "\t", "\r")
NUMBER = re.compile(r"-?\d+(\.\d+)?")
WHOLE_NUMBERS = {"alcohol", "times", "course", "age"}
NUMBERS = WHOLE_NUMBERS | {"amount", "low", "high"}


class UnreadableSheetError(Exception):
    """The file is no sheet of claims; the message says what to do."""


def escaped(value: Any) -> Any:
    """A cell's value, safe to open in a spreadsheet."""
    if isinstance(value, str) and value.startswith(RISKY) and not NUMBER.fullmatch(value):
        return f"'{value}"
    return value


def unescaped(value: Any) -> Any:
    """What ``escaped`` was given."""
    if isinstance(value, str) and value.startswith("'") and value[1:].startswith(RISKY):
        return value[1:]
    return value


class DetailField(fields.Field):
    """A column kept in a claim's details."""

    def get_value(self, instance: Any) -> Any:
        return instance.details.get(self.column_name, "")

    def save(self, instance: Any, row: Any, is_m2m: bool = False, **kwargs: Any) -> None:
        value = row.get(self.column_name)
        details = {key: kept for key, kept in instance.details.items() if key != self.column_name}
        instance.details = details if value in ("", None) else {**details, self.column_name: value}


class ClaimResource(resources.ModelResource):
    """Claims by part, predicate, subject, source, form and site: a row with the same six changes the claim that has them."""

    part = fields.Field("part", "part", widgets.ForeignKeyWidget(Part, "slug"))
    source = fields.Field("source", "source", widgets.ForeignKeyWidget(Source, "slug"))
    menstruum, alcohol, ratio = DetailField(None, "menstruum"), DetailField(None, "alcohol"), DetailField(None, "ratio")
    low, high, unit = DetailField(None, "low"), DetailField(None, "high"), DetailField(None, "unit")
    times, course, age = DetailField(None, "times"), DetailField(None, "course"), DetailField(None, "age")

    class Meta:
        model = Claim
        fields = tuple(column for column in COLUMNS if column != "remove")
        export_order = fields
        import_id_fields = ("part", "predicate", "subject", "source", "form", "site")
        skip_unchanged = True
        report_skipped = True
        clean_model_instances = False  # every row is checked as a line of a file is, below

    @cached_property
    def bundle(self) -> Any:
        """The vocabulary in use, read once for the whole sheet."""
        return stored_bundle()

    @cached_property
    def parts(self) -> set[str]:
        """Parts there are."""
        return set(Part.objects.values_list("slug", flat=True))

    def before_import(self, dataset: tablib.Dataset, **kwargs: Any) -> None:
        """A sheet without places or forms speaks of the part as a whole."""
        for column in ("site", "form"):
            if column not in dataset.headers:
                dataset.append_col([""] * len(dataset), header=column)

    def before_import_row(self, row: dict[str, Any], **kwargs: Any) -> None:
        """Bring a row into its plain shape and check it by the rules of the files."""
        for column in [column for column in COLUMNS if column in row]:
            row[column] = _plain(column, row[column])
        if row["part"] not in self.parts:
            raise ValidationError({"part": f"There is no part {row['part']!r}. Add the herb first, or mend the slug."})
        if self.for_delete(row, None):
            return
        faults: list[Fault] = []
        HerbReader("", self.bundle, faults).claim(_as_line(row))
        if faults:
            raise ValidationError([fault.message for fault in faults])

    def for_delete(self, row: Any, instance: Any) -> bool:
        """A row marked in the column ``remove`` takes its claim away."""
        return str(row.get("remove", "")).lower() in ("yes", "x", "1", "true")

    def before_save_instance(self, instance: Any, row: Any, **kwargs: Any) -> None:
        """A new claim stands after those its part has."""
        if instance.pk is None:
            last = Claim.objects.filter(part=instance.part).order_by("-position").values_list("position", flat=True)
            instance.position = (last.first() or 0) + 1


def _plain(column: str, value: Any) -> Any:
    value = unescaped(value)
    text = "" if value is None else str(value).strip()
    if column in NUMBERS and NUMBER.fullmatch(text.replace("\u2212", "-").removeprefix("+")):
        number = float(text.replace("\u2212", "-").removeprefix("+"))
        return int(number) if number == int(number) else number
    return text if column not in NUMBERS or text else None


def _as_line(row: dict[str, Any]) -> dict[str, Any]:
    """A row as the claim it would be in a file: the columns that are filled in."""
    predicate = row["predicate"]
    line = {predicate: row["subject"]}
    if row.get("amount") is not None:
        line[AMOUNTS.get(predicate, "amount")] = row["amount"]
    for column in ("level", "reason", *DETAILS, "site", "form", "source", "seen", "note"):
        if row.get(column) not in ("", None):
            line[column] = row[column]
    return line


def sheet(claims: Iterable[Claim], kind: str) -> bytes:
    """Claims as a file of a kind ("csv" or "xlsx"), with the columns an import takes."""
    data = ClaimResource().export(claims)
    rows = tablib.Dataset(headers=[*data.headers, "remove"], title="claims")
    for row in data:
        rows.append([escaped(cell) for cell in (*row, "")])
    content: Any = rows.export(kind)
    return bytes(content) if kind == "xlsx" else b"\xef\xbb\xbf" + str(content).encode()


def read_sheet(name: str, content: bytes) -> tablib.Dataset:
    """The rows of an uploaded CSV or XLSX file. Raises UnreadableSheetError."""
    kind = name.rpartition(".")[2].lower()
    if kind not in FORMATS:
        raise UnreadableSheetError("Send a .csv or an .xlsx file.")
    if len(content) > MAX_BYTES:
        raise UnreadableSheetError(f"The file is larger than {MAX_BYTES // 1024 // 1024} MB. Split it.")
    try:
        data = tablib.Dataset().load(content if kind == "xlsx" else content.decode("utf-8-sig"), format=kind)
    except Exception as error:  # any of a dozen kinds, by format and version: all mean the same to the sender
        raise UnreadableSheetError(
            f"The file cannot be read as {kind.upper()}. Save it again as {kind.upper()}."
        ) from error
    missing = {"part", "predicate", "subject", "source"} - set(data.headers or [])
    if missing:
        raise UnreadableSheetError(f"The first row must name the columns; missing: {', '.join(sorted(missing))}.")
    unknown = {str(header) for header in data.headers or []} - set(COLUMNS)
    if unknown:
        raise UnreadableSheetError(f"Unknown columns: {', '.join(sorted(unknown))}. Known: {', '.join(COLUMNS)}.")
    if len(data) > MAX_ROWS:
        raise UnreadableSheetError(f"The sheet has more than {MAX_ROWS} rows. Split it.")
    return data


def dry_run(data: tablib.Dataset) -> Result:
    """What an import would do, row by row; nothing is written."""
    return ClaimResource().import_data(data, dry_run=True)


def import_claims(*, data: tablib.Dataset, by: Person | None) -> tuple[Result, int]:
    """Import a sheet, all or nothing: the rows' results, and how many herbs changed (0 when a row is wrong).

    Raises FaultsError when a herb as a whole no longer holds, such as one that would lose its last caution.
    """
    with transaction.atomic():
        named = {str(unescaped(row.get("part") or "")).strip() for row in data.dict}
        herbs = Herb.objects.filter(parts__slug__in=named).order_by("slug")
        slugs = list(herbs.values_list("slug", flat=True).distinct())
        list(Herb.objects.select_for_update().filter(slug__in=slugs).order_by("slug"))
        before = {herb.slug: document_of(herb) for herb in Herb.objects.for_monograph().filter(slug__in=slugs)}
        result = ClaimResource().import_data(
            data, dry_run=False, use_transactions=True, rollback_on_validation_errors=True
        )
        if result.has_errors() or result.has_validation_errors():
            return result, 0
        changed = 0
        for herb in Herb.objects.for_monograph().filter(slug__in=slugs):
            text = document_of(herb)
            if text != before[herb.slug]:
                remember_shipped(herb.slug, before[herb.slug])
                save_herb(text=text, by=by, summary="from a sheet of claims", kind=HerbEdit.Kind.IMPORTED)
                changed += 1
    return result, changed


__all__ = [
    "COLUMNS", "FORMATS", "ClaimResource", "UnreadableSheetError", "dry_run", "import_claims", "read_sheet", "sheet",
]  # fmt: skip
