"""Our claims from Culpeper against his printed degrees (1653; entries of 1653 and of the herbal)."""

from collections import defaultdict

import pytest

from herbs.models import Claim, Part

from .tables import table

pytestmark = pytest.mark.django_db
ROWS = table("culpeper_degrees.csv")
WITNESS = {"culpeper-1653": "list", "culpeper-entries": "entry"}
SIGN = {"hot": 1, "cold": -1, "moist": 1, "dry": -1, "temperate": 0}
AXES = {"temperature": "temp_degree", "moisture": "moist_degree"}

# Claims that part from the table, with the reason; a reason that no longer holds fails.
DISAGREEMENTS: dict[tuple[str, str, str], str] = {}

# Where today's working value has the contrary sign. He warns himself that degrees shift with climate and author; the
# reasons are ours.
CONTRARY_TODAY = {
    (
        "althaea-officinalis-root",
        "temperature",
    ): "its mucilage was reckoned to ripen and soften by mild heat; today it cools",
    ("althaea-officinalis-root", "moisture"): "called dry as a digesting root; today moist by its mucilage",
    ("althaea-officinalis-leaf", "temperature"): "as the root",
    ("althaea-officinalis-leaf", "moisture"): "as the root",
    ("arctium-lappa-root", "temperature"): "his leaf is cold and his root hot; today the root cools mildly",
    ("arctium-lappa-root", "moisture"): "his root dries; today its inulin and mucilage moisten",
    ("artemisia-absinthium-herb", "temperature"): "bitter was hot in Galen's rule; today bitter cools",
    ("centaurium-erythraea-herb", "temperature"): "bitter was hot in Galen's rule; today bitter cools",
    ("elymus-repens-rhizome", "temperature"): "his dog-grass opens by mild heat; today it cools and soothes",
    ("galium-aparine-herb", "temperature"): "his entry says only meanly hot; today the fresh juice cools",
    ("humulus-lupulus-strobile", "temperature"): "bitter was hot in Galen's rule; today hops cool",
    ("juglans-regia-leaf", "temperature"): "he speaks of the older leaf, sharp and bitter; today its tannin cools",
    (
        "paeonia-officinalis-root",
        "temperature",
    ): "bitter-sweet roots were called mildly hot; today it cools and slackens",
    ("senna-alexandrina-leaf", "temperature"): "taken over from Mesue; today rated mildly cooling",
    ("tamarindus-indica-fruit-pulp", "moisture"): "sour was dry in the old rule; today the pulp moistens the bowel",
    ("trigonella-foenum-graecum-seed", "moisture"): "its mucilage was reckoned as ripening; today it moistens",
}


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


def test_where_today_says_the_contrary_is_listed_with_a_reason():
    today = taught_today()
    contrary = {(c.part.slug, c.subject) for c in claims() if c.amount * today[c.part.slug, c.subject] < 0}
    assert contrary == set(CONTRARY_TODAY)


def test_most_of_his_signs_are_still_taught():
    """Agreement within one degree, which he himself calls agreement, on more than half of the figures."""
    today = taught_today()
    near = [abs(c.amount - today[c.part.slug, c.subject]) <= 1 for c in claims()]
    assert sum(near) / len(near) > 0.5
