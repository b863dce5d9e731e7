"""Herbs by any of their names, whatever the database: an index in the process, renewed with the data."""

from dataclasses import dataclass
from functools import lru_cache

from .catalogue import data_version
from .engine.trigrams import TrigramIndex
from .models import SearchName
from .names import fold


@dataclass(frozen=True)
class Found:
    """A herb that was found, and by which of its names (with the name's kind in words)."""

    slug: str
    name: str
    kind: str


@dataclass(frozen=True, eq=False)
class _Names:
    index: TrigramIndex
    rows: tuple[Found, ...]


@lru_cache(maxsize=2)
def _names(version: str) -> _Names:
    labels = dict(SearchName.Kind.choices)
    rows = SearchName.objects.order_by("herb__latin", "id").values_list("herb__slug", "name", "kind", "folded")
    kept = list(rows)
    return _Names(
        TrigramIndex([folded for *_, folded in kept]),
        tuple(Found(slug, name, str(labels[kind])) for slug, name, kind, _ in kept),
    )


def search(query: str) -> list[Found]:
    """Herbs with a name like the query, best first, each once with the name that fits best. One query when indexed."""
    names = _names(data_version())
    found: dict[str, Found] = {}
    for hit in names.index.find(fold(query)[:80]):
        row = names.rows[hit.number]
        found.setdefault(row.slug, row)
    return list(found.values())
