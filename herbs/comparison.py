"""Parts side by side: where they differ, most telling first, and what they share."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from .catalogue import MateriaMedica
from .engine import AXES, Row, capital, contrast_words, contrasts, joined, pole
from .models import Claim, Term
from .monograph.handling import GRAVITY
from .monograph.words import kind, signed, strength_word

MOST: Final = 4  # parts side by side
# How telling a difference is: for an axis the degrees between the furthest two, one more where they lie on both sides of
# temperate; for an action or place the strengths between them, times its share here; for other things a fixed weight.
OPPOSITE, CLASS_SHARE, ACTION_SHARE, PLACE_SHARE, OTHER_PLACE = 1.0, 0.9, 0.7, 0.8, 0.6
NAMED_WEIGHT: Final = {"state": 1.2, "taste": 1.0, "constituent": 0.5}
NAMED: Final = {
    "state": (Term.Kind.STATE, "States it suits"),
    "taste": (Term.Kind.TASTE, "Taste"),
    "constituent": (Term.Kind.CONSTITUENT, "Constituents"),
}
Strengths = Mapping[str, float]


@dataclass(frozen=True)
class Cell:
    """What one part has in a line: a word, what stands behind it more quietly, and for an axis its pole."""

    word: str = ""
    more: str = ""
    pole: str = ""


@dataclass(frozen=True)
class Line:
    """One line of the comparison; ``weight`` says how telling the difference is, 0 when there is none."""

    topic: str
    name: str
    cells: tuple[Cell, ...]
    weight: float = 0.0
    link: str = ""


@dataclass
class Comparison:
    """Lines that differ, the most telling first; lines that hold for all; cautions by level, whole; one sentence."""

    differ: list[Line] = field(default_factory=list)
    shared: list[Line] = field(default_factory=list)
    cautions: list[Line] = field(default_factory=list)
    sentence: str = ""

    def add(self, line: Line) -> None:
        """Put a line where it belongs."""
        (self.differ if line.weight else self.shared).append(line)


def compare(rows: Sequence[Row], medica: MateriaMedica) -> Comparison:
    """Compare two to four rows of the catalogue. One query, for what the arithmetic does not use."""
    found = Comparison()
    for line in [*_axes(rows, medica), *_actions(rows, medica), *_places(rows, medica)]:
        found.add(line)
    said = _said(rows)
    for predicate, (term_kind, topic) in NAMED.items():
        names = [_names(part.get(predicate, []), medica.terms[term_kind], medica) for part in said]
        shared = [name for name in names[0] if all(name in others for others in names)]
        if any(len(own) > len(shared) for own in names):
            cells = tuple(Cell(", ".join(name for name in own if name not in shared)) for own in names)
            found.add(Line(topic, "not shared" if shared else "", cells, NAMED_WEIGHT[predicate]))
        if shared:
            found.add(Line(topic, ", ".join(shared), tuple(Cell("all") for _ in rows)))
    found.differ.sort(key=lambda line: -line.weight)
    found.cautions = _cautions([part.get("caution", []) for part in said], medica)
    found.sentence = _sentence(rows, medica)
    return found


def _sentence(rows: Sequence[Row], medica: MateriaMedica) -> str:
    """The chief difference in quality in one sentence."""
    numbers = [medica.catalogue.row_number(row.slug) for row in rows]
    values = medica.catalogue.value[numbers]
    if len(rows) == 2:
        apart = contrasts(values[0], values[1])
        first, second = rows[0].label, rows[1].label
        if not apart:
            return f"{capital(first)} and {second} do not differ in kind: both are {kind(values[0])}."
        return f"Set against {first}, {second} {contrast_words(apart)}."
    spread = values.max(axis=0) - values.min(axis=0)
    widest = [axis for axis, width in zip(AXES, spread, strict=True) if width == spread.max()]
    if not spread.max():
        return "They do not differ in quality."
    return f"In quality they part most on {joined(widest)}."


def _axes(rows: Sequence[Row], medica: MateriaMedica) -> list[Line]:
    catalogue = medica.catalogue
    numbers = [catalogue.row_number(row.slug) for row in rows]
    lines = []
    for column, axis in enumerate(AXES):
        values = [float(catalogue.value[n, column]) for n in numbers]
        cells = []
        for number, value in zip(numbers, values, strict=True):
            low, high = float(catalogue.low[number, column]), float(catalogue.high[number, column])
            span = signed(value) if low == high else f"{signed(value)}, sources {signed(low)} to {signed(high)}"
            cells.append(Cell(pole(axis, value) if value else "temperate", span, pole(axis, value) if value else ""))
        spread = max(values) - min(values)
        opposite = OPPOSITE if min(values) < 0 < max(values) else 0.0
        lines.append(Line("Quality", axis, tuple(cells), spread + opposite))
    return lines


def _actions(rows: Sequence[Row], medica: MateriaMedica) -> list[Line]:
    catalogue = medica.catalogue
    lines = []
    strengths = [_claimed(row, "action", medica) for row in rows]
    derived = [_derived(row, medica) for row in rows]
    for slug, action in catalogue.actions.items():
        if medica.terms[Term.Kind.ACTION][slug].get("history"):
            continue
        told = []
        for number, row in enumerate(rows):
            index = (catalogue.row_number(row.slug), catalogue.action_index[slug])
            claimed = strengths[number].get(slug, {}) if catalogue.claims_action[index] else {}
            told.append((claimed, derived[number].get(slug, {})))
        if not any(claimed or lent for claimed, lent in told):
            continue
        weight = _weight(
            [{**lent, **claimed} for claimed, lent in told], CLASS_SHARE if action.is_class else ACTION_SHARE
        )
        cells = tuple(_action_cell(claimed, lent, medica) for claimed, lent in told)
        lines.append(Line("Action", action.name, cells, weight, slug if action.is_class else ""))
    return lines


def _action_cell(claimed: Strengths, lent: Strengths, medica: MateriaMedica) -> Cell:
    if not claimed and not lent:
        return Cell()
    strongest = max([*claimed.values(), *lent.values()])
    places = [medica.catalogue.graph[site].name for site in (claimed or lent) if site]
    return Cell(strength_word(strongest), f"{'' if claimed else 'derived; '}{', '.join(places)}".rstrip("; "))


def _places(rows: Sequence[Row], medica: MateriaMedica) -> list[Line]:
    catalogue = medica.catalogue
    strengths = []
    for row in rows:
        number = catalogue.row_number(row.slug)
        claimed = {site: max(at.values()) for site, at in _claimed(row, "affinity", medica).items()}
        strengths.append(
            {s: a for s, a in claimed.items() if catalogue.affinity[number, catalogue.site_index[s]] >= a / 3 - 1e-9}
        )
    lines = []
    for site in catalogue.graph.sites.values():
        amounts = [own.get(site.slug, 0.0) for own in strengths]
        if any(amounts):
            weight = _weight([{site.slug: amount} if amount else {} for amount in amounts], PLACE_SHARE)
            cells = tuple(Cell(strength_word(amount)) if amount else Cell() for amount in amounts)
            lines.append(Line("Place", site.name, cells, weight))
    return lines


def _weight(strengths: Sequence[Strengths], share: float) -> float:
    """How far strengths by place lie apart: by the strongest of each, else a little where the places differ."""
    strongest = [max(own.values(), default=0.0) for own in strengths]
    spread = max(strongest) - min(strongest)
    if round(spread):
        return spread * share
    return OTHER_PLACE * share if len({frozenset(own) for own in strengths}) > 1 else 0.0


def _claimed(row: Row, predicate: str, medica: MateriaMedica) -> dict[str, dict[str, float]]:
    """Strengths by subject and place, each subject by the first heard source that speaks: {subject: {site: strength}}."""
    order = {source: number for number, source in enumerate(medica.heard)}
    said: dict[str, tuple[int, dict[str, float]]] = {}
    statements = medica.parts[row.part_slug].statements
    for statement in sorted(statements, key=lambda s: (order.get(s.source, len(order)), s.form is not None)):
        if statement.predicate != predicate or statement.source not in order:
            continue
        if statement.form not in (None, row.form):
            continue
        first, places = said.setdefault(statement.subject, (order[statement.source], {}))
        if first == order[statement.source]:
            places[statement.site or ""] = statement.amount
    return {subject: places for subject, (_, places) in said.items()}


def _derived(row: Row, medica: MateriaMedica) -> dict[str, dict[str, float]]:
    catalogue = medica.catalogue
    number = catalogue.row_number(row.slug)
    found: dict[str, dict[str, float]] = {}
    for other, action, site in catalogue.derived:
        if other == number:
            index = (number, catalogue.action_index[action], catalogue.site_index[site])
            found.setdefault(action, {})[site] = 3 * float(catalogue.strength[index])
    return found


def _said(rows: Sequence[Row]) -> list[dict[str, list[Claim]]]:
    """For each row its claims of state, taste, constituent and caution, by predicate. One query."""
    wanted = [*NAMED, Claim.Predicate.CAUTION]
    claims = Claim.objects.filter(part__slug__in={row.part_slug for row in rows}, predicate__in=wanted)
    by_part: dict[str, list[Claim]] = {}
    for claim in claims.select_related("source", "part").order_by("part_id", "position"):
        by_part.setdefault(claim.part.slug, []).append(claim)
    told = []
    for row in rows:
        mine: dict[str, list[Claim]] = {}
        for claim in by_part.get(row.part_slug, []):
            if not claim.form or claim.form == row.form:
                mine.setdefault(claim.predicate, []).append(claim)
        told.append(mine)
    return told


def _names(claims: Sequence[Claim], terms: Mapping[str, Mapping[str, Any]], medica: MateriaMedica) -> list[str]:
    """What heard sources name, each once."""
    return list(dict.fromkeys(str(terms[c.subject]["name"]) for c in claims if c.source.slug in medica.heard))


def _cautions(claims: Sequence[Sequence[Claim]], medica: MateriaMedica) -> list[Line]:
    """Cautions by level, the gravest first, whoever says them; nobody's caution is left out of a comparison."""
    words = medica.terms[Term.Kind.PERSON_WORD]
    name: Callable[[Claim], str] = lambda claim: str(words[claim.subject]["name"])  # noqa: E731
    lines = []
    for level in GRAVITY:
        cells = [list(dict.fromkeys(name(c) for c in own if c.level == level)) for own in claims]
        if any(cells):
            lines.append(Line("Caution", level, tuple(Cell(", ".join(own)) for own in cells)))
    return lines
