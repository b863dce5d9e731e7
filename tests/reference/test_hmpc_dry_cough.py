"""EU herbal monographs (EMA, HMPC): what is licensed for dry cough must never lose to a drying expectorant in a dry cough."""

import pytest

from herbs.engine import VERDICTS, Pattern, Presentation, order, score
from herbs.models import Claim

from .tables import table

ROWS = table("ema_dry_cough.csv")
DRY_COUGH = {"demulcent-dry-cough", "sore-throat-with-dry-cough-and-cold"}
DEMULCENTS = sorted({row["part_slug"] for row in ROWS if row["indication_kind"] in DRY_COUGH})
PRODUCTIVE = sorted({row["part_slug"] for row in ROWS if row["indication_kind"] == "expectorant-productive-cough"})
SITES = ("respiratory", "bronchi", "lungs", "throat")
MOISTURE = 1

# (part, site) where a demulcent does not suit at any severity, with the reason.
DOES_NOT_SUIT: dict[tuple[str, str], str] = {}


def dry_cough(site: str, severity: int, heat: bool) -> Presentation:
    """A dry cough of a severity, with or without heat that follows from the dryness."""
    shape: dict[str, dict[str, object]] = {"moisture": {"degree": -severity}}
    if heat:
        shape["temperature"] = {"degree": 1, "follows": "moisture"}
    return Presentation(site, "expectorant", Pattern.from_mapping(shape))


def drying_expectorants(medica):
    """Parts and forms on the list of expectorants whose working value dries."""
    herbs = medica.catalogue
    listed = herbs.claims_action[:, herbs.action_number("expectorant")]
    return [row.slug for n, row in enumerate(herbs.rows) if listed[n] and herbs.value[n, MOISTURE] < 0]


def test_the_table_names_the_dry_cough_demulcents_and_the_productive_cough_expectorants():
    assert DEMULCENTS == [
        "althaea-officinalis-root",
        "cetraria-islandica-thallus",
        "plantago-lanceolata-leaf",
        "verbascum-thapsus-flower",
    ]
    assert PRODUCTIVE == ["hedera-helix-leaf", "thymus-vulgaris-herb"]


@pytest.mark.parametrize("heat", [False, True], ids=["dry", "dry then hot"])
@pytest.mark.parametrize("severity", [1, 2, 3])
@pytest.mark.parametrize("site", SITES)
def test_no_dry_cough_demulcent_loses_to_a_drying_expectorant(medica, site, severity, heat):
    table = score(medica.catalogue, dry_cough(site, severity, heat))
    place = {medica.catalogue.rows[row].slug: rank for rank, row in enumerate(order(medica.catalogue, table))}
    drying = drying_expectorants(medica)
    assert len(drying) >= 10
    for demulcent in DEMULCENTS:
        ahead = [slug for slug in drying if place[slug] < place[demulcent]]
        assert not ahead, (demulcent, ahead)


@pytest.mark.parametrize("heat", [False, True], ids=["dry", "dry then hot"])
@pytest.mark.parametrize("site", SITES)
def test_every_dry_cough_demulcent_suits_somewhere_and_never_aggravates(medica, site, heat):
    for demulcent in DEMULCENTS:
        verdicts = set()
        for severity in (1, 2, 3):
            table = score(medica.catalogue, dry_cough(site, severity, heat))
            verdicts.add(VERDICTS[int(table.verdict[medica.catalogue.row_number(demulcent)])])
        assert "aggravates" not in verdicts, demulcent
        assert ("suits" in verdicts) != ((demulcent, site) in DOES_NOT_SUIT), (demulcent, site, verdicts)


@pytest.mark.parametrize("heat", [False, True], ids=["dry", "dry then hot"])
@pytest.mark.parametrize("severity", [1, 2, 3])
@pytest.mark.parametrize("site", SITES)
def test_what_is_licensed_for_productive_cough_aggravates_a_dry_one(medica, site, severity, heat):
    table = score(medica.catalogue, dry_cough(site, severity, heat))
    for part in PRODUCTIVE:
        assert VERDICTS[int(table.verdict[medica.catalogue.row_number(part)])] == "aggravates", part


@pytest.mark.parametrize("part", DEMULCENTS)
def test_no_part_licensed_for_dry_cough_has_a_drying_profile(medica, part):
    herbs = medica.catalogue
    row = herbs.row_number(part)
    for site in (None, *SITES):
        value, low, _ = (herbs.value, herbs.low, herbs.high) if site is None else herbs.effects(site)
        assert value[row, MOISTURE] > 0 and low[row, MOISTURE] > 0, site


@pytest.mark.parametrize("part", PRODUCTIVE)
def test_no_part_licensed_for_productive_cough_has_a_moistening_profile(medica, part):
    herbs = medica.catalogue
    assert herbs.high[herbs.row_number(part), MOISTURE] < 0


def test_in_a_wet_cough_the_order_turns_round(medica):
    wet = Presentation("bronchi", "expectorant", Pattern.from_mapping({"moisture": {"degree": 2}}))
    table = score(medica.catalogue, wet)
    place = {medica.catalogue.rows[row].slug: rank for rank, row in enumerate(order(medica.catalogue, table))}
    assert max(place[part] for part in PRODUCTIVE) < min(place[part] for part in DEMULCENTS)


@pytest.mark.django_db
def test_every_row_of_the_table_is_told_as_an_indication_with_its_way_of_seeing():
    """A licensed respiratory use of a part is among its indications, cited to a regulator, and says whether it was read."""
    for row in ROWS:
        told = Claim.objects.filter(
            part__slug=row["part_slug"], predicate="indication", source__tradition__slug="regulatory"
        )
        wanted = "table" if row["seen"] == "page" else "memory"
        assert told.filter(seen=wanted).exists(), row["part_slug"]


def test_liquorice_is_not_keyed_as_a_dry_cough_herb_by_its_licence():
    """HMPC lists it as an expectorant for a cough with a cold, although it is moist."""
    kinds = {row["indication_kind"] for row in ROWS if row["part_slug"] == "glycyrrhiza-glabra-root"}
    assert kinds == {"expectorant-cough-with-cold"}
