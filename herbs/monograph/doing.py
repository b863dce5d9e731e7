"""What a part does, where and for what: actions, places, states, differentials."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from herbs.bodymap import body_map
from herbs.catalogue import MateriaMedica
from herbs.engine import differentials, joined
from herbs.models import Claim, Term

from .words import kind, spaced, strength_word


def actions(claims: Iterable[Claim], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Actions by name, the strongest first, each with its places; strengths that differ by source are told apart."""
    grouped: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        grouped[claim.subject].append(claim)
    told = []
    for slug, found in grouped.items():
        spots: dict[tuple[str, str], list[Claim]] = defaultdict(list)
        for claim in found:
            spots[claim.site, claim.form].append(claim)
        places: dict[tuple[str, str, str], list[str]] = defaultdict(list)
        for (site, form), said in spots.items():
            strength, others = _strength(said, medica)
            places[strength, form, others].append(medica.catalogue.graph[site].name if site else "")
        told.append(
            {
                "term": medica.catalogue.actions[slug],
                "strongest": max(claim.amount or 0 for claim in found),
                "places": [
                    {"strength": strength, "form": spaced(form), "others": others, "sites": joined(sites)}
                    for (strength, form, others), sites in places.items()
                ],
            }
        )
    return sorted(told, key=lambda action: (-action["strongest"], action["term"].name))


def _strength(claims: Sequence[Claim], medica: MateriaMedica) -> tuple[str, str]:
    """The strength of an action at one place by the source that comes first, and what others hold it to be."""
    heard = sorted(claims, key=lambda claim: _order(claim, medica))
    first = strength_word(heard[0].amount)
    others = {
        claim.source.tradition.name: strength_word(claim.amount)
        for claim in reversed(heard[1:])
        if strength_word(claim.amount) != first
    }
    return first, "; ".join(f"{name}: {word}" for name, word in others.items())


def _order(claim: Claim, medica: MateriaMedica) -> int:
    return medica.heard.index(claim.source.slug) if claim.source.slug in medica.heard else len(medica.heard)


def derived(row: int, medica: MateriaMedica) -> list[dict[str, Any]]:
    """Derived actions of a row: strength, places, and the rule that derives each."""
    catalogue = medica.catalogue
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for (number, action, site), rule in catalogue.derived.items():
        if number == row:
            found[action, rule.says].append(site)
    return [
        {
            "term": catalogue.actions[action],
            "says": says,
            "strength": strength_word(
                3 * max(catalogue.strength[row, catalogue.action_index[action], catalogue.site_index[s]] for s in sites)
            ),
            "sites": joined([catalogue.graph[site].name for site in sites]),
        }
        for (action, says), sites in found.items()
    ]


def places(row: int, claims: Iterable[Claim], medica: MateriaMedica) -> dict[str, Any]:
    """The affinities of a row: a table by strength, and the picture of the body's sites.

    A place claimed only by sources that widen is told, but the arithmetic does not reckon with it.
    """
    catalogue = medica.catalogue
    by_site: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        by_site[claim.subject].append(claim)
    table, strengths = [], {}
    for site, found in by_site.items():
        heard = sorted(found, key=lambda claim: _order(claim, medica))
        amount = round(heard[0].amount or 0)
        reckoned = catalogue.affinity[row, catalogue.site_index[site]] >= amount / 3 - 1e-9
        strengths[site] = (amount, bool(reckoned))
        table.append(
            {
                "name": catalogue.graph[site].name,
                "within": ", ".join(sorted(catalogue.graph[p].name for p in catalogue.graph[site].parents)),
                "amount": amount,
                "strength": strength_word(amount),
                "reckoned": reckoned,
                "said_by": joined(list(dict.fromkeys(claim.source.tradition.name for claim in heard))),
            }
        )
    table.sort(key=lambda entry: (-entry["amount"], entry["name"]))
    reach = {site: float(catalogue.affinity[row, number]) for site, number in catalogue.site_index.items()}
    return {"table": table, "map": body_map(catalogue.graph, strengths, reach)}


def likes(row: int, medica: MateriaMedica) -> list[dict[str, Any]]:
    """Differentials of a row in words."""
    catalogue = medica.catalogue
    return [
        {
            "row": catalogue.rows[found.row],
            "shared": joined([catalogue.actions[slug].name for slug in found.shared]),
            "says": found.says,
            "kind": kind(catalogue.value[found.row]),
        }
        for found in differentials(catalogue, row)
    ]


def named(claims: Iterable[Claim], kind_of_term: Term.Kind, medica: MateriaMedica) -> list[str]:
    """The names of what claims of one predicate name, each once."""
    terms = medica.terms[kind_of_term]
    return list(dict.fromkeys(str(terms[claim.subject]["name"]) for claim in claims))
