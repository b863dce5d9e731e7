"""Energetics: the four axes with their ranges, and the plane."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from herbs.catalogue import MateriaMedica, degree_words
from herbs.engine import AXES, AXIS_INDEX, Catalogue, degree_number, pole
from herbs.models import Claim
from herbs.plane import CENTRE_X, GRID, marks

from .words import DEGREE_WORDS, kind, signed, spaced


def axis_rows(value: Any, low: Any, high: Any) -> list[dict[str, Any]]:
    """One row for each axis: pole, degree, range, and what the scale draws."""
    rows = []
    for number, axis in enumerate(AXES):
        degree, least, most = float(value[number]), float(low[number]), float(high[number])
        rows.append(
            {
                "axis": axis,
                "pole": pole(axis, degree) if degree else "",
                "strength": DEGREE_WORDS[degree_number(degree)],
                "value": signed(degree),
                "agree": least == most,
                "range": "sources agree" if least == most else f"{signed(least)} to {signed(most)}",
                "mark_x": 90 + 20 * degree,
                "left": 90 + 20 * least - 3,
                "width": 20 * (most - least) + 6,
            }
        )
    return rows


def plane_of(catalogue: Catalogue, rows: Iterable[int]) -> dict[str, Any]:
    """The plane for some rows, with its text equivalent."""
    numbers = list(rows)
    drawn = marks([(catalogue.rows[n].label, catalogue.value[n], catalogue.low[n], catalogue.high[n]) for n in numbers])
    told = "; ".join(f"{catalogue.rows[n].label}: {kind(catalogue.value[n])}" for n in numbers)
    return {"marks": drawn, "grid": GRID, "centre": CENTRE_X, "text": told, "numbered": len(numbers) > 1}


def energetics(row: int, claims: Iterable[Claim], medica: MateriaMedica) -> dict[str, Any]:
    """The axes of a row, its plane, and degrees of heard sources that hold only at a site or for a form.

    ``claims`` are degrees by sources that are computed with.
    """
    catalogue = medica.catalogue
    rows = axis_rows(catalogue.value[row], catalogue.low[row], catalogue.high[row])
    part = catalogue.rows[row].part_slug
    places: dict[str, list[str]] = defaultdict(list)
    for claim in claims:
        if claim.site and not claim.form:
            places[claim.site].append(degree_words(claim.subject, claim.amount or 0.0))
    return {
        "axes": rows,
        "kind": kind(catalogue.value[row]),
        "agree": all(axis["agree"] for axis in rows),
        "plane": plane_of(catalogue, [row]),
        "at": [(catalogue.graph[site].name, list(dict.fromkeys(said))) for site, said in places.items()],
        "forms": [
            {"form": spaced(other.form), "kind": kind(catalogue.value[number])}
            for number, other in enumerate(catalogue.rows)
            if other.part_slug == part and not other.is_usual
        ],
    }


def contrary_working_value(claim: Claim, row: int, catalogue: Catalogue) -> float | None:
    """The working value of a degree's axis where it lies on the other side of temperate; None where it does not."""
    working = float(catalogue.value[row, AXIS_INDEX[claim.subject]])
    contrary = not claim.form and not claim.site and working * (claim.amount or 0.0) < 0
    return working if contrary else None
