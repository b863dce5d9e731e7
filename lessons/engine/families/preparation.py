"""preparation: which menstruum or method draws what a part is used for, or a sum of the workroom.

Valid only on one decisive fact. Of a menstruum or method: the part holds the constituent asked about, a source prepares the
part in the way of the key, and no distractor draws or keeps that constituent (``draws``). Of a sum: the key follows from the
figures in the stem, every distractor from the same figures by one named mistake, all four differ, and none has more than one
decimal (``sums``).
Harmless plants only: no toxic or restricted part, none that holds a constituent of known harm.
"""

from collections.abc import Iterator, Mapping
from random import Random
from typing import Any

from lessons.engine.because import DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, profile_row
from lessons.engine.draws import DRAWS, MANY, MENSTRUA, METHODS, Draw, is_supported
from lessons.engine.errors import NoValidItemError
from lessons.engine.responses import mark_choice
from lessons.engine.sums import POINTS, SUMS, Sum, shown
from lessons.engine.workshop import Workshop

NAME = "preparation"
TITLE = "Menstruum, method and sums"
RESPONSE = "choose"
FINITE = PANEL = False
ATTEMPTS = 400
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


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when no part within the constraints can be asked about."""
    by_kind = _subjects(workshop, constraints)
    kinds = [kind for kind, subjects in by_kind.items() if subjects]
    if not kinds:
        raise NoValidItemError(
            "No harmless part here has a preparation to ask about. Choose a wider class or more herbs."
        )
    for _ in range(ATTEMPTS):
        kind = rng.choice(kinds)
        if kind in SUMS:
            row, tincture = rng.choice(by_kind[kind])
            draft = _sum(workshop, row, kind, tincture, rng)
        else:
            # The constituent first: most parts hold volatile oil, and a drill should meet the others as often.
            draw = rng.choice(list(dict.fromkeys(draw for _, draw in by_kind[kind])))
            row = rng.choice([row for row, held in by_kind[kind] if held is draw])
            draft = _choice(workshop, row, kind, draw, rng)
        if draft is not None:
            yield draft


def _subjects(workshop: Workshop, constraints: Constraints) -> Mapping[str, list[tuple[int, Any]]]:
    """By kind of question: rows with the draw they support, or with the tincture (parts of menstruum, per cent, source)."""
    key = (NAME, constraints)
    if key not in workshop.kept:
        workshop.kept[key] = _find(workshop, constraints)
    found: Mapping[str, list[tuple[int, Any]]] = workshop.kept[key]
    return found


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


def _choice(workshop: Workshop, row: int, kind: str, draw: Draw, rng: Random) -> Draft | None:
    record = workshop.catalogue.rows[row]
    notes = workshop.notes[record.part_slug]
    labels = MENSTRUA if kind == "menstruum" else METHODS
    slugs = [draw.right, *rng.sample(draw.wrong, DISTRACTORS)]
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


def _sum(workshop: Workshop, row: int, kind: str, tincture: tuple[int, int, str], rng: Random) -> Draft | None:
    record = workshop.catalogue.rows[row]
    parts, alcohol, source = tincture
    made: Sum = SUMS[kind]
    variant = rng.choice(made.variants)
    drawn = variant.draw(parts, alcohol, rng)
    if drawn is None:
        return None
    figures, found = drawn
    amounts = sorted((amount, name) for name, amount in found.items())
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
        "sources": {record.slug: [source]},
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


mark = mark_choice
