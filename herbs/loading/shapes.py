"""The shapes of the data files as JSON Schema: which values are words, lists or mappings. Meaning is checked afterwards."""

from collections.abc import Iterator
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from herbs.models import Claim

from .faults import Fault

Schema = dict[str, Any]
TEXT: Schema = {"type": "string"}
OPTIONAL: Schema = {"type": ["string", "null"]}
WORDS: Schema = {"type": "array", "items": TEXT}
TRUTH: Schema = {"type": "boolean"}
MAPPING: Schema = {"type": "object"}
NAMES = {"string": "a word or a text in quotes", "array": "a list", "object": "a mapping", "boolean": "true or false",
         "integer": "a whole number", "number": "a number", "null": "empty"}  # fmt: skip


def record(required: tuple[str, ...] = (), **properties: Schema) -> Schema:
    """A mapping whose named keys have the given shapes."""
    return {"type": "object", "required": list(required), "properties": properties}


def listed(items: Schema) -> Schema:
    """A list of entries of one shape."""
    return {"type": "array", "items": items}


def entry(required: tuple[str, ...] = (), **properties: Schema) -> Schema:
    """A list of vocabulary entries, each with a slug."""
    return listed(record(("slug", *required), slug=TEXT, name=TEXT, **properties))


POLE = record(("axis", "sign"), axis=TEXT)
ROLES = {"type": "array", "minItems": 1, "items": record(("tradition", "role"), tradition=TEXT, role=TEXT)}
VOCABULARY: dict[str, Schema] = {
    "sites.yaml": entry(("name", "kind"), kind=TEXT, of=WORDS, serves=WORDS),
    "actions.yaml": entry(("name", "definition"), plural=TEXT, definition=TEXT, opposed=WORDS, tends=MAPPING),
    "person_words.yaml": entry(
        ("name", "group", "yes", "no"), group=TEXT, yes=TEXT, no=TEXT, only_for=WORDS, not_with=POLE,
        treated=TRUTH, from_age={"type": "integer"}, implies=WORDS,
    ),
    "states.yaml": entry(("name", "pattern"), pattern=MAPPING, follows=MAPPING),
    "mixed_patterns.yaml": entry(("name", "pattern"), pattern=MAPPING, follows=MAPPING, vigour=TEXT),
    "findings.yaml": entry(("site", "texts", "evidence"), site=TEXT, kind=TEXT, texts=WORDS, evidence=MAPPING),
    "order_findings.yaml": entry(("site", "root", "follower", "texts"), site=TEXT, root=POLE, follower=POLE, texts=WORDS),
    "red_flags.yaml": entry(("site", "texts", "why"), site=TEXT, texts=WORDS, why=TEXT),
    "derived_actions.yaml": entry(
        ("name", "source", "site", "target"), source=TEXT, site=TEXT, target=TEXT, reason=TEXT, state=POLE,
    ),
    "askings.yaml": entry(
        ("action", "site", "findings", "complaints", "where"),
        action=TEXT, site=TEXT, where=TEXT, findings={**WORDS, "minItems": 1}, complaints={**WORDS, "minItems": 1}, bars=WORDS,
        holds=WORDS, left_out=WORDS, own_only=TRUTH,
        not_offered=listed(record(("part", "axis", "sign"), part=TEXT, axis=TEXT)),
    ),
    "cross_walk.yaml": entry(
        ("name", "tradition", "kind", "means", "source"),
        tradition=TEXT, kind=TEXT, means=TEXT, pattern=MAPPING, source=TEXT, seen=OPTIONAL, note=OPTIONAL,
    ),
    "taste_rules.yaml": entry(
        ("tradition", "axes", "source"), tradition=TEXT, taste=TEXT, constituent=TEXT, axes=MAPPING, source=TEXT, seen=TEXT,
        note=TEXT,
    ),
    "departures.yaml": entry(("part", "axis", "tradition", "reason"), part=TEXT, axis=TEXT, tradition=TEXT, reason=TEXT),
    "scenarios.yaml": entry(
        ("text", "from_age", "to_age"), text=TEXT, from_age={"type": "integer"}, to_age={"type": "integer"}, bars=WORDS,
    ),
    "traditions.yaml": entry(("name",)),
    "sources.yaml": entry(
        ("tradition", "basis", "citation"), tradition=TEXT, basis=TEXT, citation=TEXT, year={"type": ["integer", "null"]},
    ),
    "plain.yaml": {"type": "object", "additionalProperties": entry(("name",))},
}  # fmt: skip
OVERRIDES = listed(record(("row", "axis", "value", "reason"), row=TEXT, axis=TEXT, reason=TEXT))
TEACHING_SETS = entry(("name", "roles"), description=TEXT, is_default=TRUTH, roles=ROLES, overrides=OVERRIDES)
CLAIM = record(
    (),
    **dict.fromkeys(Claim.Predicate.values, TEXT),
    source=TEXT, site=OPTIONAL, form=OPTIONAL, seen=OPTIONAL, note=OPTIONAL, level=OPTIONAL, reason=OPTIONAL,
    menstruum=OPTIONAL, ratio=OPTIONAL, unit=OPTIONAL,
)  # fmt: skip
PART = record(
    ("part",), part=TEXT, name=OPTIONAL, label=OPTIONAL, drug_name=OPTIONAL, usual_form=OPTIONAL, claims=listed(CLAIM)
)
HERB = record(
    slug=TEXT, latin=TEXT, author=OPTIONAL, family=TEXT, names=WORDS, synonyms=WORDS, habit=TEXT, status=WORDS,
    status_note=OPTIONAL, old_names=WORDS, parts=listed(PART),
)  # fmt: skip


def misshapen(path: str, document: Any, schema: Schema) -> Iterator[Fault]:
    """A fault for each value of the wrong shape, at the line of the entry it stands in."""
    for error in Draft202012Validator(schema).iter_errors(document):
        yield Fault(path, _line(document, error), _sentence(error))


def _line(document: Any, error: ValidationError) -> int:
    line, value = getattr(document, "line", 1), document
    for step in error.absolute_path:
        value = value[step]
        line = getattr(value, "line", line)
    return int(line)


def _sentence(error: ValidationError) -> str:
    steps = [str(step) for step in error.absolute_path if isinstance(step, str)]
    where = f"{steps[-1]} " if steps else "This "
    rule: Any = error.validator_value
    if error.validator == "required":
        present: Any = error.instance
        missing = next(key for key in rule if key not in present)
        return f"{missing} is missing here."
    if error.validator == "minItems":
        return f"{where}needs at least one entry."
    wanted: list[str] = rule if isinstance(rule, list) else [rule]
    return f"{where}must be {' or '.join(NAMES[kind] for kind in wanted)}, not {error.instance!r:.60}."
