"""The working profiles beside what sources say: agreement, contrary signs and their reasons, taste rules and exceptions."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from .catalogue import MateriaMedica
from .engine import AXES
from .engine.agreement import Kappa, contrary, same_side, weighted_kappa
from .engine.tastes import TasteRule, exceptions, expected
from .models import Claim, Source, Term, Tradition

CATEGORIES = range(-4, 5)
TODAY = "contemporary-western"


@dataclass(frozen=True)
class Pair:
    """What a source says of a part on an axis, and the working value beside it."""

    part: str
    axis: str
    source: str
    says: float
    working: float
    reason: str

    @property
    def is_contrary(self) -> bool:
        """Whether the two lie on opposite sides of temperate."""
        return contrary(self.says, self.working)


@dataclass(frozen=True)
class Agreement:
    """One tradition on one axis: pairs, shares on the same side and within one degree, and kappa where it has a value."""

    tradition: str
    axis: str
    pairs: tuple[Pair, ...]
    same_side: float
    within_one: float
    kappa: Kappa | None


@dataclass(frozen=True)
class TasteCheck:
    """One tradition's rule on its own degrees: figures looked at, how many lie within one degree, and the exceptions."""

    tradition: str
    looked_at: int
    held: int
    exceptions: tuple[tuple[str, str, float, float], ...]


def pairs_of(medica: MateriaMedica, tradition: str) -> list[Pair]:
    """Every unqualified degree a tradition's sources give, beside the working value of the part in its usual form."""
    herbs = medica.catalogue
    reasons = {
        (entry["part"], entry["axis"]): entry["reason"]
        for entry in medica.terms[Term.Kind.DEPARTURE].values()
        if entry["tradition"] == tradition
    }
    said = Claim.objects.filter(
        predicate=Claim.Predicate.DEGREE, source__tradition__slug=tradition, form="", site=""
    ).order_by("part__slug", "subject", "source__position")
    rows = said.values_list("part__slug", "subject", "source__slug", "amount")
    return [
        Pair(part, axis, source, float(amount or 0), float(herbs.value[herbs.row_number(part), AXES.index(axis)]),
             reasons.get((part, axis), ""))
        for part, axis, source, amount in rows
    ]  # fmt: skip


def agreements(medica: MateriaMedica) -> Iterator[Agreement]:
    """Each tradition but the one taught today, on each axis it speaks of."""
    for tradition, name in Tradition.objects.exclude(slug=TODAY).order_by("pk").values_list("slug", "name"):
        by_axis: dict[str, list[Pair]] = defaultdict(list)
        for pair in pairs_of(medica, tradition):
            by_axis[pair.axis].append(pair)
        for axis in (axis for axis in AXES if by_axis[axis]):
            found = by_axis[axis]
            says, working = [p.says for p in found], [p.working for p in found]
            near = sum(abs(a - b) <= 1 for a, b in zip(says, working, strict=True)) / len(found)
            yield Agreement(name, axis, tuple(found), same_side(says, working), near, _kappa(says, working))


def _kappa(first: Iterable[float], second: Iterable[float]) -> Kappa | None:
    try:
        return weighted_kappa([round(a) for a in first], [round(b) for b in second], CATEGORIES)
    except ValueError:
        return None


def taste_rules(medica: MateriaMedica) -> list[TasteRule]:
    """The rules of the vocabulary."""
    return [
        TasteRule(rule["tradition"], rule.get("taste") or rule["constituent"], "taste" in rule, rule["axes"])
        for rule in medica.terms[Term.Kind.TASTE_RULE].values()
    ]


def taste_checks(medica: MateriaMedica) -> Iterator[TasteCheck]:
    """Each tradition's rule against its own degrees; a tradition without tastes of its own is asked about today's."""
    rules = taste_rules(medica)
    herbs = medica.catalogue
    today = {
        row.part_slug: {axis: float(herbs.value[n, a]) for a, axis in enumerate(AXES)}
        for n, row in enumerate(herbs.rows)
        if row.is_usual
    }
    tasted = _said(Claim.Predicate.TASTE)
    made_of = _said(Claim.Predicate.CONSTITUENT)
    for tradition, name in Tradition.objects.order_by("pk").values_list("slug", "name"):
        own = [rule for rule in rules if rule.tradition == tradition]
        degrees = today if tradition == TODAY else _degrees(medica, tradition)
        if not own or not degrees:
            continue
        looked, odd = 0, []
        for part, found in degrees.items():
            tastes = tasted[tradition].get(part) or tasted[TODAY].get(part, set())
            awaited = expected(own, tastes, made_of[TODAY].get(part, set()))
            looked += len(awaited.keys() & found.keys())
            odd += [(part, axis, *both) for axis, both in exceptions(awaited, found).items()]
        if looked:
            yield TasteCheck(name, looked, looked - len(odd), tuple(sorted(odd)))


def _degrees(medica: MateriaMedica, tradition: str) -> Mapping[str, dict[str, float]]:
    found: dict[str, dict[str, float]] = defaultdict(dict)
    for pair in pairs_of(medica, tradition):
        found[pair.part].setdefault(pair.axis, pair.says)
    return found


def _said(predicate: str) -> Mapping[str, dict[str, set[str]]]:
    """Subjects of a predicate: {tradition: {part: subjects}}."""
    found: dict[str, dict[str, set[str]]] = defaultdict(dict)
    rows = Claim.objects.filter(predicate=predicate).values_list("source__tradition__slug", "part__slug", "subject")
    for tradition, part, subject in rows:
        found[tradition].setdefault(part, set()).add(subject)
    return found


@dataclass(frozen=True)
class Licensed:
    """An action that a regulator's source gives a part at a place, and whether practice gives it there too."""

    part: str
    action: str
    site: str
    source: str
    is_taught: bool


def licensed(medica: MateriaMedica) -> list[Licensed]:
    """Every action of the regulatory sources beside the working strengths: taught there, or derived there."""
    herbs = medica.catalogue
    slugs = Source.objects.filter(tradition__slug="regulatory").values_list("slug", flat=True)
    claims = Claim.objects.filter(predicate=Claim.Predicate.ACTION, source__slug__in=list(slugs)).order_by("part__slug")
    found = []
    for part, action, site, source in claims.values_list("part__slug", "subject", "site", "source__slug"):
        strength = herbs.strength[herbs.row_number(part), herbs.action_index[action]]
        there = float(strength[herbs.site_index[site]] if site else strength.max())
        found.append(Licensed(part, action, site, source, there > 0))
    return found
