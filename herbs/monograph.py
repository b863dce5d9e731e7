"""What a monograph and a class page show, put together from claims and compiled profiles."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from .catalogue import STRENGTHS, MateriaMedica, degree_words
from .engine import AXES, Catalogue, degree_number, pole
from .models import Claim, Herb, Part, Term
from .plane import CENTRE_X, GRID, marks

DEGREE_WORDS = ("temperate", "slight", "plain", "leading", "extreme")
PREDICATE = Claim.Predicate


def signed(value: float) -> str:
    """A signed number as it is printed: +2, −1, 0."""
    return "0" if not value else f"{value:+g}".replace("-", "−")


def axis_rows(value: Any, low: Any, high: Any, spoken: Mapping[str, list[Claim]]) -> list[dict[str, Any]]:
    """One row for each axis: pole, degree, range, what the scale draws, and who says what."""
    rows = []
    for number, axis in enumerate(AXES):
        degree, least, most = float(value[number]), float(low[number]), float(high[number])
        rows.append(
            {
                "axis": axis,
                "pole": pole(axis, degree) if degree else "",
                "strength": DEGREE_WORDS[degree_number(degree)],
                "value": signed(degree),
                "range": "sources agree" if least == most else f"{signed(least)} to {signed(most)}",
                "mark_x": 90 + 20 * degree,
                "left": 90 + 20 * least - 3,
                "width": 20 * (most - least) + 6,
                "claims": spoken.get(axis, []),
            }
        )
    return rows


def kind(values: Iterable[float]) -> str:
    """The kind of an herb in words: "warming, drying, stirring"."""
    words = {
        "warms": "warming", "cools": "cooling", "moistens": "moistening", "dries": "drying", "tightens": "tightening",
        "relaxes": "relaxing", "stirs": "stirring", "quiets": "quieting",
    }  # fmt: skip
    named = [words[pole(axis, v)] for axis, v in zip(AXES, values, strict=True) if v]
    return ", ".join(named) if named else "temperate"


def plane_of(catalogue: Catalogue, rows: Iterable[int]) -> dict[str, Any]:
    """The plane for some rows, with its text equivalent."""
    numbers = list(rows)
    drawn = marks([(catalogue.rows[n].label, catalogue.value[n], catalogue.low[n], catalogue.high[n]) for n in numbers])
    told = "; ".join(f"{catalogue.rows[n].label}: {kind(catalogue.value[n])}" for n in numbers)
    return {"marks": drawn, "grid": GRID, "centre": CENTRE_X, "text": told, "numbered": len(numbers) > 1}


def monograph(herb: Herb, medica: MateriaMedica) -> list[dict[str, Any]]:
    """The sections of a monograph, one for each part."""
    return [_section(part, medica) for part in herb.parts.all()]


def _section(part: Part, medica: MateriaMedica) -> dict[str, Any]:
    catalogue = medica.catalogue
    claims: dict[str, list[Claim]] = defaultdict(list)
    for claim in part.claims.all():
        claims[claim.predicate].append(claim)
    row = catalogue.row_number(part.slug)
    heard, history = _by_axis(claims[PREDICATE.DEGREE], set(medica.heard))
    forms = [n for n, r in enumerate(catalogue.rows) if r.part_slug == part.slug and not r.is_usual]
    terms = medica.terms
    return {
        "part": part,
        "usual_form": part.usual_form.replace("-", " "),
        "kind": kind(catalogue.value[row]),
        "axes": axis_rows(catalogue.value[row], catalogue.low[row], catalogue.high[row], heard),
        "plane": plane_of(catalogue, [row]),
        "history": history,
        "differ": any(
            r["range"] != "sources agree"
            for r in axis_rows(catalogue.value[row], catalogue.low[row], catalogue.high[row], {})
        ),
        "at": _qualified(claims[PREDICATE.DEGREE], medica),
        "forms": [
            {
                "label": catalogue.rows[n].label,
                "kind": kind(catalogue.value[n]),
                "form": catalogue.rows[n].form.replace("-", " "),
            }
            for n in forms
        ],
        "actions": _actions(claims[PREDICATE.ACTION], medica),
        "derived": _derived(row, medica),
        "affinities": _affinities(claims[PREDICATE.AFFINITY], medica),
        "tastes": _names(claims[PREDICATE.TASTE], terms[Term.Kind.TASTE]),
        "constituents": _names(claims[PREDICATE.CONSTITUENT], terms[Term.Kind.CONSTITUENT]),
        "states": _names(claims[PREDICATE.STATE], terms[Term.Kind.STATE]),
        "indications": claims[PREDICATE.INDICATION],
        "preparations": [
            {"name": terms[Term.Kind.PREPARATION][c.subject]["name"], "claim": c} for c in claims[PREDICATE.PREPARATION]
        ],
        "cautions": _cautions(claims[PREDICATE.CAUTION], medica),
    }


def _by_axis(claims: Iterable[Claim], heard: set[str]) -> tuple[dict[str, list[Claim]], list[dict[str, Any]]]:
    """Claims of degree that are computed with, by axis; and those that are shown only, as history."""
    computed, history = defaultdict(list), []
    for claim in claims:
        entry = {"says": degree_words(claim.subject, claim.amount or 0.0), "claim": claim}
        if claim.source.slug in heard and not claim.form and not claim.site:
            computed[claim.subject].append(entry)
        elif claim.source.slug not in heard:
            history.append(entry)
    return computed, history  # type: ignore[return-value]


def _qualified(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Degrees of heard sources that hold only at a site, or only for a form."""
    heard = set(medica.heard)
    return [
        {
            "where": f"in the {medica.catalogue.graph[claim.site].name}"
            if claim.site
            else f"as {claim.form.replace('-', ' ')}",
            "says": degree_words(claim.subject, claim.amount or 0.0),
            "claim": claim,
        }
        for claim in claims
        if (claim.site or claim.form) and claim.source.slug in heard
    ]


def _actions(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Actions by name with their sites and strengths, the leading first; each with the claims behind it."""
    grouped: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        grouped[claim.subject].append(claim)
    told = []
    for slug, found in grouped.items():
        term = medica.catalogue.actions[slug]
        told.append(
            {
                "term": term,
                "strongest": max(claim.amount or 0 for claim in found),
                "said": [
                    {
                        "strength": STRENGTHS[round(claim.amount or 0)],
                        "site": medica.catalogue.graph[claim.site].name if claim.site else "",
                        "form": claim.form.replace("-", " "),
                        "claim": claim,
                    }
                    for claim in found
                ],
            }
        )
    return sorted(told, key=lambda action: (-action["strongest"], action["term"].name))


def _derived(row: int, medica: MateriaMedica) -> list[dict[str, str]]:
    """Derived actions of a row with the rule that derives each."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for (number, action, site), rule in medica.catalogue.derived.items():
        if number == row:
            found[(medica.catalogue.actions[action].name, rule.says)].append(medica.catalogue.graph[site].name)
    return [{"name": name, "says": says, "sites": ", ".join(sites)} for (name, says), sites in found.items()]


def _affinities(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    best: dict[str, Claim] = {}
    for claim in claims:
        if claim.subject not in best or (claim.amount or 0) > (best[claim.subject].amount or 0):
            best[claim.subject] = claim
    ranked = sorted(best.values(), key=lambda claim: -(claim.amount or 0))
    return [
        {
            "name": medica.catalogue.graph[claim.subject].name,
            "strength": STRENGTHS[round(claim.amount or 0)],
            "claim": claim,
        }
        for claim in ranked
    ]


def _names(claims: Iterable[Claim], terms: Mapping[str, Mapping[str, Any]]) -> list[str]:
    return list(dict.fromkeys(terms[claim.subject]["name"] for claim in claims))


def _cautions(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Cautions, the gravest first."""
    order = {"contraindicated": 0, "avoid": 1, "interaction": 2, "monitor": 3}
    reasons = {
        "harm-known": "harm is known",
        "harm-expected": "harm is expected",
        "no-data": "there are no data on safety",
    }
    words = medica.terms[Term.Kind.PERSON_WORD]
    return [
        {
            "level": claim.level.capitalize(),
            "who": words[claim.subject]["name"],
            "reason": reasons[claim.reason],
            "claim": claim,
        }
        for claim in sorted(claims, key=lambda claim: order[claim.level])
    ]
