"""Our claims of tone, movement and moisture from Cook (1869), the Thomsonians and the eclectics against their qualities."""

from collections import defaultdict

import pytest

from herbs.models import Claim, Part

from .tables import table

pytestmark = pytest.mark.django_db
ROWS = table("physiomedical.csv")
SOURCES = {
    "Cook 1869": "cook-1869", "Thomsonian System notes (n.d.)": "thomsonian-notes", "Lyle 1897": "lyle-1897",
    "Scudder 1870": "scudder-1870", "Scudder 1898": "scudder-1898", "Brown 1878": "brown-1878",
    "Felter & Lloyd 1898": "felter-lloyd-1898", "Petersen 1905": "petersen-1905", "Ellingwood 1915": "ellingwood-1915",
    "Ellingwood 1919": "ellingwood-1919", "Felter 1922": "felter-1922", "Sayre 1917": "sayre-1917",
    "quoted in Ward 1936": "ward-1936",
}  # fmt: skip
# Which of our parts a row speaks of, where the words differ.
SAME_PART = {
    ("verbascum-thapsus", "leaf and top"): {"leaf"},
    ("verbascum-thapsus", "flower, leaf"): {"leaf", "flower"},
    ("grindelia-robusta", "herb top"): {"herb"},
    ("lobelia-inflata", "herb, seed"): {"herb"},
    ("mentha-x-piperita", "herb"): {"leaf"},
    ("salvia-rosmarinus", "herb"): {"leaf"},
    ("urtica-dioica", "herb"): {"leaf"},
    ("pulmonaria-officinalis", "leaf"): {"herb"},
    ("rubus-idaeus", "leaf, root bark"): {"leaf"},
    ("viburnum-prunifolium", "root bark"): {"bark"},
    ("symplocarpus-foetidus", "root, seed"): {"root"},
    ("carum-carvi", "fruit, oil"): {"fruit"},
    ("hamamelis-virginiana", "bark, leaf"): {"leaf"},
}
# Rows that speak of a part we do not have.
OTHER_PARTS = {("arctium-lappa", "seed"), ("avena-sativa", "grain tincture"), ("crataegus-monogyna", "fruit")}

# Claims that part from the table, with the reason; a reason that no longer holds fails.
DISAGREEMENTS: dict[tuple[str, str, str], str] = {}


def mapped(row: dict[str, str]) -> dict[str, float]:
    """A row's qualities on our axes: tone = astringent - relaxing, movement = stimulating, moisture = demulcent; 0 is silence."""
    relaxing, stimulating, astringent, demulcent = (
        int(row[q]) for q in ("relaxing", "stimulating", "astringent", "demulcent")
    )
    degrees = {}
    if relaxing or astringent:
        degrees["tone"] = float(astringent - relaxing)
    if stimulating:
        degrees["movement"] = float(stimulating)
    if demulcent:
        degrees["moisture"] = float(demulcent)
    return degrees


def stated() -> dict[tuple[str, str, str], tuple[float, str]]:
    """{(part, source, axis): (degree, how the row was seen)} for every row of a part that we have."""
    parts = defaultdict(set)
    for part in Part.objects.select_related("herb"):
        parts[part.herb.slug].add(part.name)
    found = {}
    for row in ROWS:
        wanted = SAME_PART.get((row["species"], row["part"]), {row["part"]})
        ours = {p for p in parts[row["species"]] if p in wanted}
        assert ours or (row["species"], row["part"]) in OTHER_PARTS, row
        for part in ours:
            for axis, degree in mapped(row).items():
                slug = f"{row['species']}-{part}".replace(" ", "-")
                found[slug, SOURCES[row["source"]], axis] = (degree, row["seen"])
    return found


def claims():
    wanted = Claim.objects.filter(predicate="degree", source__slug__in=SOURCES.values(), form="", site="")
    return {(c.part.slug, c.source.slug, c.subject): c for c in wanted.select_related("part", "source")}


def test_every_claim_seen_in_the_table_equals_its_row():
    rows, wrong, checked = stated(), {}, 0
    for key, claim in claims().items():
        if claim.seen == "table":
            checked += 1
            if key not in rows or rows[key] != (claim.amount, "page"):
                wrong[key] = (claim.amount, rows.get(key))
    assert checked >= 50
    assert set(wrong) == set(DISAGREEMENTS), wrong


def test_every_claim_from_memory_equals_its_recalled_row_too():
    rows = stated()
    recalled = {key: claim for key, claim in claims().items() if claim.seen == "memory"}
    assert len(recalled) >= 30
    for key, claim in recalled.items():
        assert rows[key] == (claim.amount, "memory"), key


def test_no_stated_quality_of_our_parts_is_left_out():
    assert set(stated()) <= set(claims())


def test_authors_who_disagree_are_all_kept():
    said = defaultdict(set)
    for (part, _, axis), claim in claims().items():
        said[part, axis].add(claim.amount)
    differing = {key for key, amounts in said.items() if len(amounts) > 1}
    assert {("nepeta-cataria-herb", "tone"), ("leonurus-cardiaca-herb", "tone"), ("inula-helenium-root", "movement"),
            ("verbascum-thapsus-leaf", "moisture"), ("rubus-idaeus-leaf", "tone")} <= differing  # fmt: skip


def test_elecampane_is_slightly_relaxing_and_slightly_astringent_at_once_in_cook():
    assert claims()["inula-helenium-root", "cook-1869", "tone"].amount == 0


def test_relaxing_and_astringent_in_one_root_are_weighed_against_each_other():
    """Cook names both of black haw, Ellingwood both of bugleweed: the tone is the difference."""
    assert claims()["viburnum-prunifolium-bark", "cook-1869", "tone"].amount == 0
    assert claims()["lycopus-virginicus-herb", "ellingwood-1915", "tone"].amount == -1
