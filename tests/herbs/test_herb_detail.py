"""The monograph: everything that is said of a herb, each with who says it."""

import re
from html import unescape

import pytest
from django.urls import reverse

from herbs.bodymap import WIDTH, body_map
from herbs.models import Claim, Herb, Part, Source, Term
from herbs.monograph import monograph
from tests import people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(db):
    return people.client_of(people.student())


def page_of(client, slug, **query) -> str:
    return client.get(reverse("herbs:herb-detail", args=[slug], query=query or None)).content.decode()


def words(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def section_of(medica, part_slug):
    herb = Herb.objects.for_monograph().get(parts__slug=part_slug)
    return next(section for section in monograph(herb, medica) if section["part"].slug == part_slug)


def add(part_slug, predicate, subject, source="common-practice", **more):
    """One claim more, at the end."""
    return Claim.objects.create(
        part=Part.objects.get(slug=part_slug), predicate=predicate, subject=subject,
        source=Source.objects.get(slug=source), position=999, **more,
    )  # fmt: skip


ELECAMPANE, MARSHMALLOW = "inula-helenium-root", "althaea-officinalis-root"


def test_every_source_of_every_claim_is_told_on_the_page(client):
    for slug in ("inula-helenium", "althaea-officinalis", "achillea-millefolium"):
        page = unescape(page_of(client, slug))
        for citation in set(Source.objects.filter(claims__part__herb__slug=slug).values_list("citation", flat=True)):
            assert citation in page, (slug, citation)


def test_names_of_all_kinds_stand_in_the_head(client):
    herb = Herb.objects.get(slug="inula-helenium")
    herb.synonyms, herb.old_names, herb.other_names = ["Helenium vulgare Test"], ["Elfdock Test"], ["scabwort Test"]
    herb.save()
    Part.objects.filter(slug=ELECAMPANE).update(drug_name="Helenii Test radix")
    page = page_of(client, "inula-helenium")
    head = page[page.index("<h1>") : page.index("</header>", page.index("<h1>"))]
    for name in (
        "Helenium vulgare Test",
        "Elfdock Test",
        "scabwort Test",
        "Helenii Test radix",
        herb.author,
        herb.family,
    ):
        assert name in head


def test_an_action_is_told_once_with_places_by_strength_and_dissent_apart(medica):
    Claim.objects.filter(part__slug=ELECAMPANE, predicate="action").delete()
    add(ELECAMPANE, "action", "expectorant", amount=3, site="respiratory")
    add(ELECAMPANE, "action", "expectorant", amount=3, site="throat")
    add(ELECAMPANE, "action", "expectorant", amount=1, site="stomach")
    add(ELECAMPANE, "action", "expectorant", "cook-1869", amount=2, site="respiratory", seen="table")
    told = section_of(medica, ELECAMPANE)["actions"]
    assert [action["term"].slug for action in told] == ["expectorant"]
    assert [(p["strength"], p["sites"], p["others"]) for p in told[0]["places"]] == [
        ("leading", "airways", "Physiomedical: plain"),
        ("leading", "throat", ""),
        ("slight", "stomach", ""),
    ]


def test_a_derived_action_has_its_derivation(client, medica):
    row = medica.catalogue.row_number(MARSHMALLOW)
    rules = {rule.says for (number, _, _), rule in medica.catalogue.derived.items() if number == row}
    assert rules
    text = words(page_of(client, "althaea-officinalis")).lower()
    assert "derived" in text
    for says in rules:
        assert says.lower() in text


def test_the_body_map_marks_claimed_places_by_strength_and_says_it_in_words(client, medica):
    section = section_of(medica, ELECAMPANE)
    drawing = re.search(r'<svg class="body-map-drawing".*?</svg>', page_of(client, "inula-helenium"), re.S).group()
    assert 'role="img"' in drawing
    claimed = {place["name"]: place["amount"] for place in section["places"]["table"] if place["reckoned"]}
    nodes = {node.label: node for node in section["places"]["map"]["nodes"] if node.state == "claimed"}
    assert {label: node.strength for label, node in nodes.items()} == claimed != {}
    assert "airways, leading" in re.search(r"<desc.*?</desc>", drawing, re.S).group()


def test_the_body_map_holds_every_site_within_its_frame_and_none_upon_another(medica):
    graph = medica.catalogue.graph
    strongest = dict.fromkeys(graph.sites, (3, True))
    picture = body_map(graph, strongest, {})
    drawn = picture["nodes"]
    assert {node.label for node in drawn} == {site.name for site in graph.sites.values()}
    for node in drawn:
        assert node.radius <= node.x <= WIDTH - 40 and node.radius <= node.y <= picture["height"] - node.radius
    spots = {(node.x, node.y) for node in drawn}
    assert len(spots) == len(drawn)
    assert len(drawn) == sum(max(1, len(s.parents)) if s.kind == "organ" else 1 for s in graph.sites.values())


def test_a_place_that_only_a_widening_source_claims_is_told_so(medica):
    add(ELECAMPANE, "affinity", "eyes", "cook-1869", amount=3, seen="table")
    places = section_of(medica, ELECAMPANE)["places"]
    entry = next(place for place in places["table"] if place["name"] == "eyes")
    assert not entry["reckoned"] and entry["said_by"] == "Physiomedical"
    assert next(node for node in places["map"]["nodes"] if node.label == "eyes").state == "widened"


def test_a_preparation_tells_menstruum_strength_dose_course_extracts_and_hazard(client, medica):
    Claim.objects.filter(part__slug=ELECAMPANE, predicate="preparation").delete()
    add(
        ELECAMPANE, "preparation", "tincture", note="for a test",
        details={
            "menstruum": "alcohol", "alcohol": 45, "ratio": "1:5", "low": 2, "high": 4, "unit": "ml", "times": 3, "course": 28,
        },
    )  # fmt: skip
    text = words(page_of(client, "inula-helenium"))
    assert (
        "1:5 in alcohol and water (45 % by volume); 2 to 4 ml three times a day; longest course 28 days; for a test."
        in text
    )
    term = medica.terms[Term.Kind.PREPARATION]["tincture"]
    assert f"What it takes out: {term['extracts']}." in text
    assert f"Hazard of the form: {term['hazard']}." in text


def test_growing_look_alikes_and_conservation_are_told(client):
    Claim.objects.filter(part__slug=ELECAMPANE, predicate__in=["habitat", "sowing", "harvest", "drying"]).delete()
    add(ELECAMPANE, "habitat", "damp test meadows")
    add(ELECAMPANE, "sowing", "stratified")
    add(ELECAMPANE, "harvest", "autumn", details={"age": 2}, note="after the tops die back")
    add(ELECAMPANE, "drying", "sliced and dried in test air")
    add(ELECAMPANE, "lookalike", "a test sunflower")
    add(ELECAMPANE, "conservation", "common everywhere in this test")
    text = words(page_of(client, "inula-helenium"))
    for said in (
        "Damp test meadows.", "Sown after a spell of moist cold.",
        "Autumn, from plants of 2 years or more: after the tops die back.",
        "Sliced and dried in test air.", "a test sunflower", "Common everywhere in this test.",
    ):  # fmt: skip
        assert said in text


def test_lore_is_labelled_and_stands_apart(client, medica):
    add(ELECAMPANE, "correspondence", "saturn", "culpeper-planets", seen="table")
    add(ELECAMPANE, "indication", "history of ideas: against elf-shot", "culpeper-1653", seen="table")
    add(ELECAMPANE, "action", "indurant", "culpeper-1653", amount=2, seen="table")
    section = section_of(medica, ELECAMPANE)
    lore = [
        (heading, entry["says"])
        for tradition in section["lore"] for source in tradition["sources"]
        for heading, entries, _ in source["topics"] for entry in entries
    ]  # fmt: skip
    assert ("Correspondences", "planet: Saturn") in lore
    assert ("Indications", "against elf-shot") in lore
    assert ("Actions", "plain hardener") in lore
    assert not any("elf-shot" in text for text in section["indications"])
    assert "indurant" not in {action["term"].slug for action in section["actions"]}
    page = page_of(client, "inula-helenium")
    after = words(page[page.index(f'id="{ELECAMPANE}-lore"') :])
    assert after.index("History of ideas") < after.index("against elf-shot")


def test_a_tradition_shown_only_stands_apart_and_an_opposite_degree_has_ours_beside_it(client, medica):
    Claim.objects.filter(part__slug=ELECAMPANE, source__slug="culpeper-1653", predicate="degree").delete()
    add(ELECAMPANE, "degree", "temperature", "culpeper-1653", amount=-3, seen="table")
    add(ELECAMPANE, "degree", "moisture", "culpeper-1653", amount=-1, seen="table")
    section = section_of(medica, ELECAMPANE)
    degrees = {
        entry["says"]: entry.get("ours")
        for tradition in section["elsewhere"] for source in tradition["sources"]
        for heading, entries, _ in source["topics"] if heading == "Degrees" for entry in entries
    }  # fmt: skip
    assert degrees["cools −3"] == "warms +2"  # on the other side of temperate
    assert degrees["dries −1"] is None  # weaker, but the same way
    assert "Here it warms +2." in words(page_of(client, "inula-helenium"))
    assert all(note["citation"] != "N. Culpeper" for note in section["degree_notes"])


def test_a_contrary_degree_has_its_reason_where_one_is_known(client):
    reasons = Term.objects.filter(kind=Term.Kind.DEPARTURE)
    told = [term.details for term in reasons if term.details["part"] == MARSHMALLOW]
    assert {reason["axis"] for reason in told} == {"temperature", "moisture"}
    section = words(page_of(client, "althaea-officinalis"))
    assert f"Here it cools −2: {told[0]['reason']}." in section
    assert f"Here it moistens +3: {told[1]['reason']}." in section


def test_under_culpeper_s_set_he_is_computed_with_and_not_shown_apart(client):
    page = page_of(client, "inula-helenium", set="after-culpeper")
    energetics = page[page.index(f'id="{ELECAMPANE}-energetics"') : page.index(f'id="{ELECAMPANE}-actions"')]
    assert "Culpeper" in energetics


def test_notes_stand_by_source_with_what_was_recalled_apart(medica):
    add(ELECAMPANE, "taste", "salty", "cook-1869", seen="table")
    add(ELECAMPANE, "taste", "oily", "cook-1869", seen="memory")
    notes = [note for note in section_of(medica, ELECAMPANE)["substance_notes"] if "Cook" in note["citation"]]
    assert [(note["says"], note["from_memory"]) for note in notes] == [("salty", False), ("oily", True)]


def test_differentials_lead_to_the_comparison(client, medica):
    likes = section_of(medica, ELECAMPANE)["likes"]
    assert likes
    page = page_of(client, "inula-helenium")
    for like in likes:
        assert f"{reverse('herbs:part-compare')}?parts={ELECAMPANE},{like['row'].slug}" in page
        assert like["says"] in words(page)


def test_who_must_not_take_it_stands_before_the_energetics(client):
    page = page_of(client, "tussilago-farfara")
    section = page[page.index('class="part-section"') :]
    assert section.index("Not for, or to be avoided by:") < section.index("Energetics")
    assert "pregnancy" in section[: section.index("Energetics")]


def test_every_monograph_is_whole(client):
    """Every herb has its page, and every caution of it stands there."""
    names = {term.slug: term.name for term in Term.objects.filter(kind=Term.Kind.PERSON_WORD)}
    for herb in Herb.objects.order_by("slug")[::5]:
        response = client.get(reverse("herbs:herb-detail", args=[herb.slug]))
        assert response.status_code == 200, herb.slug
        text = words(response.content.decode())
        for subject in set(
            Claim.objects.filter(part__herb=herb, predicate="caution").values_list("subject", flat=True)
        ):
            assert names[subject] in text, (herb.slug, subject)


@pytest.mark.parametrize("slug", ["inula-helenium", "althaea-officinalis"], ids=["one part", "two parts"])
def test_the_page_costs_always_the_same_queries(client, slug):
    page_of(client, slug)  # compiles the materia medica if no test has done so
    # 1 session, 2 user, 3 herb, 4 parts, 5 claims, 6 sources, 7 traditions, 8 data version, 9 teaching set, 10 whether the
    # person teaches, 11 whether the person administers a school (both for the menu),
    # 12 pictures
    with assert_query_count(12):
        page_of(client, slug)
