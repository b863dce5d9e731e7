"""The table of a class: on screen it sorts and picks, on paper it is a differential table."""

import re
from html import unescape

import pytest
from django.urls import reverse

from tests import people

pytestmark = pytest.mark.django_db
EXPECTORANTS = reverse("herbs:class-detail", args=["expectorant"])


@pytest.fixture
def page(db) -> str:
    return unescape(people.client_of(people.student()).get(EXPECTORANTS).content.decode())


def row_of(page, slug) -> str:
    return re.search(rf'<tr>(?:(?!</tr>).)*value="{slug}".*?</tr>', page, re.S).group()


def test_each_row_has_kind_degrees_places_and_the_number_of_cautions(page, medica):
    catalogue = medica.catalogue
    for slug in ("inula-helenium-root", "althaea-officinalis-root"):
        number = catalogue.row_number(slug)
        cells = [
            re.sub(r"<[^>]+>", "", cell).strip()
            for cell in re.findall(r"<td[^>]*>(.*?)</td>", row_of(page, slug), re.S)
        ]
        signed = ["0" if not v else f"{v:+g}".replace("-", "−") for v in catalogue.value[number]]
        assert cells[1:5] == signed
        assert cells[-1] == str(int(catalogue.cautioned[number].sum())) != "0"
        assert "airways" in cells[-2]


def test_an_organ_is_not_named_beside_its_system(page, medica):
    places = re.findall(r'<td class="print-only">(.*?)</td>', row_of(page, "inula-helenium-root"), re.S)[0]
    assert "airways" in places and "bronchi" not in places


def test_rows_can_be_ticked_and_compared_without_javascript(page):
    form = re.search(r'<form method="get" action="(.*?)" class="differential">', page).group(1)
    assert form == reverse("herbs:part-compare")
    assert page.count('type="checkbox" name="parts"') == len(re.findall(r'<th scope="row"><a href="/parts/', page))


def test_a_toxic_plant_is_marked_in_the_table(page):
    assert "toxic" in row_of(page, "tussilago-farfara-leaf")
