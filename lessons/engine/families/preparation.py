"""preparation: which menstruum or method draws what a part is used for, or a sum of the workroom.

Valid only on one decisive fact. Of a menstruum or method: the part holds the constituent asked about, a source prepares the
part in the way of the key, and no distractor draws or keeps that constituent (``draws``). Of a sum: the key follows from the
figures in the stem, every distractor from the same figures by one named mistake, all four differ, and none has more than one
decimal (``sums``).
Harmless plants only: no toxic or restricted part, none that holds a constituent of known harm.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from random import Random
from typing import Any

from lessons.engine.because import DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, profile_row
from lessons.engine.draws import DRAWS, MANY, MENSTRUA, METHODS, Draw, is_supported
from lessons.engine.sums import POINTS, SUMS, shown
from lessons.engine.workshop import Workshop

NAME = "preparation"
TITLE = "Menstruum, method and sums"
RESPONSE = "choose"
FINITE = True
PANEL = False
CHOICES = 2  # sets of wrong answers for each constituent of a part
NUMBERS = 3  # sets of figures for each kind of sum and part
DISTRACTORS = 3
BARRED_MARKS = {"toxic", "restricted"}
BARRED_CONSTITUENTS = {"pyrrolizidine-alkaloid", "cardiac-glycoside", "thujone", "cyanogenic-glycoside"}
# Sums on doses are asked of gentle herbs alone, at the one ratio for which a few millilitres are usual: no figure should stick in
# a mind that would be too much of a stronger herb.
DOSED = 5
NEVER_DOSED = {
    "alkaloid", "anthraquinone", "caffeine", "mustard-oil", "oleoresin", "phytoestrogen", "resin", "salicylate", "saponin",
}  # fmt: skip
WRONG_CHOICE = {"menstruum": "wrong menstruum", "method": "wrong method"}
STEMS = {
    "menstruum": (
        "You want the {constituent} of {herb}. Which menstruum draws the most?",
        "Which menstruum would you choose to draw the {constituent} of {herb}?",
        "A preparation of {herb} is wanted for the {constituent}. What should the menstruum be?",
    ),
    "method": (
        "You want the {constituent} of {herb}. Which way of preparing yields the most?",
        "A preparation of {herb} is wanted for the {constituent}. Which method suits that?",
        "Which method would you choose for the {constituent} of {herb}?",
    ),
}
# Of a part that is the constituent itself, as myrrh resin is.
STEMS_WHOLE = {
    "menstruum": ("Which menstruum draws the most from {herb}?", "What should the menstruum for {herb} be?"),
    "method": ("Which way of preparing draws the most from {herb}?", "Which method would you choose for {herb}?"),
}
# A tannin is what an astringent is prepared for; in a laxative bark nobody looks for it.
WANTED_OF = {"tannin": "astringent"}
MISTAKES = (
    "The stronger the alcohol, the more it draws of whatever a plant holds.",
    "The longer it boils, the more goes over of whatever a plant holds.",
    "What counts is the time it steeps, not what it steeps in.",
    "Whatever suits one part of a plant suits its other parts too.",
)


@dataclass(frozen=True)
class Case:
    """A row with what is asked of it: what draws a constituent, beside three wrong ones; or a sum with its figures."""

    kind: str
    row: int
    draw: Draw | None = None
    wrong: tuple[str, ...] = ()
    variant: str = ""
    figures: tuple[tuple[str, int], ...] = ()
    amounts: tuple[tuple[Fraction, str], ...] = ()
    source: str = ""


def cases(workshop: Workshop, constraints: Constraints) -> Sequence[Case]:
    """Every case: each constituent drawn with up to CHOICES sets of wrong answers, each sum with up to NUMBERS sets of figures.

    Of the sums as many are kept with the right amount in each place by size, so that no place is worth guessing.
    """
    found: list[Case] = []
    sums: list[list[Case]] = [[] for _ in range(DISTRACTORS + 1)]
    for kind, subjects in _find(workshop, constraints).items():
        for number, (row, held) in enumerate(subjects):
            if kind not in SUMS:
                sets = list(combinations(held.wrong, DISTRACTORS))
                found += [Case(kind, row, held, wrong) for wrong in sets[:: max(1, len(sets) // CHOICES)][:CHOICES]]
                continue
            for turn in range(NUMBERS):
                case = _figured(workshop, kind, row, held, place=(number + turn) % (DISTRACTORS + 1), turn=turn)
                if case is not None:
                    sums[[name for _, name in case.amounts].index("")].append(case)
    even = min(map(len, sums))
    for place in sums:
        # Within narrow limits, where some place has none, all are kept.
        found += [place[number * len(place) // even] for number in range(even)] if even else place
    unique: dict[tuple[object, ...], Case] = {}
    for case in found:
        unique.setdefault((case.row, case.variant, case.figures, case.wrong, case.draw), case)
    return list(unique.values())


def _figured(
    workshop: Workshop, kind: str, row: int, tincture: tuple[int, int, str], *, place: int, turn: int
) -> Case | None:
    parts, alcohol, source = tincture
    slug = workshop.catalogue.rows[row].slug
    rng = Random(f"{NAME} {slug} {kind} {turn}")
    for variant in rng.sample(SUMS[kind].variants, len(SUMS[kind].variants)):
        drawn = variant.draw(parts, alcohol, rng, place)
        if drawn is not None:
            figures, amounts = drawn
            ordered = tuple(sorted((amount, name) for name, amount in amounts.items()))
            return Case(kind, row, None, (), variant.slug, tuple(figures.items()), ordered, source)
    return None


def write(workshop: Workshop, case: Case, rng: Random) -> Draft | None:
    """One case in words."""
    return _sum(workshop, case, rng) if case.kind in SUMS else _choice(workshop, case, rng)


def _find(workshop: Workshop, constraints: Constraints) -> dict[str, list[tuple[int, Any]]]:
    catalogue = workshop.catalogue
    plainly = workshop.plainly(constraints.action) if constraints.action else None
    found: dict[str, list[tuple[int, Any]]] = {kind: [] for kind in (*WRONG_CHOICE, *SUMS)}
    for number, row in enumerate(catalogue.rows):
        notes = workshop.notes.get(row.part_slug)
        if notes is None or not row.is_usual or BARRED_MARKS & set(row.marks):
            continue
        if BARRED_CONSTITUENTS & set(notes.constituents) or not constraints.admits_part(row.part_slug):
            continue
        if plainly is not None and not plainly[number]:
            continue
        for draw in DRAWS:
            wanted = WANTED_OF.get(draw.constituent)
            if is_supported(draw, row.part, notes) and (wanted is None or workshop.plainly(wanted)[number]):
                found[draw.kind].append((number, draw))
        for made in notes.preparations:
            first, _, parts = made.ratio.partition(":")
            if made.method == "tincture" and made.alcohol and first == "1" and parts.isdigit():
                gentle = not row.marks and int(parts) == DOSED and not NEVER_DOSED & set(notes.constituents)
                for kind in SUMS:
                    if kind != "dose" or gentle:
                        found[kind].append((number, (int(parts), int(made.alcohol), made.source)))
                break
    return found


def _choice(workshop: Workshop, case: Case, rng: Random) -> Draft | None:
    row, kind, draw = case.row, case.kind, case.draw
    if draw is None:
        return None
    record = workshop.catalogue.rows[row]
    notes = workshop.notes[record.part_slug]
    labels = MENSTRUA if kind == "menstruum" else METHODS
    slugs = [draw.right, *case.wrong]
    rng.shuffle(slugs)
    names = workshop.terms.get("constituent", {})
    herb, constituent = record.label, _name(names, draw.constituent)
    stems = (STEMS_WHOLE if record.part == constituent else STEMS)[kind]
    number = rng.randrange(len(stems))
    others = [name for name in notes.constituents if name != draw.constituent]
    reasons: list[Reason] = [{"code": "draws", "status": DECISIVE}, {"code": "contrary", "status": FALSE}]
    words = {"herb": herb, "constituent": constituent}
    if others:
        words["other"] = _name(names, rng.choice(others))
        reasons.append({"code": "other", "status": TRUE})
    for mistake in rng.sample(range(len(MISTAKES)), 2):
        reasons.append({"code": f"mistake:{mistake}", "status": MISCONCEPTION})
    rng.shuffle(reasons)
    sources = sorted({made.source for made in notes.preparations if made.method in draw.methods})
    return {
        "stem": stems[number].format(herb=herb, constituent=constituent),
        "vignette": "",
        "presentation": None,
        "options": [
            {"slug": slug, "label": labels[slug], "fault": None if slug == draw.right else WRONG_CHOICE[kind]}
            for slug in slugs
        ],
        "key": slugs.index(draw.right),
        "because": [reasons],
        "words": words,
        "subject": {"kind": kind, "part": record.slug, "constituent": draw.constituent},
        "certificate": {"rows": [profile_row(workshop.catalogue, row)], "holds": list(notes.constituents)},
        "skeleton": f"{NAME}:{kind}{number}:{record.slug}",
        "sources": {record.slug: sources},
    }


def _name(names: Mapping[str, Mapping[str, Any]], slug: str) -> str:
    """A class of constituents as it is spoken of: "mucilage", "flavonoids"."""
    name = str(names[slug]["name"]) if slug in names else slug.replace("-", " ")
    return f"{name}s" if slug in MANY else name


def _sum(workshop: Workshop, case: Case, rng: Random) -> Draft | None:
    row, kind, amounts, figures = case.row, case.kind, case.amounts, dict(case.figures)
    record, variant = workshop.catalogue.rows[row], SUMS[kind].variant(case.variant)
    number = rng.randrange(len(variant.stems))
    herb = record.label
    stem = variant.stems[number].format(herb=herb, **figures)
    reasons = [{"code": code, "status": status} for code, status in variant.reasons]
    rng.shuffle(reasons)
    return {
        "stem": stem,
        "vignette": "",
        "presentation": None,
        "options": [
            {
                "slug": f"{shown(amount).replace('.', '-')}-{variant.unit.lower()}",
                "label": f"{shown(amount)} {variant.unit}",
                "fault": None if name == "" else name,
            }
            for amount, name in amounts
        ],
        "key": [name for _, name in amounts].index(""),
        "because": [reasons],
        "words": {"herb": herb},
        "subject": {"kind": kind, "part": record.slug, "sum": variant.slug, **figures, "steps": variant.steps},
        "certificate": {"rows": [profile_row(workshop.catalogue, row)]},
        "skeleton": f"{NAME}:{variant.slug}{number}:{record.slug}",
        "sources": {record.slug: [case.source]},
    }


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for."""
    subject = item["subject"]
    if subject["kind"] in SUMS:
        variant = SUMS[subject["kind"]].variant(subject["sum"])
        return variant.sentences[code].format(**item["words"], **subject)
    kind, _, rest = code.partition(":")
    if kind == "mistake":
        return MISTAKES[int(rest)]
    if kind == "other":
        return f"Its constituents include {item['words']['other']} as well."
    draw = _draw_of(item)
    return draw.because if kind == "draws" else draw.contrary


def _draw_of(item: Mapping[str, Any]) -> Draw:
    """The fact an item rests on; StopIteration when there is none."""
    subject, right = item["subject"], item["options"][item["key"]]["slug"]
    return next(
        draw
        for draw in DRAWS
        if (draw.kind, draw.constituent, draw.right) == (subject["kind"], subject["constituent"], right)
    )


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What does not hold: sums are worked out again from the figures; a menstruum or method is looked up among the facts."""
    subject, options, key = item["subject"], item["options"], item["key"]
    if not isinstance(key, int) or not 0 <= key < len(options) or options[key]["fault"] is not None:
        return ["The key is not the option without fault."]
    wrong = []
    if subject["kind"] in SUMS:
        variant = SUMS[subject["kind"]].variant(subject["sum"])
        for number, option in enumerate(options):
            name = "" if number == key else option["fault"]
            if name not in variant.figures and name not in POINTS:
                wrong.append(f"{option['label']}: no such mistake is made in this sum.")
            elif option["label"] != f"{shown(variant.amount(subject, name))} {variant.unit}":
                wrong.append(f"{option['label']}: does not follow from the figures.")
        if len({option["label"] for option in options}) != len(options):
            wrong.append("Two options are the same.")
        return wrong
    right, named = options[key]["slug"], subject["constituent"]
    facts = [d for d in DRAWS if (d.kind, d.constituent, d.right) == (subject["kind"], named, right)]
    if not facts:
        return [f"{right}: is not known to draw {named}."]
    if named not in item["certificate"]["holds"]:
        wrong.append(f"The part does not hold {named}.")
    wrong += [
        f"{option['slug']}: may draw {named} too."
        for number, option in enumerate(options)
        if number != key and option["slug"] not in facts[0].wrong
    ]
    return wrong
