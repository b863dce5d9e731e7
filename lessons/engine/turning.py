"""The axis an item turns on: what leads in the case, or what parts the herbs."""

from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES

from .because import DECISIVE


def axis_of(item: Mapping[str, Any]) -> str:
    """The root of the pattern presented, or the axis of its greatest need; the axis that the decisive reason names in an item
    without a case; empty where no one axis decides (tastes, places on the plane, sums)."""
    told = item["presentation"]
    if told:
        pattern = told["pattern"]
        roots = {entry["follows"] for entry in pattern.values() if entry["follows"]}
        needed = [axis for axis in AXES if pattern[axis]["degree"]]
        if not needed:
            return ""
        return min(needed, key=lambda axis: (axis not in roots, pattern[axis]["follows"] is not None,
                                             -abs(pattern[axis]["degree"])))  # fmt: skip
    for reason in item["because"][0]:
        _, _, rest = reason["code"].partition(":")
        if reason["status"] == DECISIVE and rest.rstrip("+-") in AXES:
            return rest.rstrip("+-")
    return ""
