"""A herb's record as the text of its file: the one way such a file is written, so that a round trip changes no byte."""

import json
from collections.abc import Iterable
from typing import Any

from .herb_files import OWN_KEYS

# Where a claim's own keys live in its record; the rest are in ``details``.
AMOUNTS = {"degree": "value", "action": "strength", "affinity": "strength"}
DETAILS = ("menstruum", "alcohol", "ratio", "low", "high", "unit", "times", "course", "age")
WORDS = {"menstruum", "unit"}  # closed vocabularies are written without quotes
# A JSON string is a double-quoted YAML string, but for these: YAML would fold them.
LINE_BREAKS = {ord(mark): f"\\u{ord(mark):04x}" for mark in "\x85\u2028\u2029"}
FREE = {"indication", "habitat", "drying", "lookalike", "conservation"}  # predicates whose subject is a text


def herb_yaml(record: dict[str, Any]) -> str:
    """The file of a herb's record, as ``HerbReader.read`` gives it; reading the text gives the same record back."""
    lines = [
        f"slug: {record['slug']}",
        f"latin: {_text(record['latin'])}",
        f"author: {_text(record['author'])}",
        f"family: {_text(record['family'])}",
        f"names: {_texts([record['name'], *record['other_names']])}",
        f"synonyms: {_texts(record['synonyms'])}",
        f"old_names: {_texts(record['old_names'])}",
        f"habit: {record['habit']}",
        f"status: [{', '.join(record['status'])}]",
        f"status_note: {_text(record['status_note'])}",
        "parts:",
    ]
    for part in record["parts"]:
        lines += [
            f"- part: {_part_words(record['slug'], part)}",
            f"  name: {_text(part['name'])}",
            f"  label: {_text(part['label'])}",
            f"  drug_name: {_text(part['drug_name'])}",
            f"  usual_form: {part['usual_form']}",
            "  claims:",
        ]
        lines += [f"  - {{{', '.join(_pairs(claim))}}}" for claim in part["claims"]]
    return "\n".join(lines) + "\n"


def _part_words(herb: str, part: dict[str, Any]) -> str:
    return str(part["slug"]).removeprefix(f"{herb}-").replace("-", " ")


def _pairs(claim: dict[str, Any]) -> Iterable[str]:
    predicate, details = claim["predicate"], claim["details"]
    yield f"{predicate}: {_text(claim['subject']) if predicate in FREE else claim['subject']}"
    if predicate in AMOUNTS:
        yield f"{AMOUNTS[predicate]}: {_number(claim['amount'])}"
    for key in ("level", "reason"):
        if claim[key]:
            yield f"{key}: {claim[key]}"
    for key in DETAILS:
        if key in details and key in OWN_KEYS.get(predicate, set()):
            value = details[key]
            is_number = isinstance(value, int | float)
            yield f"{key}: {_number(value) if is_number else value if key in WORDS else _text(value)}"
    for key in ("site", "form", "source", "seen"):
        if claim[key]:
            yield f"{key}: {claim[key]}"
    if claim["note"]:
        yield f"note: {_text(claim['note'])}"


def _number(value: float) -> str:
    return str(int(value)) if value == int(value) else str(value)


def _text(value: str) -> str:
    # A JSON string is a double-quoted YAML string; a line separator would be folded there, so it is escaped.
    return (
        json.dumps(value, ensure_ascii=False)
        .replace("\u2028", "\\u2028")
        .replace("\u2029", "\\u2029")
        .replace("\x85", "\\u0085")
    )


def _texts(values: Iterable[str]) -> str:
    return f"[{', '.join(map(_text, values))}]"
