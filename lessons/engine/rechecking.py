"""Proofs checked again, from the item alone, whatever its family."""

from collections.abc import Mapping
from typing import Any

from .because import DECISIVE
from .families import FAMILIES


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of an opened item's key does not hold by its own certificate, as sentences; empty when it is proved."""
    if item["family"] not in FAMILIES:
        return [f"There is no item family {item['family']!r}."]
    wrong = [
        "A list of reasons has not exactly one that decides."
        for reasons in item["because"]
        if sum(reason["status"] == DECISIVE for reason in reasons) != 1
    ]
    if not item["because"] or not _points(item):
        return [*wrong, "It has no reasons, or its key points at none of its options."]
    found: list[str] = FAMILIES[item["family"]].recheck(item)
    return wrong + found


def _points(item: Mapping[str, Any]) -> bool:
    """Whether the key is an option, or where options are ordered or matched, uses each of them once."""
    kind, key, options = item.get("response", "choose"), item["key"], range(len(item["options"]))
    if kind == "choose":
        return key in options
    return kind not in ("rank", "match") or sorted(key) == list(options)
