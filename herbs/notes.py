"""Tastes, constituents and preparations of every part, for questions: rows to plain values."""

from collections import defaultdict

from .engine import PartNotes, PreparationNote
from .models import Claim

NOTED = (Claim.Predicate.TASTE, Claim.Predicate.CONSTITUENT, Claim.Predicate.PREPARATION, Claim.Predicate.DEGREE)


def part_notes() -> dict[str, PartNotes]:
    """Notes by part slug. One query; of several sources of one tradition the first one that gives a degree is heard."""
    tastes: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    degrees: dict[str, dict[str, dict[str, float]]] = defaultdict(lambda: defaultdict(dict))
    constituents: dict[str, list[str]] = defaultdict(list)
    preparations: dict[str, list[PreparationNote]] = defaultdict(list)
    sources: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    claims = (
        Claim.objects.filter(predicate__in=NOTED, form="", site="")
        .order_by("part_id", "source__position", "position")
        .values_list(
            "part__slug", "predicate", "subject", "amount", "source__slug", "source__tradition__slug", "details"
        )
    )
    for part, predicate, subject, amount, source, tradition, details in claims:
        if predicate == Claim.Predicate.PREPARATION:
            alcohol = details.get("alcohol")
            preparations[part].append(
                PreparationNote(subject, details.get("menstruum", ""), alcohol, details.get("ratio", ""), source)
            )
            continue
        if predicate == Claim.Predicate.CONSTITUENT:
            if subject not in constituents[part]:
                constituents[part].append(subject)
            continue
        if predicate == Claim.Predicate.TASTE:
            tastes[part][tradition].append(subject)
        else:
            degrees[part][tradition].setdefault(subject, float(amount or 0))
        if source not in sources[part][tradition]:
            sources[part][tradition].append(source)
    parts = {*tastes, *degrees, *constituents, *preparations}
    return {
        part: PartNotes(
            {tradition: tuple(dict.fromkeys(found)) for tradition, found in tastes[part].items()},
            tuple(constituents[part]),
            tuple(preparations[part]),
            {tradition: dict(found) for tradition, found in degrees[part].items()},
            {tradition: tuple(found) for tradition, found in sources[part].items()},
        )
        for part in sorted(parts)
    }
