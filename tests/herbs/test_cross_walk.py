"""The cross-walk of terms: its file, its checks, its page."""

import re

import pytest
from django.urls import reverse

from herbs.engine import AXES
from herbs.loading import FaultsError, read_files
from herbs.models import Source, Term, Tradition
from tests import people
from tests.queries import assert_query_count

from .folders import replace, small_folder

pytestmark = pytest.mark.django_db
FILE = "vocabulary/cross_walk.yaml"
CHOLERIC = (
    'means: "a person who leans hot and dry", pattern: {temperature: 1, moisture: -1}, '
    "source: galen-mixtures, seen: memory"
)


def terms():
    return list(Term.objects.filter(kind=Term.Kind.CROSS_WALK))


def test_the_shipped_cross_walk_holds_the_schools_that_it_promises():
    by_tradition = {}
    for term in terms():
        by_tradition.setdefault(term.details["tradition"], []).append(term)
    assert len(terms()) >= 40
    assert set(by_tradition) == set(Tradition.objects.values_list("slug", flat=True))
    named = {term.name for term in terms()}
    for word in ("choleric temperament", "vata raised", "hot (re)", "tension, constriction", "phlegmatic temperament"):
        assert word in named


def test_every_row_has_a_source_and_says_truthfully_how_it_is_known():
    bases = dict(Source.objects.values_list("slug", "basis"))
    for term in terms():
        seen = term.details.get("seen")
        assert (seen in ("table", "memory")) == (bases[term.details["source"]] == "published"), term.slug
        assert term.details["means"].strip()
        assert set(term.details.get("pattern") or {}) <= set(AXES)


def test_temperaments_lean_as_galen_has_them():
    pattern = {term.slug: term.details.get("pattern") for term in terms()}
    assert pattern["choleric-temperament"] == {"temperature": 1, "moisture": -1}
    assert pattern["sanguine-temperament"] == {"temperature": 1, "moisture": 1}
    assert pattern["phlegmatic-temperament"] == {"temperature": -1, "moisture": 1}
    assert pattern["melancholic-temperament"] == {"temperature": -1, "moisture": -1}


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("source: galen-mixtures", "source: hearsay", "Unknown source 'hearsay'."),
        (", seen: memory", "", "A published source needs seen"),
        ("source: galen-mixtures, seen: memory", "source: common-practice, seen: memory", "Only a published source"),
        ("temperature: 1", "humour: 1", "Unknown axis 'humour'"),
        ("temperature: 1", "temperature: 5", "must be a whole number from -4 to 4"),
        ("temperature: 1", "temperature: warm", "must be a whole number from -4 to 4"),
        ('means: "a person who leans hot and dry"', 'means: " "', "A term needs what it means here"),
        ('means: "a person who leans hot and dry", ', "", "means"),
    ],
)
def test_each_fault_is_told_with_its_line(tmp_path, old, new, sentence):
    folder = small_folder(tmp_path)
    line = replace(folder, FILE, CHOLERIC, CHOLERIC.replace(old, new))
    with pytest.raises(FaultsError) as refused:
        read_files(folder)
    mine = [fault for fault in refused.value.faults if fault.path == FILE]
    assert [fault.line for fault in mine] == [line]
    assert sentence in mine[0].message


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("tradition: galenic", "tradition: druidic", "Unknown tradition 'druidic'."),
        ("kind: state", "kind: mood", "The kind is one of"),
    ],
)
def test_an_unknown_tradition_or_kind_is_a_fault(tmp_path, old, new, sentence):
    folder = small_folder(tmp_path)
    row = next(
        line for line in (folder / FILE).read_text(encoding="utf-8").splitlines() if "choleric-temperament" in line
    )
    replace(folder, FILE, row, row.replace(old, new))
    with pytest.raises(FaultsError) as refused:
        read_files(folder)
    assert any(fault.path == FILE and sentence in fault.message for fault in refused.value.faults)


def test_without_the_file_nothing_is_loaded(tmp_path):
    folder = small_folder(tmp_path)
    (folder / FILE).unlink()
    with pytest.raises(FaultsError) as refused:
        read_files(folder)
    assert any(fault.path == FILE and "missing" in fault.message for fault in refused.value.faults)


def test_the_page_tells_every_term_with_its_source():
    page = people.client_of(people.student()).get(reverse("herbs:cross-walk")).content.decode()
    assert page.count('<th scope="row">') == len(terms())
    row = re.search(r'<tr id="galenic-choleric-temperament">.*?</tr>', page, re.S).group()
    assert "A person who leans hot and dry." in row
    assert "Hot +1, dry −1." in row
    assert "<cite>Galen, On Mixtures" in row and "From memory, to be verified." in row
    nature = re.search(r'<tr id="chinese-nature-warm">.*?</tr>', page, re.S).group()
    assert "Warms +2." in nature  # of a quality, what an herb of it does
    practice = re.search(r'<tr id="contemporary-western-damp-stagnation">.*?</tr>', page, re.S).group()
    assert "<cite>" not in practice and "Common practice" in practice


def test_the_page_costs_always_the_same_queries():
    client = people.client_of(people.student())
    client.get(reverse("herbs:cross-walk"))  # compiles the materia medica if no test has done so
    # 1 session, 2 user, 3 data version, 4 teaching set, 5 sources with their traditions, 6 whether the person teaches,
    # 7 whether the person administers a school (both for the menu)
    with assert_query_count(7):
        client.get(reverse("herbs:cross-walk"))
