"""A claim as plain values, as a line of a herb's file, and in words: what forms, sheets and files have in common."""

import re
from collections.abc import Mapping
from typing import Any

from .engine import AXES, pole
from .loading import Bundle
from .loading.herb_files import OWN_KEYS, SUBJECT_KIND
from .loading.writing import AMOUNTS, DETAILS
from .loading.yaml_lines import Lined
from .models import Claim, Term

# Every value that a claim may carry, in the order of forms and sheets.
FIELDS = ("predicate", "subject", "amount", "level", "reason", *DETAILS, "site", "form", "source", "seen", "note")
NUMBERS = {"amount", "low", "high", "alcohol", "times", "course", "age"}
NUMBER = re.compile(r"-?\d{1,6}(\.\d{1,6})?")
# What YAML can hold; everything else that a keyboard or a clipboard may bring is dropped.
UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")
STRENGTHS = ("hardly any", "slight", "plain", "leading")
REASONS = {"harm-known": "harm is known", "harm-expected": "harm is expected", "no-data": "no data on safety"}
P = Claim.Predicate


def one_line(text: str) -> str:
    """A text without characters that cannot be printed, on one line, without space at its ends."""
    return " ".join(UNPRINTABLE.sub("", text).split())


def number_of(text: Any) -> Any:
    """A number written as "2", "+2", "2.0" or with a true minus, whole where it is whole; anything else as it came."""
    plain = str(text).strip().replace("\u2212", "-").removeprefix("+")
    if not NUMBER.fullmatch(plain):
        return text
    number = float(plain)
    return int(number) if number == int(number) else number


def claim_line(values: Mapping[str, Any], line: int = 1) -> Lined:
    """Values by field as the claim's mapping in a file, blank ones left out; ``line`` is where faults will be told."""
    predicate = str(values.get("predicate") or "")
    entry = Lined({predicate: values.get("subject") or ""})
    entry.line = line
    for field in FIELDS[2:]:
        value = values.get(field)
        if value is None or value == "":
            continue
        key = AMOUNTS.get(predicate, "amount") if field == "amount" else field
        entry[key] = number_of(value) if field in NUMBERS else value
    return entry


def claim_values(claim: Mapping[str, Any]) -> dict[str, str]:
    """A claim's record as texts by field, blank ones left out: what ``claim_line`` turns into its line again."""
    flat = {**claim, **claim["details"]}
    return {field: _text(flat[field]) for field in FIELDS if flat.get(field) not in (None, "")}


def _text(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def fields_of(predicate: str) -> tuple[str, ...]:
    """The fields a claim of a predicate may fill in, besides predicate and subject, in the order of ``FIELDS``."""
    own = {"amount" if key in ("value", "strength") else key for key in OWN_KEYS.get(P(predicate), set())}
    return tuple(field for field in FIELDS[2:] if field in own or field in ("site", "form", "source", "seen", "note"))


def in_words(values: Mapping[str, Any], bundle: Bundle) -> str:
    """What a claim says, without its source: "warms +3", "leading expectorant in the airways", "avoid: pregnancy"."""
    predicate, subject = str(values.get("predicate", "")), str(values.get("subject", ""))
    amount = number_of(values.get("amount", ""))
    name = _name(SUBJECT_KIND.get(P(predicate)) if predicate in P.values else None, subject, bundle)
    if predicate == P.DEGREE:
        said = _degree(subject, amount)
    elif predicate in (P.ACTION, P.AFFINITY):
        strength = STRENGTHS[round(amount)] if isinstance(amount, int | float) and 0 <= amount <= 3 else "?"
        said = f"{strength} {name}" if predicate == P.ACTION else f"goes to the {name} ({strength})"
    elif predicate == P.CAUTION:
        reason = REASONS.get(str(values.get("reason", "")), "?")
        said = f"{values.get('level') or '?'}: {name} ({reason})"
    elif predicate == P.PREPARATION:
        said = "; ".join(filter(None, [name, *_making(values, bundle)]))
    elif predicate == P.HARVEST and values.get("age"):
        said = f"{name}, from plants of {values['age']} years or more"
    else:
        said = name
    if values.get("site"):
        said += f", in the {_name(Term.Kind.SITE, str(values['site']), bundle)}"
    if values.get("form"):
        said += f", as {_name(Term.Kind.FORM, str(values['form']), bundle)}"
    return said


def _name(kind: str | None, slug: str, bundle: Bundle) -> str:
    term = bundle.slugs(kind).get(slug) if kind else None
    return str(term["name"]) if term else slug


def _degree(axis: str, amount: Any) -> str:
    if axis not in AXES or not isinstance(amount, int | float):
        return f"{axis} {amount}"
    return f"{pole(axis, amount)} {amount:+g}".replace("-", "\u2212") if amount else f"temperate in {axis}"


def _making(values: Mapping[str, Any], bundle: Bundle) -> list[str]:
    made = str(values.get("ratio") or "")
    if values.get("menstruum"):
        made = f"{made} in {_name(Term.Kind.MENSTRUUM, str(values['menstruum']), bundle)}".strip()
    if values.get("alcohol"):
        made = f"{made} ({values['alcohol']} %)".strip()
    said = [made]
    if values.get("low") or values.get("high"):
        times = f", {values['times']} times a day" if values.get("times") else ""
        said.append(f"{values.get('low', '?')} to {values.get('high', '?')} {values.get('unit', '?')}{times}")
    if values.get("course"):
        said.append(f"at most {values['course']} days")
    return said
