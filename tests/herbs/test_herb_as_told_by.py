"""One herb under each tradition."""

import re
from html import unescape

import pytest
from django.urls import reverse

from herbs.as_told_by import told_by_traditions
from herbs.models import Claim, Herb, Part, Source, Tradition
from tests import people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
ELECAMPANE = "inula-helenium-root"


@pytest.fixture
def client(db):
    return people.client_of(people.student())


def page_of(client, slug="inula-helenium") -> str:
    return client.get(reverse("herbs:herb-as-told-by", args=[slug])).content.decode()


def told(medica, slug=ELECAMPANE):
    """{tradition: {citation: {heading: [what is said]}}} of a part."""
    herb = Herb.objects.for_monograph().get(parts__slug=slug)
    section = next(s for s in told_by_traditions(herb, medica) if s["part"].slug == slug)
    return section, {
        tradition["slug"]: {
            source["citation"]: {heading: [e["says"] for e in entries] for heading, entries, _ in source["topics"]}
            for source in tradition["sources"]
        }
        for tradition in section["traditions"]
    }


def add(predicate, subject, source, **more):
    return Claim.objects.create(
        part=Part.objects.get(slug=ELECAMPANE), predicate=predicate, subject=subject,
        source=Source.objects.get(slug=source), position=999, **more,
    )  # fmt: skip


def test_every_claim_of_an_idea_stands_under_its_tradition_and_source(medica):
    _, said = told(medica)
    predicates = ["degree", "taste", "action", "affinity", "state", "indication", "correspondence"]
    claims = Claim.objects.filter(part__slug=ELECAMPANE, predicate__in=predicates).select_related("source__tradition")
    assert set(said) == {claim.source.tradition.slug for claim in claims}
    for claim in claims:
        assert claim.source.citation in said[claim.source.tradition.slug]
    assert sum(len(e) for t in said.values() for s in t.values() for e in s.values()) == claims.count()


def test_headings_come_in_the_order_of_the_page(medica):
    order = [
        "Temperature",
        "Moisture",
        "Tone",
        "Movement",
        "Taste",
        "Actions",
        "Places",
        "States",
        "Indications",
        "Lore",
    ]
    _, said = told(medica)
    for sources in said.values():
        for topics in sources.values():
            assert list(topics) == [heading for heading in order if heading in topics]


def test_the_table_spans_what_the_sources_of_a_tradition_say(medica):
    galenic = Source.objects.filter(tradition__slug="ayurvedic").order_by("position")[:2]
    add("degree", "temperature", galenic[0].slug, amount=1, seen="memory")
    add("degree", "temperature", galenic[1].slug, amount=2, seen="memory")
    add("degree", "temperature", galenic[0].slug, amount=-4, seen="memory", form="fresh")  # holds only for a form
    section, _ = told(medica)
    name = Tradition.objects.get(slug="ayurvedic").name
    row = next(row for row in section["table"] if row["tradition"] == name)
    assert row["cells"] == ["+1 to +2", "", "", ""]


def test_lore_is_one_heading_whoever_tells_it(medica):
    add("correspondence", "saturn", "culpeper-planets", seen="table")
    add("action", "indurant", "culpeper-1653", amount=2, seen="table")
    add("indication", "history of ideas: against elf-shot", "culpeper-1653", seen="table")
    _, said = told(medica)
    lore = [text for source in said["galenic"].values() for text in source.get("Lore", [])]
    assert {"planet: Saturn", "plain hardener", "against elf-shot"} <= set(lore)


def test_it_is_told_whether_a_source_was_read_or_is_recalled(client):
    Claim.objects.filter(part__slug=ELECAMPANE, source__slug__in=["cook-1869", "ward-1936", "shennong-bencao"]).delete()
    add("taste", "salty", "ward-1936", seen="table")
    add("taste", "sour", "shennong-bencao", seen="memory")
    add("taste", "oily", "cook-1869", seen="table")
    add("taste", "bland", "cook-1869", seen="memory")
    page = unescape(page_of(client))

    def block(citation):
        return re.search(re.escape(citation) + r"</cite>(.*?)</div>", page, re.S).group(1)

    assert "Read in a reference table." in block(Source.objects.get(slug="ward-1936").citation)
    assert "Cited from memory, to be verified." in block(Source.objects.get(slug="shennong-bencao").citation)
    mixed = block(Source.objects.get(slug="cook-1869").citation)
    assert "Read in a reference table, except where marked." in mixed
    assert re.search(r"bland\s*<span[^>]*>from memory", mixed)
    assert not re.search(r"oily\s*<span[^>]*>from memory", mixed)


def test_index_monograph_comparison_told_by_and_cross_walk_lead_to_each_other(client):
    monograph = client.get(reverse("herbs:herb-detail", args=["inula-helenium"])).content.decode()
    assert reverse("herbs:herb-as-told-by", args=["inula-helenium"]) in monograph
    assert reverse("herbs:part-compare") in monograph
    page = page_of(client)
    assert reverse("herbs:cross-walk") in page
    assert reverse("herbs:herb-detail", args=["inula-helenium"]) in page


def test_an_unknown_herb_is_not_found(client):
    assert client.get(reverse("herbs:herb-as-told-by", args=["no-such-herb"])).status_code == 404


@pytest.mark.parametrize("slug", ["inula-helenium", "althaea-officinalis"], ids=["one part", "two parts"])
def test_the_page_costs_always_the_same_queries(client, slug):
    page_of(client, slug)  # compiles the materia medica if no test has done so
    # 1 session, 2 user, 3 herb, 4 parts, 5 claims, 6 sources, 7 traditions, 8 data version, 9 teaching set, 10 whether the
    # person teaches, 11 whether the person administers a school (both for the menu)
    with assert_query_count(11):
        page_of(client, slug)
