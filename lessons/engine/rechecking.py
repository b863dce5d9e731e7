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
    found: list[str] = FAMILIES[item["family"]].recheck(item)
    return wrong + found
