"""Our claims from Culpeper's lists of places and properties (1653), and of planets (1652 and later), against the printed ones."""

import re

import pytest

from herbs.models import Claim

from .tables import table

pytestmark = pytest.mark.django_db
LISTS = table("culpeper_lists_1653.csv")
PLANETS = table("culpeper_planets.csv")
# Our word for the places of his headings; a heading with two places gives a claim for each.
PLACES = {
    "head": {"head"}, "throat": {"throat"}, "neck": {"throat"}, "breast": {"respiratory"}, "lungues": {"lungs"},
    "heart": {"heart"}, "stomach": {"stomach"}, "bowels": {"bowel"}, "liver": {"liver"}, "spleen": {"spleen"},
    "reins": {"kidneys"}, "bladder": {"bladder"}, "womb": {"uterus"}, "joynts": {"joints"},
}  # fmt: skip
# Our word for his properties, by words that stand in the heading; the first that stands there counts.
PROPERTIES = [
    ("stop the terms", "menstrual-astringent"), ("terms", "emmenagogue"), ("bind", "astringent"), ("ease pain", "anodyne"),
    ("glutinate", "vulnerary"), ("discuss", "discutient"), ("asswage", "discutient"), ("poyson", "alexipharmic"),
    ("clense", "detergent"), ("open", "aperient"), ("flegm", "phlegmagogue"), ("melanchol", "melanagogue"),
    ("choll", "choleragogue"), ("wind", "carminative"), ("extenuate", "attenuant"), ("breed seed", "spermatopoietic"),
    ("suppure", "maturative"), ("soften", "emollient"), ("mollif", "emollient"), ("help burn", "burn-remedy"),
    ("sweat", "diaphoretic"), ("harden", "indurant"), ("draw", "epispastic"), ("burn", "caustic"), ("urine", "diuretic"),
    ("stone", "antilithic"),
]  # fmt: skip


def meant(row: dict[str, str]) -> set[str]:
    """What a row says in our words, read from the printed heading alone."""
    heading = row["list_as_printed"].lower()
    if row["predicate"] == "affinity":
        words = re.findall(r"[a-z]+", heading)
        return set().union(*(PLACES.get(word, set()) for word in words))
    return {next(word for said, word in PROPERTIES if said in heading)}


def part_of(row: dict[str, str]) -> str:
    return f"{row['herb']}-{row['part'].replace(' ', '-')}"


def claimed(predicate: str) -> set[tuple[str, str]]:
    claims = Claim.objects.filter(predicate=predicate, source__slug="culpeper-1653", seen="table")
    return set(claims.values_list("part__slug", "subject"))


@pytest.mark.parametrize(("predicate", "least"), [("affinity", 70), ("action", 70)])
def test_every_claim_stands_on_its_list_and_every_row_is_claimed(predicate, least):
    rows = [row for row in LISTS if row["predicate"] == predicate]
    listed = {(part_of(row), row["subject"]) for row in rows}
    assert len(listed) >= least
    assert claimed(predicate) == listed


def test_the_subject_of_a_row_is_what_its_heading_says():
    for row in LISTS:
        assert row["subject"] in meant(row), row


def test_membership_is_told_as_plain_and_no_finer():
    listed = Claim.objects.filter(predicate__in=["affinity", "action"], source__slug="culpeper-1653", seen="table")
    assert set(listed.values_list("amount", flat=True)) == {2.0}
    assert all(claim.note.startswith("listed among the ") for claim in listed)


def test_what_heats_and_what_cools_a_place_is_told_in_the_note():
    for row in (row for row in LISTS if row["predicate"] == "affinity" and row["effect"] in ("heats", "cools")):
        claim = Claim.objects.get(
            part__slug=part_of(row), predicate="affinity", subject=row["subject"], source__slug="culpeper-1653"
        )
        others = {r["effect"] for r in LISTS if part_of(r) == part_of(row) and r["subject"] == row["subject"]}
        assert any(f"that {effect.removesuffix('s')} the" in claim.note for effect in others), row


def test_every_herb_has_the_planet_and_the_sign_that_he_gives_it():
    told = {
        (herb, word)
        for herb, word in Claim.objects.filter(
            predicate="correspondence", source__slug="culpeper-planets", seen="table"
        ).values_list("part__herb__slug", "subject")
    }
    printed = {(row["herb"], row["planet"].lower()) for row in PLANETS}
    printed |= {(row["herb"], row["sign"].lower()) for row in PLANETS if row["sign"]}
    assert len(printed) >= 60
    assert told == printed


def test_the_planet_is_that_of_the_enlarged_edition_else_of_1652():
    """How the table itself chooses between its three witnesses."""
    for row in PLANETS:
        witness = row["planet_enlarged_edition"] or row["planet_1652_text"] or row["planet_1652_list"]
        assert row["planet"] in witness, row
