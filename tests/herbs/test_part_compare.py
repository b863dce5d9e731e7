"""Two to four parts side by side."""

import re
from html import unescape

import pytest
from django.urls import reverse

from herbs.comparison import compare
from herbs.models import Claim
from tests import people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
COMPARE = reverse("herbs:part-compare")
ELECAMPANE, MARSHMALLOW, COLTSFOOT = "inula-helenium-root", "althaea-officinalis-root", "tussilago-farfara-leaf"
FIVE = [ELECAMPANE, MARSHMALLOW, COLTSFOOT, "verbascum-thapsus-leaf", "marrubium-vulgare-herb"]


@pytest.fixture
def client(db):
    return people.client_of(people.student())


def words(response) -> str:
    """The page's text with single spaces."""
    text = re.sub(r"<(script|style|datalist).*?</\1>|<[^>]+>", " ", response.content.decode(), flags=re.S)
    return " ".join(unescape(text).split())


def compared(medica, *slugs):
    return compare([medica.rows[slug] for slug in slugs], medica)


def test_two_that_share_a_class_part_on_moisture_first(client, medica):
    found = compared(medica, ELECAMPANE, MARSHMALLOW)
    first = found.differ[0]
    assert (first.topic, first.name) == ("Quality", "moisture")
    assert [cell.word for cell in first.cells] == ["dries", "moistens"]
    assert found.sentence.startswith("Set against elecampane root, marshmallow root moistens")
    text = words(client.get(f"{COMPARE}?parts={ELECAMPANE},{MARSHMALLOW}"))
    assert "Elecampane root and marshmallow root, side by side" in text
    assert text.index("Where they differ") < text.index("What they share") < text.index("All that any source cautions")


def test_differences_come_the_most_telling_first_and_what_is_shared_does_not_differ(medica):
    found = compared(medica, *FIVE[:4])
    weights = [line.weight for line in found.differ]
    assert weights == sorted(weights, reverse=True) and min(weights) > 0
    assert all(not line.weight for line in found.shared)
    for line in found.shared:
        assert len({cell.word for cell in line.cells}) == 1, line
    assert all(len(line.cells) == 4 for line in [*found.differ, *found.shared, *found.cautions])


def test_every_quality_and_every_action_that_one_has_is_told_once(medica):
    found = compared(medica, ELECAMPANE, MARSHMALLOW)
    lines = [(line.topic, line.name) for line in [*found.differ, *found.shared]]
    assert len(lines) == len(set(lines))
    assert {name for topic, name in lines if topic == "Quality"} == {"temperature", "moisture", "tone", "movement"}
    catalogue = medica.catalogue
    claimed = {
        term.name
        for slug, term in catalogue.actions.items()
        for part in (ELECAMPANE, MARSHMALLOW)
        if catalogue.claims_action[catalogue.row_number(part), catalogue.action_index[slug]]
        and not medica.terms["action"][slug].get("history")
    }
    assert claimed <= {name for topic, name in lines if topic == "Action"}


def test_a_derived_action_says_so(medica):
    found = compared(medica, ELECAMPANE, MARSHMALLOW)
    expectorant = next(line for line in [*found.differ, *found.shared] if line.name == "expectorant")
    derived = medica.catalogue.derived
    row = medica.catalogue.row_number(MARSHMALLOW)
    claims = Claim.objects.filter(part__slug=MARSHMALLOW, predicate="action", subject="expectorant").exists()
    assert ("derived" in expectorant.cells[1].more) == (
        not claims and any(key[:2] == (row, "expectorant") for key in derived)
    )
    assert "derived" not in expectorant.cells[0].more


def test_no_caution_of_any_source_is_left_out(medica):
    found = compared(medica, ELECAMPANE, COLTSFOOT)
    words_of = medica.terms["person-word"]
    for column, slug in enumerate((ELECAMPANE, COLTSFOOT)):
        for claim in Claim.objects.filter(part__slug=slug, predicate="caution", form=""):
            line = next(line for line in found.cautions if line.name == claim.level)
            assert words_of[claim.subject]["name"] in line.cells[column].word


def test_a_toxic_plant_is_marked_and_told_why(client):
    response = client.get(f"{COMPARE}?parts={ELECAMPANE},{COLTSFOOT}")
    text = words(response)
    assert "toxic, restricted" in text
    assert "pyrrolizidine" in text


def test_the_plane_holds_them_together(client):
    page = client.get(f"{COMPARE}?parts={ELECAMPANE},{MARSHMALLOW},{COLTSFOOT}").content.decode()
    drawing = re.search(r'<svg class="plane-drawing".*?</svg>', page, re.S).group()
    assert drawing.count('class="plane-number"') == 3
    assert "marshmallow root: cooling, moistening" in drawing


@pytest.mark.parametrize(
    ("query", "sentences"),
    [
        ("", ["Two to four parts side by side"]),
        (f"parts={ELECAMPANE}", ["Elecampane root needs at least one other part beside it."]),
        (
            "parts=mandrake-of-nowhere",
            ["The address names “mandrake-of-nowhere”, which the materia medica does not hold."],
        ),
        (
            f"parts={ELECAMPANE},nothing,{MARSHMALLOW}",
            ["The address names “nothing”", "Elecampane root and marshmallow root, side by side"],
        ),
        (f"parts={','.join(FIVE)}", ["At most four parts stand side by side. Left out: white horehound herb."]),
        (f"parts={ELECAMPANE},{ELECAMPANE}", ["needs at least one other part"]),
        ("parts=,,%20,", ["Two to four parts side by side"]),
        (f"parts={ELECAMPANE}&add=xyzzy", ["There is no part called “xyzzy” in the materia medica."]),
    ],
)
def test_odd_addresses_are_told_in_clear_sentences(client, query, sentences):
    response = client.get(f"{COMPARE}?{query}")
    assert response.status_code == 200
    for sentence in sentences:
        assert sentence in words(response)


@pytest.mark.parametrize("name", ["marshmallow root", "Marshmallow Root", MARSHMALLOW])
def test_a_part_is_added_by_name_and_the_address_can_be_shared(client, name):
    response = client.get(COMPARE, {"parts": ELECAMPANE, "add": name})
    assert response.status_code == 302
    assert response["Location"] == f"{COMPARE}?parts={ELECAMPANE},{MARSHMALLOW}"


def test_a_herb_s_name_finds_its_part_and_of_several_one_chooses(client):
    single = client.get(COMPARE, {"parts": MARSHMALLOW, "add": "Inula helenium"})
    assert single["Location"] == f"{COMPARE}?parts={MARSHMALLOW},{ELECAMPANE}"
    several = client.get(COMPARE, {"parts": ELECAMPANE, "add": "marshmallow"})
    assert "has more than one part here. Choose which:" in words(several)
    assert f'href="{COMPARE}?parts={ELECAMPANE},{MARSHMALLOW}"' in several.content.decode()


def test_ticked_rows_of_a_class_lead_to_one_address(client):
    response = client.get(COMPARE, {"parts": [ELECAMPANE, MARSHMALLOW]})
    assert response["Location"] == f"{COMPARE}?parts={ELECAMPANE},{MARSHMALLOW}"


def test_each_part_can_be_removed_and_the_teaching_set_is_kept(client):
    page = client.get(f"{COMPARE}?parts={ELECAMPANE},{MARSHMALLOW}&set=after-culpeper").content.decode()
    page = unescape(page)
    assert f'href="{COMPARE}?parts={MARSHMALLOW}&set=after-culpeper">Remove' in page
    assert f'href="{COMPARE}?parts={ELECAMPANE}&set=after-culpeper">Remove' in page
    assert '<input type="hidden" name="set" value="after-culpeper">' in page
    added = client.get(COMPARE, {"parts": ELECAMPANE, "add": MARSHMALLOW, "set": "after-culpeper"})
    assert added["Location"].endswith("&set=after-culpeper")


def test_four_leave_no_room_for_another(client):
    page = client.get(f"{COMPARE}?parts={','.join(FIVE[:4])}").content.decode()
    assert 'name="add"' not in page
    assert page.count(">Remove<") == 4


@pytest.mark.parametrize("slugs", [FIVE[:2], FIVE[:4]], ids=["two", "four"])
def test_the_page_costs_always_the_same_queries(client, slugs):
    address = f"{COMPARE}?parts={','.join(slugs)}"
    client.get(address)  # compiles the materia medica if no test has done so
    # 1 session, 2 user, 3 data version, 4 teaching set, 5 claims of state, taste, constituent and caution, 6 whether the
    # person teaches, 7 whether the person administers a school (both for the menu)
    with assert_query_count(7):
        client.get(address)
