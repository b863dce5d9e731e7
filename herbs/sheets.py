"""Spreadsheet files: cells that no spreadsheet takes for a formula, and uploaded rows within limits."""

import csv
import datetime
import io
import zipfile
from collections.abc import Sequence
from typing import Any

import tablib

from .claim_lines import NUMBER

FORMATS = {"csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
MAX_BYTES = 2 * 1024 * 1024
MAX_UNPACKED = 40 * 1024 * 1024  # an XLSX file is a ZIP archive, which can promise far more than it weighs
MAX_ROWS = 20_000
# A cell that a spreadsheet could take for a formula gets an apostrophe before it; plain numbers stay numbers.
RISKY = ("=", "+", "-", "@", "\t", "\r")


class UnreadableSheetError(Exception):
    """The file is no sheet that can be read; the message says what to do."""


def escaped(value: Any) -> Any:
    """A cell's value, safe to open in a spreadsheet; ``unescaped`` gives it back."""
    if isinstance(value, str) and value.lstrip("'").startswith(RISKY) and not NUMBER.fullmatch(value):
        return f"'{value}"
    return value


def unescaped(value: Any) -> Any:
    """What ``escaped`` was given."""
    if isinstance(value, str) and value.startswith("'") and value.lstrip("'").startswith(RISKY):
        return value[1:]
    return value


def written(rows: tablib.Dataset, kind: str) -> bytes:
    """A table as a file of a kind ("csv" or "xlsx"), every cell escaped."""
    safe = tablib.Dataset(headers=rows.headers, title=rows.title)
    for row in rows:
        safe.append([escaped(cell) for cell in row])
    content: Any = safe.export(kind)
    # The mark at the start tells spreadsheets that the CSV file is UTF-8.
    return bytes(content) if kind == "xlsx" else b"\xef\xbb\xbf" + str(content).encode()


def read_rows(name: str, content: bytes, *, required: set[str], known: Sequence[str]) -> tablib.Dataset:
    """The rows of an uploaded CSV or XLSX file, without blank ones, cells unescaped. Raises UnreadableSheetError."""
    kind = name.rpartition(".")[2].lower()
    if kind not in FORMATS:
        raise UnreadableSheetError("Send a .csv or an .xlsx file.")
    if len(content) > MAX_BYTES:
        raise UnreadableSheetError(f"The file is larger than {MAX_BYTES // 1024 // 1024} MB. Split it.")
    try:
        data = _loaded(kind, content)
    except UnreadableSheetError:
        raise
    except Exception as error:  # any of a dozen kinds, by format and version: all mean the same to the sender
        raise UnreadableSheetError(
            f"The file cannot be read as {kind.upper()}. Save it again as {kind.upper()}."
        ) from error
    headers = [str(header or "").strip().lower() for header in data.headers or []]
    while headers and not headers[-1]:
        headers.pop()
    missing = required - set(headers)
    if missing:
        raise UnreadableSheetError(f"The first row must name the columns; missing: {', '.join(sorted(missing))}.")
    unknown = set(headers) - set(known)
    if unknown or len(headers) != len(set(headers)):
        odd = sorted(unknown) or sorted({header for header in headers if headers.count(header) > 1})
        raise UnreadableSheetError(
            f"Columns unknown or named twice: {', '.join(word or '(no name)' for word in odd)}. Known: {', '.join(known)}."
        )
    rows = tablib.Dataset(headers=headers)
    for row in data:
        cells = [unescaped(_cell(cell)) for cell in row[: len(headers)]]
        if any(cell not in (None, "") for cell in cells):
            rows.append(cells)
    if len(rows) > MAX_ROWS:
        raise UnreadableSheetError(f"The sheet has more than {MAX_ROWS:,} rows. Split it.")
    return rows


def _loaded(kind: str, content: bytes) -> tablib.Dataset:
    if kind == "xlsx":
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > MAX_UNPACKED:
                raise UnreadableSheetError("The workbook holds far more than a sheet of claims. Send the sheet alone.")
        return tablib.Dataset().load(content, format="xlsx")
    text = content.decode("utf-8-sig")
    first = text.partition("\n")[0]
    # Spreadsheets write semicolons where the comma is the decimal sign.
    delimiter = max(",;\t", key=first.count)
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    headers, body = rows[0], rows[1:]
    data = tablib.Dataset(headers=headers)
    for row in body:
        data.append([*row, *[""] * (len(headers) - len(row))][: len(headers)])
    return data


def _cell(cell: Any) -> Any:
    if isinstance(cell, datetime.time):
        # A spreadsheet that knows better takes the ratio 1:5 for five past one.
        return f"{cell.hour}:{cell.minute}"
    return cell
