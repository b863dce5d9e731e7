"""The proof of a key, checked from the certificate's figures alone: tools that every family with a presentation uses."""

from collections.abc import Mapping
from itertools import product
from typing import Any

from herbs.engine import (
    AXES,
    CORNERS,
    LIMIT,
    MARGIN,
    SHIFT,
    Pattern,
    Presentation,
    constitution_from_mapping,
    fit_of,
)

ROUNDING_ERROR = 1e-9


def presentation_of(item: Mapping[str, Any]) -> Presentation:
    """What an item presents, for the arithmetic."""
    told = item["presentation"]
    return Presentation(
        told["site"], told["action"], Pattern.from_mapping(told["pattern"]),
        constitution_from_mapping(told["constitution"]), frozenset(told["person"]),
    )  # fmt: skip


def recheck_best_fit(item: Mapping[str, Any]) -> list[str]:
    """What in an item's certificate does not hold; empty when the key is proved. Uses the stored figures alone, by the
    scalar arithmetic at every candidate for an extreme (ends, need, zero), not the exact bounds that made it."""
    presentation = presentation_of(item)
    wrong: list[str] = []
    rows = item["certificate"]["rows"]
    key = item["key"]
    if [row["part"] for row in rows] != [option["part"] for option in item["options"]]:
        return ["The certificate is of other options."]
    spread = [extremes(row, presentation, SHIFT) for row in rows]
    for number, (row, (verdicts, _, highest)) in enumerate(zip(rows, spread, strict=True)):
        if number == key:
            if verdicts != {"suits"}:
                wrong.append(f"{row['part']}: the key does not suit everywhere ({', '.join(sorted(verdicts))}).")
            continue
        if "suits" in verdicts:
            wrong.append(f"{row['part']}: a distractor may suit.")
        if not row["listed"]:
            wrong.append(f"{row['part']}: does not claim the action asked.")
        lowest_key = spread[key][1]
        if "partly" in verdicts and any(
            k - d < MARGIN - ROUNDING_ERROR for k, d in zip(lowest_key, highest, strict=True)
        ):
            wrong.append(f"{row['part']}: comes within {MARGIN} of the key.")
    return wrong


def extremes(
    row: Mapping[str, Any], presentation: Presentation, shift: float
) -> tuple[set[str], list[float], list[float]]:
    """Verdicts met, and lowest and highest fit at each corner of the weights, over interval and half-degree doubt."""
    verdicts: set[str] = set()
    low, high = [9.0] * len(CORNERS), [-9.0] * len(CORNERS)
    unsafe = bool(presentation.person & set(row["unsafe"]))
    for doubted in range(len(AXES)):
        candidates = []
        for axis, need in enumerate(presentation.pattern.need):
            extra = shift if axis == doubted else 0.0
            ends = max(row["low"][axis] - extra, -LIMIT), min(row["high"][axis] + extra, LIMIT)
            inner = {min(max(point, ends[0]), ends[1]) for point in (0.0, need)}
            candidates.append(sorted({*ends, *inner}))
        for effects in product(*candidates):
            for corner, weights in enumerate(CORNERS):
                fit = fit_of(
                    effects,
                    row["affinity"],
                    row["action"],
                    presentation,
                    opposed=row["opposed"],
                    unsafe=unsafe,
                    weights=tuple(float(weight) for weight in weights),  # type: ignore[arg-type]
                )
                low[corner], high[corner] = min(low[corner], fit.fit), max(high[corner], fit.fit)
                verdicts.add(fit.verdict)
    return verdicts, low, high
