"""Profiles in their published shape."""

from typing import Any

from .engine import AXES, CONSTANTS, ENGINE_VERSION, Catalogue


def profiles(catalogue: Catalogue) -> dict[str, Any]:
    """The compiled profiles as plain values; floats unrounded, absent affinities and strengths mean 0."""
    return {
        "data_version": catalogue.data_version,
        "engine_version": ENGINE_VERSION,
        "teaching_set": catalogue.teaching_set,
        "constants": CONSTANTS,
        "parts": [_part(catalogue, number) for number in range(len(catalogue.rows))],
    }


def _axes(arrays: tuple[Any, Any, Any], number: int) -> dict[str, dict[str, float]]:
    value, low, high = arrays
    return {
        axis: {"value": float(value[number, a]), "low": float(low[number, a]), "high": float(high[number, a])}
        for a, axis in enumerate(AXES)
    }


def _part(catalogue: Catalogue, number: int) -> dict[str, Any]:
    row = catalogue.rows[number]
    general = _axes((catalogue.value, catalogue.low, catalogue.high), number)
    at = {site: _axes(arrays, number) for site, arrays in catalogue.at.items()}
    return {
        "slug": row.slug,
        "label": row.label,
        "latin": row.latin,
        "part": row.part,
        "form": row.form,
        "axes": general,
        "axes_at": {site: axes for site, axes in at.items() if axes != general},
        "affinity": {s: float(a) for s, i in catalogue.site_index.items() if (a := catalogue.affinity[number, i])},
        "actions": {
            action: sites
            for action, a in catalogue.action_index.items()
            if (sites := _strengths(catalogue, number, action, a))
        },
        "opposes": {
            site: actions
            for site, s in catalogue.site_index.items()
            if (actions := [name for name, a in catalogue.action_index.items() if catalogue.opposes[number, a, s]])
        },
        "cautions": list(catalogue.unsafe_words(number)),
        "marks": list(row.marks),
    }


def _strengths(catalogue: Catalogue, number: int, action: str, index: int) -> dict[str, dict[str, Any]]:
    return {
        site: {"strength": float(strength), "derived": _derivation(catalogue, number, action, site)}
        for site, s in catalogue.site_index.items()
        if (strength := catalogue.strength[number, index, s])
    }


def _derivation(catalogue: Catalogue, number: int, action: str, site: str) -> str | None:
    rule = catalogue.derived.get((number, action, site))
    return rule.says if rule else None
