"""Our claims from Culpeper against his printed degrees (1653; entries of 1653 and of the herbal)."""

from collections import defaultdict

import pytest

from herbs.models import Claim, Part, Term

from .tables import table

pytestmark = pytest.mark.django_db
ROWS = table("culpeper_degrees.csv")
WITNESS = {"culpeper-1653": "list", "culpeper-entries": "entry"}
SIGN = {"hot": 1, "cold": -1, "moist": 1, "dry": -1, "temperate": 0}
AXES = {"temperature": "temp_degree", "moisture": "moist_degree"}

# Claims that part from the table, with the reason; a reason that no longer holds fails.
DISAGREEMENTS: dict[tuple[str, str, str], str] = {}


def figure(row: dict[str, str], axis: str) -> float | None:
    """A printed degree with its sign; a range gives its first figure, and the misprint `moist 4` is read as 2."""
    degree = row[AXES[axis]].split("-")[0]
    if not degree:
        return None
    if (row[axis], degree) == ("moist", "4"):
        return 2.0
    return float(degree) * SIGN[row[axis]]


def printed() -> dict[tuple[str, str, str], set[float]]:
    """Every printed figure: {(witness, part, axis): figures}; a simple printed under two degrees has two."""
    figures = defaultdict(set)
    for row in ROWS:
        for axis in AXES:
            if (value := figure(row, axis)) is not None:
                figures[row["witness"], row["part"], axis].add(value)
    return dict(figures)


def claims(**wanted):
    return Claim.objects.filter(predicate="degree", source__slug__in=WITNESS, **wanted).select_related("part", "source")


def taught_today() -> dict[tuple[str, str], float]:
    """Today's working degree of every part and axis."""
    plain = Claim.objects.filter(predicate="degree", source__slug="common-practice", form="", site="")
    return {(part, axis): degree for part, axis, degree in plain.values_list("part__slug", "subject", "amount")}


def test_the_table_covers_many_parts_and_both_witnesses():
    assert len(ROWS) >= 55
    assert {row["witness"] for row in ROWS} == {"list", "entry"}
    assert {row["part"] for row in ROWS} <= set(Part.objects.values_list("slug", flat=True))


def test_every_claim_seen_in_the_table_has_its_printed_degree():
    figures, checked, wrong = printed(), 0, {}
    for claim in claims(seen="table"):
        key = (WITNESS[claim.source.slug], claim.part.slug, claim.subject)
        checked += 1
        if claim.amount not in figures.get(key, set()):
            wrong[key] = (claim.amount, figures.get(key))
    assert checked >= 85
    assert set(wrong) == set(DISAGREEMENTS), wrong


def test_every_printed_degree_of_our_parts_is_claimed():
    claimed = defaultdict(set)
    for claim in claims():
        claimed[WITNESS[claim.source.slug], claim.part.slug, claim.subject].add(claim.amount)
    for key, figures in printed().items():
        assert claimed[key] & figures, (key, figures)


def test_no_claim_from_culpeper_is_from_memory():
    assert not claims().exclude(seen="table").exists()


def test_moist_in_the_fourth_is_read_as_the_second():
    fourth = [row for row in ROWS if (row["moisture"], row["moist_degree"]) == ("moist", "4")]
    assert [row["part"] for row in fourth] == ["viola-odorata-leaf"]
    claim = claims(part__slug="viola-odorata-leaf", subject="moisture").get()
    assert claim.amount == 2
    assert "misprint" in claim.note


def test_dry_in_the_fourth_stands_as_printed():
    """Only the moist figures are doubted: the peppers are hot and dry in the fourth degree."""
    pepper = claims(part__slug="capsicum-annuum-fruit", source__slug="culpeper-1653")
    assert {claim.subject: claim.amount for claim in pepper} == {"temperature": 4, "moisture": -4}


def test_a_range_gives_its_first_degree():
    wormwood = claims(part__slug="artemisia-absinthium-herb", source__slug="culpeper-entries")
    assert {claim.subject: claim.amount for claim in wormwood} == {"temperature": 2, "moisture": -2}
    sage = claims(part__slug="salvia-officinalis-leaf", source__slug="culpeper-entries")
    assert {claim.subject: claim.amount for claim in sage} == {"temperature": 2, "moisture": -2}


def test_where_today_says_the_contrary_is_told_with_a_reason():
    """He warns himself that degrees shift with climate and author; the reasons are ours, and told on the monograph."""
    today = taught_today()
    contrary = {(c.part.slug, c.subject) for c in claims() if c.amount * today[c.part.slug, c.subject] < 0}
    told = Term.objects.filter(kind=Term.Kind.DEPARTURE, details__tradition="galenic")
    assert contrary == {(entry.details["part"], entry.details["axis"]) for entry in told}
    assert all(len(entry.details["reason"]) > 10 for entry in told)


def test_most_of_his_signs_are_still_taught():
    """Agreement within one degree, which he himself calls agreement, on more than half of the figures."""
    today = taught_today()
    near = [abs(c.amount - today[c.part.slug, c.subject]) <= 1 for c in claims()]
    assert sum(near) / len(near) > 0.5
