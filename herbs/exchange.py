"""Claims as rows of a spreadsheet, out and in: a dry run tells what each row would do before anything is written."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import tablib
from django.core.exceptions import ValidationError
from django.db import models, transaction
from import_export import fields, resources, widgets
from import_export.instance_loaders import BaseInstanceLoader
from import_export.results import Result, RowResult

from .claim_lines import FIELDS, NUMBERS, claim_line, in_words, number_of, one_line
from .editing import Person, check_herb, document_of, save_herbs, stored_bundle, take_turns
from .loading import Bundle, Fault
from .loading.herb_files import HerbReader
from .loading.writing import DETAILS
from .loading.yaml_lines import parse
from .models import Claim, Herb, Part, Source
from .sheets import FORMATS, UnreadableSheetError, read_rows, written

COLUMNS = ("part", *FIELDS, "remove")
IDENTITY = ("part", "predicate", "subject", "source", "form", "site")
Key = tuple[str, ...]


class SlugWidget(widgets.Widget):
    """A row of another table by its slug; every row is read once for a sheet."""

    def __init__(self, model: type[models.Model]) -> None:
        super().__init__()
        self.model = model

    @cached_property
    def rows(self) -> dict[str, Any]:
        """All rows by slug."""
        return {row.slug: row for row in self.model._default_manager.all()}  # type: ignore[attr-defined]

    def clean(self, value: Any, row: Any = None, **kwargs: Any) -> Any:
        """The row of a slug."""
        if value not in self.rows:
            raise ValueError(f"There is no {self.model._meta.verbose_name} {value!r}.")
        return self.rows[value]

    def render(self, value: Any, obj: Any = None, **kwargs: Any) -> str:
        """The slug of a row."""
        return value.slug if value else ""


class PlainWidget(widgets.Widget):
    """A value as it is; numbers stay numbers, whole ones without a point."""

    def clean(self, value: Any, row: Any = None, **kwargs: Any) -> Any:
        """The value."""
        return value

    def render(self, value: Any, obj: Any = None, **kwargs: Any) -> Any:
        """The value for a cell."""
        if isinstance(value, float) and value == int(value):
            return int(value)
        return "" if value is None else value


class DetailField(fields.Field):
    """A column kept in a claim's details."""

    def get_value(self, instance: Any) -> Any:
        # There is no claim where a row takes it away.
        return instance.details.get(self.column_name, "") if instance else ""

    def save(self, instance: Any, row: Any, is_m2m: bool = False, **kwargs: Any) -> None:
        if self.column_name not in row:
            return
        value = row[self.column_name]
        details = {key: kept for key, kept in instance.details.items() if key != self.column_name}
        instance.details = details if value in ("", None) else {**details, self.column_name: value}


class ClaimLoader(BaseInstanceLoader):
    """Finds the claims that a sheet speaks of in memory: all claims of its parts are read at once."""

    def __init__(self, resource: "ClaimResource", dataset: tablib.Dataset) -> None:
        super().__init__(resource, dataset)
        parts = set(dataset["part"]) if len(dataset) else set()
        claims = Claim.objects.filter(part__slug__in=parts).select_related("part", "source")
        resource.known = {_key_of(claim): claim for claim in claims}

    def get_instance(self, row: dict[str, Any]) -> Claim | None:
        return self.resource.known.get(tuple(row[column] for column in IDENTITY))


def _key_of(claim: Claim) -> Key:
    return (claim.part.slug, claim.predicate, claim.subject, claim.source.slug, claim.form, claim.site)


class ClaimResource(resources.ModelResource):
    """Claims by part, predicate, subject, source, form and site: a row with the same six changes the claim that has them."""

    part = fields.Field("part", "part", SlugWidget(Part))
    source = fields.Field("source", "source", SlugWidget(Source))
    amount = fields.Field("amount", "amount", PlainWidget())
    menstruum, alcohol = DetailField(None, "menstruum", PlainWidget()), DetailField(None, "alcohol", PlainWidget())
    ratio, low, high = (DetailField(None, column, PlainWidget()) for column in ("ratio", "low", "high"))
    unit, times = DetailField(None, "unit", PlainWidget()), DetailField(None, "times", PlainWidget())
    course, age = DetailField(None, "course", PlainWidget()), DetailField(None, "age", PlainWidget())

    class Meta:
        model = Claim
        fields = tuple(column for column in COLUMNS if column != "remove")
        export_order = fields
        import_id_fields = IDENTITY
        instance_loader_class = ClaimLoader
        skip_unchanged = True
        report_skipped = True
        skip_html_diff = True
        store_instance = True
        store_row_values = True
        clean_model_instances = False  # every row is checked as a line of a file is, below

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.known: dict[Key, Claim] = {}

    @cached_property
    def bundle(self) -> Bundle:
        """The vocabulary in use, read once for the whole sheet."""
        return stored_bundle()

    def before_import(self, dataset: tablib.Dataset, **kwargs: Any) -> None:
        """A sheet without places or forms speaks of the part as a whole."""
        for column in ("site", "form"):
            if column not in dataset.headers:
                dataset.append_col([""] * len(dataset), header=column)

    def before_import_row(self, row: dict[str, Any], **kwargs: Any) -> None:
        """Bring a row into its plain shape."""
        for column in [column for column in COLUMNS if column in row]:
            row[column] = _plain(column, row[column])
        if row["part"] not in self.fields["part"].widget.rows:
            raise ValidationError(f"There is no part {row['part']!r}. Add the herb first, or mend the slug.")

    def after_init_instance(self, instance: Any, new: bool, row: dict[str, Any], **kwargs: Any) -> None:
        """Check the claim as it would stand, by the rules of the files: columns that the sheet lacks stay as they are."""
        if self.for_delete(row, instance):
            return
        values = {**({} if new else _values(instance)), **{column: row[column] for column in FIELDS if column in row}}
        faults: list[Fault] = []
        HerbReader("", self.bundle, faults).claim(claim_line(values))
        sentences = [fault.message for fault in faults]
        if not values.get("subject"):
            sentences.append("The subject is empty.")
        if sentences:
            raise ValidationError(sentences)

    def for_delete(self, row: Any, instance: Any) -> bool:
        """A row marked in the column ``remove`` takes its claim away."""
        return str(row.get("remove") or "").lower() in ("yes", "x", "1", "true")

    def before_save_instance(self, instance: Any, row: Any, **kwargs: Any) -> None:
        """A new claim stands after those its part has."""
        if instance.pk is None:
            last = Claim.objects.filter(part=instance.part).aggregate(last=models.Max("position"))["last"]
            instance.position = (last or 0) + 1

    def after_save_instance(self, instance: Any, row: Any, **kwargs: Any) -> None:
        """A later row may speak of the same claim."""
        self.known[_key_of(instance)] = instance

    def after_delete_instance(self, instance: Any, row: Any, **kwargs: Any) -> None:
        """A later row may claim it anew."""
        self.known.pop(_key_of(instance), None)


def _plain(column: str, value: Any) -> Any:
    text = "" if value is None else one_line(str(value))
    if column in NUMBERS:
        return number_of(text) if text else None
    return text


def _values(claim: Claim) -> dict[str, Any]:
    flat = {column: getattr(claim, column) for column in FIELDS if column not in (*DETAILS, "source")}
    return {**flat, **claim.details, "source": claim.source.slug}


@dataclass(frozen=True)
class RowTold:
    """What a row of a sheet would do: its number in the sheet, part, the claim in words, and its ``kind``.

    Kinds: new, changed, unchanged, removed, wrong. ``changes`` holds (column, old, new); ``sentences`` what is wrong or to know.
    """

    number: int
    kind: str
    part: str
    says: str
    source: str = ""
    changes: tuple[tuple[str, Any, Any], ...] = ()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """What a sheet would do: its rows, the new file of each herb that would change, and what would be wrong with herbs then."""

    rows: tuple[RowTold, ...]
    texts: dict[str, str] = field(default_factory=dict)
    faults: tuple[str, ...] = ()

    @cached_property
    def counts(self) -> Counter[str]:
        """How many rows there are of each kind."""
        return Counter(row.kind for row in self.rows)

    @property
    def is_good(self) -> bool:
        """Whether it may be imported."""
        return not self.faults and not self.counts["wrong"]


def sheet(claims: Iterable[Claim], kind: str) -> bytes:
    """Claims as a file of a kind ("csv" or "xlsx"), with the columns an import takes."""
    data = ClaimResource().export(claims)
    rows = tablib.Dataset(headers=[*data.headers, "remove"], title="claims")
    for row in data:
        rows.append((*row, ""))
    return written(rows, kind)


def read_sheet(name: str, content: bytes) -> tablib.Dataset:
    """The rows of an uploaded CSV or XLSX file. Raises UnreadableSheetError."""
    return read_rows(name, content, required={"part", "predicate", "subject", "source"}, known=COLUMNS)


def plan_import(data: tablib.Dataset) -> Plan:
    """What an import would do, row by row and to each herb as a whole; nothing stays written."""
    resource = ClaimResource()
    with transaction.atomic():
        named = {one_line(str(part or "")) for part in data["part"]} if len(data) else set()
        herbs = Herb.objects.filter(parts__slug__in=named).distinct()
        slugs = list(herbs.values_list("slug", flat=True))
        before = {herb.slug: document_of(herb) for herb in Herb.objects.for_monograph().filter(slug__in=slugs)}
        result = resource.import_data(data, dry_run=False, use_transactions=True)
        rows = tuple(_rows_told(result, resource))
        texts, faults = {}, []
        if not any(row.kind == "wrong" for row in rows):
            for herb in Herb.objects.for_monograph().filter(slug__in=slugs):
                text = document_of(herb)
                if text != before[herb.slug]:
                    texts[herb.slug] = text
                    found = check_herb(parse("", text.encode()), resource.bundle)[1]
                    faults += [f"{herb.latin}: {fault.message}" for fault in found]
        transaction.set_rollback(True)
    return Plan(rows, texts, tuple(faults))


def _rows_told(result: Result, resource: ClaimResource) -> Iterable[RowTold]:
    kinds = {
        RowResult.IMPORT_TYPE_NEW: "new",
        RowResult.IMPORT_TYPE_UPDATE: "changed",
        RowResult.IMPORT_TYPE_DELETE: "removed",
        RowResult.IMPORT_TYPE_SKIP: "unchanged",
    }
    for base in result.base_errors:
        yield RowTold(1, "wrong", "", "", sentences=(str(base.error),))
    for number, row in enumerate(result.rows, 2):  # the first row of a sheet names the columns
        values = row.row_values
        kind = kinds.get(row.import_type, "wrong")
        sentences: list[str] = []
        if row.validation_error:
            sentences = list(row.validation_error.messages)
        elif row.errors:
            sentences = ["This row cannot be read. Compare it with an exported one."]
        elif kind == "unchanged" and resource.for_delete(values, None):
            sentences = ["There is no such claim to remove."]
        says = in_words({**values, **(_values(row.instance) if row.instance else {})}, resource.bundle)
        changes = tuple(_changes(row, resource)) if kind == "changed" else ()
        yield RowTold(
            number, kind, str(values.get("part", "")), says, str(values.get("source", "")), changes, tuple(sentences)
        )


def _changes(row: RowResult, resource: ClaimResource) -> Iterable[tuple[str, Any, Any]]:
    for column in FIELDS:
        told = resource.fields[column]
        old, new = told.export(row.original), told.export(row.instance)
        if old != new:
            yield column, old, new


def import_claims(*, data: tablib.Dataset, by: Person | None) -> tuple[Plan, int]:
    """Import a sheet, all or nothing: what each row did, and how many herbs changed (0 when anything is wrong)."""
    with transaction.atomic():
        take_turns()
        plan = plan_import(data)
        changed = save_herbs(plan.texts.values(), by=by, summary="from a sheet of claims") if plan.is_good else 0
    return plan, changed


__all__ = [
    "COLUMNS", "FORMATS", "ClaimResource", "Plan", "RowTold", "UnreadableSheetError", "import_claims", "plan_import",
    "read_sheet", "sheet",
]  # fmt: skip
