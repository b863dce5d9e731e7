"""The index of the materia medica: searched, filtered, sorted, and pointed at."""

import re

import pytest
from django.urls import reverse

from herbs.facets import KINDS, facets
from herbs.models import Claim, SearchName
from herbs.search import search
from tests import people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db


@pytest.fixture
def browse(client):
    client.force_login(people.student())

    def get(htmx=False, **query):
        headers = {"HX-Request": "true"} if htmx else {}
        return client.get(reverse("herbs:herb-index", query=query), headers=headers)

    return get


def slugs(response):
    return [row["entry"].slug for row in response.context["rows"]]


def all_slugs(browse, **query):
    """The parts on every page."""
    first = browse(**query)
    pages = first.context["page"].paginator.num_pages
    return [slug for number in range(1, pages + 1) for slug in slugs(browse(**query, page=number))]


def test_every_part_is_there_once_in_alphabetical_order(browse, medica):
    found = all_slugs(browse)
    assert sorted(found) == sorted(row.slug for row in medica.catalogue.rows if row.is_usual)
    labels = [medica.rows[slug].label.lower() for slug in found]
    assert labels == sorted(labels)


@pytest.mark.parametrize(
    ("typed", "herb"),
    [
        ("elecampane", "inula-helenium"), ("elecampagne", "inula-helenium"), ("Alicampane", "inula-helenium"),
        ("Hellenium", "inula-helenium"), ("marsh malow", "althaea-officinalis"), ("Althaeae radix", "althaea-officinalis"),
        ("St. Jhons wort", "hypericum-perforatum"), ("Rosmarinus officinalis", "salvia-rosmarinus"),
        ("dandylion", "taraxacum-officinale"), ("Liquiritiae radix", "glycyrrhiza-glabra"), ("gentain", "gentiana-lutea"),
        ("camomile", "matricaria-chamomilla"), ("Cimicifuga racemosa", "actaea-racemosa"), ("ÉLECAMPANE", "inula-helenium"),
    ],
)  # fmt: skip
def test_an_old_a_pharmacopoeial_or_a_misspelt_name_finds_the_herb(browse, typed, herb):
    assert browse(q=typed).context["rows"][0]["entry"].herb == herb


def test_the_name_that_was_found_is_told_when_it_is_not_the_herbs_own(browse):
    row = browse(q="Althaeae radix").context["rows"][0]
    assert row["by_name"] == "Althaeae radix, pharmacopoeial name"
    assert browse(q="marshmallow").context["rows"][0]["by_name"] == ""


def test_old_names_of_culpeper_are_kept_for_searching():
    kinds = set(SearchName.objects.values_list("kind", flat=True))
    assert kinds == set(SearchName.Kind.values)
    old = list(SearchName.objects.filter(kind="old").values_list("name", "herb__slug"))
    assert len(old) >= 100
    for name, herb in old:
        assert herb in [found.slug for found in search(name)], name


@pytest.mark.parametrize("word", KINDS)
def test_a_kind_holds_parts_of_that_side_only(browse, medica, word):
    axis, side = KINDS[word]
    herbs = medica.catalogue
    found = all_slugs(browse, kind=word)
    wanted = [r.slug for n, r in enumerate(herbs.rows) if r.is_usual and herbs.value[n, axis] * side > 0]
    assert sorted(found) == sorted(wanted) and found


def test_several_filters_hold_at_once(browse, medica):
    herbs = medica.catalogue
    found = all_slugs(browse, action="expectorant", kind=["warming", "drying"], taste="bitter")
    assert "inula-helenium-root" in found and "althaea-officinalis-root" not in found
    for slug in found:
        row = herbs.row_number(slug)
        assert herbs.value[row, 0] > 0 > herbs.value[row, 1]
        assert Claim.objects.filter(part__slug=slug, predicate="taste", subject="bitter").exists()


@pytest.mark.parametrize(
    ("name", "choice", "predicate"),
    [("state", "dry", "state"), ("season", "autumn", "harvest"), ("taste", "sour", "taste")],
)
def test_a_filter_holds_the_parts_of_which_it_is_claimed(browse, name, choice, predicate):
    wanted = set(Claim.objects.filter(predicate=predicate, subject=choice).values_list("part__slug", flat=True))
    assert wanted and set(all_slugs(browse, **{name: choice})) == wanted


def test_a_family_and_a_tradition_can_be_chosen(browse):
    assert all_slugs(browse, family="Gentianaceae")[-1] == "gentiana-lutea-root"
    told = set(
        Claim.objects.filter(source__tradition__slug="chinese", predicate="degree").values_list("part__slug", flat=True)
    )
    assert told <= set(all_slugs(browse, tradition="chinese"))


def test_the_plane_counts_what_is_filtered_and_each_count_is_a_filter(browse, medica):
    page = browse(action="expectorant")
    spots = page.context["plane"]["spots"]
    assert sum(spot["count"] for spot in spots) == page.context["page"].paginator.count
    for spot in spots[:6]:
        query = dict(pair.split("=") for pair in spot["address"].replace("%2C", ",").removeprefix("?").split("&"))
        narrowed = browse(**query)
        assert narrowed.context["page"].paginator.count == spot["count"]
        degrees = {tuple(medica.catalogue.value[medica.catalogue.row_number(slug), :2]) for slug in slugs(narrowed)}
        assert len(degrees) == 1


def test_the_chosen_place_leads_back(browse):
    chosen = next(spot for spot in browse(at="2,-2").context["plane"]["spots"] if spot["is_chosen"])
    assert "at=" not in chosen["address"]


@pytest.mark.parametrize(
    "query",
    [
        {"action": "flying"}, {"kind": "purple"}, {"at": "nine"}, {"at": "9,9"}, {"at": "1"}, {"sort": "price"},
        {"page": "minus"}, {"page": "99999"}, {"site": "\x00"}, {"q": "\x00"}, {"family": "x" * 4000}, {"q": "x" * 4000},
    ],
)  # fmt: skip
def test_whatever_is_unknown_in_an_address_is_ignored(browse, query):
    assert browse(**query).status_code == 200


def test_nothing_found_says_what_to_do(browse):
    text = browse(q="qqqqzzzz", action="laxative").content.decode()
    assert "Nothing in the materia medica is all of this." in text
    assert "Try another of its names, or fewer letters." in text
    assert (
        browse(action="laxative", kind=["warming", "cooling"]).content.decode().count("Take one of the filters away")
        == 1
    )


def test_sorting_by_an_axis_runs_from_high_to_low(browse):
    degrees = [row["values"][0] for row in browse(sort="temperature").context["rows"]]
    numbers = [float(value.replace("−", "-")) for value in degrees]
    assert numbers == sorted(numbers, reverse=True) and numbers[0] >= 3


def test_htmx_gets_the_results_alone(browse):
    part = browse(htmx=True, q="hyssop").content.decode()
    assert part.lstrip().startswith('<div id="browse-results"') and "<html" not in part
    whole = browse(q="hyssop").content.decode()
    assert part.strip() in whole or re.sub(r"\s+", " ", part).strip() in re.sub(r"\s+", " ", whole)


def test_the_page_costs_always_the_same_queries(browse):
    browse(q="sage")
    # 1 session, 2 user, 3 data version, 4 teaching set, 5 data version for the names, 6 and 7 what the menu asks
    for query in ({}, {"q": "sage"}, {"action": "expectorant", "kind": "warming"}):
        with assert_query_count(7 if "q" in query else 6):
            browse(**query)


def test_facets_hold_no_empty_choice(medica):
    for name, found in facets(medica).choices.items():
        assert found, name
        assert all(truths.any() for _, truths in found.values()), name
