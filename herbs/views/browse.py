"""The index of the materia medica: searched by name, filtered by what is said, and by pointing at the plane."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any
from urllib.parse import urlencode

import numpy as np
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_safe

from config.htmx import render_page
from herbs.catalogue import degree_words
from herbs.engine import AXES
from herbs.facets import Facets, facets
from herbs.loaded import needs_materia_medica
from herbs.models import SearchName
from herbs.monograph import kind, signed
from herbs.plane import CENTRE_X, CENTRE_Y, GRID, STEP
from herbs.search import Found, search

from .common import medica_for

FILTERS = {
    "action": "Action", "kind": "Kind", "site": "Place", "state": "State it suits", "taste": "Taste", "tradition": "Told by",
    "family": "Family", "season": "Gathered in",
}  # fmt: skip
SORTS = ("herb", "latin", *AXES)
PER_PAGE = 25
OWN_NAMES = {SearchName.Kind.ACCEPTED.label, SearchName.Kind.COMMON.label, SearchName.Kind.PART.label}


@dataclass(frozen=True)
class Asked:
    """What an address asks for; whatever is unknown in it is left out."""

    query: str
    wanted: Mapping[str, Sequence[str]]
    at: tuple[int, int] | None
    sort: str

    def address(self, **changes: Any) -> str:
        """The query string of this with changes; a change to None leaves the key out."""
        values: dict[str, Any] = {**self.wanted, "q": self.query, "sort": "" if self.sort == "herb" else self.sort}
        values["at"] = f"{self.at[0]},{self.at[1]}" if self.at else ""
        values |= changes
        return "?" + urlencode({key: value for key, value in values.items() if value}, doseq=True)


def asked(query: QueryDict, known: Facets) -> Asked:
    """Read an address against what there is to choose."""
    wanted = {
        name: [choice for choice in dict.fromkeys(query.getlist(name)) if choice in known.choices.get(name, {})]
        for name in FILTERS
    }
    sort = query.get("sort", "herb")
    return Asked(
        query.get("q", "").replace("\x00", "").strip()[:80],
        {name: chosen for name, chosen in wanted.items() if chosen},
        _point(query.get("at", "")),
        sort if sort in SORTS else "herb",
    )


def _point(text: str) -> tuple[int, int] | None:
    """A point of the plane, "2,-1", or None for anything else."""
    try:
        temperature, moisture = (int(number) for number in text.split(","))
    except ValueError:
        return None
    return (temperature, moisture) if max(abs(temperature), abs(moisture)) <= 4 else None


@require_safe
@needs_materia_medica
def herb_index(request: HttpRequest) -> HttpResponse:
    """Parts by name and by what is said of them, as a table and on the plane."""
    medica = medica_for(request)
    known = facets(medica)
    want = asked(request.GET, known)
    found = {hit.slug: hit for hit in search(want.query)} if want.query else None
    held = known.matching(want.wanted, found, None)
    numbers = [int(n) for n in np.flatnonzero(held if want.at is None else held & known.matching({}, None, want.at))]
    _arrange(numbers, known, want, list(found or {}))
    page = Paginator(numbers, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "asked": want,
        "filters": partial(_filters, known, want),  # asked for by the whole page alone
        "chips": _chips(known, want),
        "rows": [_row(n, known, found or {}) for n in page.object_list],
        "page": page,
        "previous_page": want.address(page=page.previous_page_number()) if page.has_previous() else "",
        "next_page": want.address(page=page.next_page_number()) if page.has_next() else "",
        "species": len({known.entries[n].herb for n in numbers}),
        "columns": [(name, name.capitalize(), want.address(sort=name)) for name in AXES],
        "sort_herb": want.address(sort=None),
        "sort_latin": want.address(sort="latin"),
        "plane": _plane(known, held, want),
        "teaching_set": medica.teaching_set_name,
    }
    return render_page(request, "herbs/herb_index.html", context, fragment="browse-results")


def _arrange(numbers: list[int], known: Facets, want: Asked, ranked: list[str]) -> None:
    """Sort in place: by an axis from high to low, by Latin name, or by English name; a search keeps its own order."""
    if want.sort in AXES:
        numbers.sort(key=lambda n: (-known.values[n, AXES.index(want.sort)], known.entries[n].label.lower()))
    elif want.sort == "latin":
        numbers.sort(key=lambda n: (known.entries[n].latin, known.entries[n].label.lower()))
    elif ranked:
        rank = {slug: place for place, slug in enumerate(ranked)}
        numbers.sort(key=lambda n: (rank[known.entries[n].herb], known.entries[n].label.lower()))
    else:
        numbers.sort(key=lambda n: known.entries[n].label.lower())


def _filters(known: Facets, want: Asked) -> list[dict[str, Any]]:
    """Each filter with its choices and which are chosen."""
    return [
        {
            "name": name,
            "label": label,
            "choices": [
                {"slug": slug, "name": title, "is_chosen": slug in want.wanted.get(name, ())}
                for slug, (title, _) in known.choices[name].items()
            ],
        }
        for name, label in FILTERS.items()
    ]


def _chips(known: Facets, want: Asked) -> list[dict[str, str]]:
    """What is being filtered by, each with the address without it."""
    chips = []
    for name, chosen in want.wanted.items():
        for choice in chosen:
            rest = [other for other in chosen if other != choice]
            chips.append(
                {"label": f"{FILTERS[name]}: {known.choices[name][choice][0]}", "without": want.address(**{name: rest})}
            )
    if want.at:
        chips.append({"label": _place(want.at), "without": want.address(at=None)})
    if want.query:
        chips.append({"label": f"Name: {want.query}", "without": want.address(q=None)})
    return chips


def _place(at: tuple[int, int]) -> str:
    return ", ".join(degree_words(axis, float(degree)) for axis, degree in zip(AXES, at, strict=False))


def _row(number: int, known: Facets, found: Mapping[str, Found]) -> dict[str, Any]:
    entry = known.entries[number]
    hit = found.get(entry.herb)
    return {
        "entry": entry,
        "kind": kind(known.values[number]),
        "values": [signed(value) for value in known.values[number]],
        "by_name": f"{hit.name}, {hit.kind}" if hit and hit.kind not in OWN_NAMES else "",
    }


def _plane(known: Facets, held: Any, want: Asked) -> dict[str, Any]:
    """How many of the parts lie at each whole degree of the plane; each place is a way to filter by it."""
    counts: dict[tuple[int, int], int] = {}
    for point in known.points[held]:
        spot = int(point[0]), int(point[1])
        counts[spot] = counts.get(spot, 0) + 1
    spots = [
        {
            "x": CENTRE_X + STEP * spot[0],
            "y": CENTRE_Y - STEP * spot[1],
            "count": count,
            "radius": 12 if count < 10 else 15,
            "label": f"{count} {'part' if count == 1 else 'parts'}: {_place(spot)}",
            "address": want.address(at=None if spot == want.at else f"{spot[0]},{spot[1]}"),
            "is_chosen": spot == want.at,
        }
        for spot, count in sorted(counts.items(), key=lambda item: (-item[0][1], item[0][0]))
    ]
    return {"spots": spots, "grid": GRID, "centre": CENTRE_X}
