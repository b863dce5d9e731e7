"""Items made by hand, of one place and one action, for checking proofs without a catalogue."""

from typing import Any

from herbs.engine import AXES, Pattern, fit_of
from lessons.engine.certificate import presentation_of
from tests.engine.build import ACTION, PLACE


def certified(part: str, *value: float, low: Any = None, high: Any = None, **changes: Any) -> dict[str, Any]:
    """A certificate's row of an herb that reaches the place and acts there, with an interval of no width unless given."""
    plain = {"affinity": 1.0, "action": 1.0, "listed": True, "opposed": False, "unsafe": []}
    return (
        {"part": part, "value": list(value), "low": list(low or value), "high": list(high or value)} | plain | changes
    )


def presented(*degrees: float, follows: dict[str, str] | None = None, person: tuple[str, ...] = ()) -> dict[str, Any]:
    """A presentation with the degrees of its state; ``follows`` names the root of an axis."""
    pattern = {
        axis: {"degree": degree, "follows": (follows or {}).get(axis)}
        for axis, degree in zip(AXES, degrees, strict=True)
    }
    return {
        "site": PLACE, "action": ACTION, "pattern": pattern, "constitution": dict.fromkeys(AXES, 0), "person": list(person),
        "person_names": list(person), "findings": [],
    }  # fmt: skip


def item(rows: list[dict[str, Any]], asked: dict[str, Any], **more: Any) -> dict[str, Any]:
    """An item about some rows, each an option with its working verdict."""
    made: dict[str, Any] = {"presentation": asked, "certificate": {"rows": rows}, "words": {}}
    presentation = presentation_of(made)
    made["options"] = [
        {
            "part": row["part"],
            "label": row["part"],
            "marks": [],
            "fault": None,
            "verdict": fit_of(
                tuple(row["value"]), row["affinity"], row["action"], presentation, opposed=row["opposed"]
            ).verdict,
        }
        for row in rows
    ]
    return made | more


def pattern(asked: dict[str, Any]) -> Pattern:
    """The pattern of a presentation."""
    return Pattern.from_mapping(asked["pattern"])
