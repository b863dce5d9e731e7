"""A herb from nothing: what the form sends, with and without scripts, and what it says when something is missing."""

import pytest
from django.urls import reverse

from herbs.editing import document_of
from herbs.engine import AXES
from herbs.models import Herb, HerbEdit, Release
from herbs.search import search
from tests import people
from tests.factories import HTMX
from tests.herbs.herb_forms import HerbForm, described
from tests.test_html_policy import faults as policy_faults

pytestmark = pytest.mark.django_db
ROW = reverse("herbs:claim-row")


@pytest.fixture
def client(db):
    return people.client_of(people.instructor())


def stored(latin="Inventa demonstrans"):
    return Herb.objects.for_monograph().filter(latin=latin).first()


def test_the_form_starts_with_what_a_drill_needs_under_common_practice(client):
    form = HerbForm(client)
    assert [form[f"{prefix}-subject"] for prefix in form.rows("degree")] == list(AXES)
    assert [len(form.rows(p)) for p in ("degree", "action", "affinity", "caution", "preparation")] == [4, 1, 1, 1, 1]
    assert {value for name, value in form.pairs if name.endswith("-source")} == {"common-practice"}
    assert policy_faults(form.text) == []
    assert "to cite another one, propose it to the maintainer" in " ".join(form.text.split())


def test_a_whole_herb_is_saved_with_its_history_and_found_by_its_names(client):
    before = Release.objects.count()
    form = described(client).fill(synonyms="Inventa vetus\nInventa antiqua")
    response = form.post("save")
    assert response.status_code == 302 and response["Location"] == reverse(
        "herbs:herb-detail", args=["inventa-demonstrans"]
    )
    herb = stored()
    assert herb.is_local and herb.synonyms == ["Inventa vetus", "Inventa antiqua"]
    part = herb.parts.get()
    assert (part.slug, part.name, part.label) == ("inventa-demonstrans-leaf", "leaf", "demo wort leaf")
    assert sorted(part.claims.values_list("predicate", flat=True)) == ["action", "affinity", "caution", *["degree"] * 4]
    assert Release.objects.count() == before + 1
    edit = HerbEdit.objects.get(herb_slug=herb.slug)
    assert (edit.kind, edit.number, edit.edited_by.username) == ("added", 1, "ottilie")
    assert edit.document == document_of(herb)
    assert search("inventa vetus")[0].slug == herb.slug
    page = client.get(response["Location"]).content.decode()
    assert "Inventa demonstrans is saved." in page and "cannot ask about it" not in page


def test_nothing_filled_in_is_told_beside_each_field_and_nothing_is_saved(client):
    form = HerbForm(client).press("save")
    assert form.response.status_code == 200
    said = form.faults
    for sentence in ("Give the Latin name: genus and species.", "Choose the habit of growth.",
                     "Give the English name that is used in labels.", "Name the part used: root, leaf, whole herb."):  # fmt: skip
        assert sentence in said, said
    assert HerbEdit.objects.count() == 0


def test_a_missing_degree_is_told_at_its_row_and_everything_else_stays(client):
    form = described(client).fill_row("degree", 2, amount="")
    form.press("save")
    assert "Choose a degree from −4 to +4." in form.faults
    row = form.rows("degree")[2]
    where = form.text.index("Choose a degree from")
    assert form.text.index(f'id="id_{row}-amount"') < where < form.text.index(f'id="id_{row}-source"')
    assert form["latin"] == "Inventa demonstrans" and form[f"{form.rows('action')[0]}-site"] == "respiratory"
    assert stored() is None
    form.fill_row("degree", 2, amount="1")
    assert form.post("save").status_code == 302 and stored()


def test_rows_left_empty_are_left_out_and_a_herb_without_an_action_says_what_drills_lack(client):
    form = described(client).fill_row("action", subject="", amount="", site="")
    response = form.post("save")
    assert response.status_code == 302
    assert not stored().parts.get().claims.filter(predicate__in=["action", "preparation"]).exists()
    page = client.get(response["Location"]).content.decode()
    assert "Nothing names an action for the leaf, so drills cannot ask about it yet." in page


def test_a_herb_that_is_there_already_is_not_overwritten(client):
    form = described(client, "Zingiber officinale").press("save")
    assert any("is in the materia medica already" in sentence for sentence in form.faults)
    assert Herb.objects.get(slug="zingiber-officinale").name == "ginger"


@pytest.mark.parametrize("latin", ["Inventa", "???", "—", "Inventa / demonstrans" * 12])
def test_a_name_that_makes_no_address_is_refused(client, latin):
    form = described(client, latin).press("save")
    assert form.response.status_code == 200 and form.faults
    assert HerbEdit.objects.count() == 0


def test_odd_characters_are_dropped_and_quotes_and_markup_kept_as_text(client):
    note = 'He said: "#hot", {x: 1} <b>&amp; \u2028 ’\u0007\x7f\ufeff'
    form = described(client).fill_row("caution", note=note)
    assert form.post("save").status_code == 302
    kept = stored().parts.get().claims.get(predicate="caution").note
    assert kept == 'He said: "#hot", {x: 1} <b>&amp; ’'
    page = client.get(reverse("herbs:herb-edit", args=["inventa-demonstrans"])).content.decode()
    assert "<b>&amp;" not in page and "&lt;b&gt;&amp;amp;" in page


def test_looking_shows_the_file_and_saves_nothing(client):
    form = described(client).press("check")
    assert "Nothing is wrong with it. It is not saved yet." in form.text
    assert "latin: &quot;Inventa demonstrans&quot;" in form.text
    assert stored() is None
    assert form.post("save").status_code == 302


# Rows, without scripts


def test_a_row_is_added_filled_removed_and_put_back_without_scripts(client):
    form = described(client)
    part = form["parts"]
    form.fill(part__adding="taste").press(f"add:{part}")
    assert len(form.rows("taste")) == 1 and form["latin"] == "Inventa demonstrans"
    form.fill_row("taste", subject="pungent")
    key = form.rows("taste")[0].partition("-")[2]
    form.press(f"remove:{part}:{key}")
    assert form.rows("taste") == [] and "Left out" in form.text
    form.press(f"restore:{part}:{key}").press(f"open:{part}:{key}")
    assert form[f"{part}-{key}-subject"] == "pungent"
    form.press(f"shut:{part}:{key}")
    assert form.post("save").status_code == 302
    assert stored().parts.get().claims.get(predicate="taste").subject == "pungent"


def test_a_row_that_was_removed_is_not_saved(client):
    form = described(client)
    part, key = form["parts"], form.rows("affinity")[0].partition("-")[2]
    form.press(f"remove:{part}:{key}")
    assert form.post("save").status_code == 302
    assert not stored().parts.get().claims.filter(predicate="affinity").exists()


def test_another_predicate_shows_its_own_fields_without_scripts(client):
    form = described(client)
    part, key = form["parts"], form.rows("preparation")[0].partition("-")[2]
    form.fill(**{f"{part}-{key}-predicate": "harvest"}).press(f"fields:{part}:{key}")
    names = {name for name, _ in form.pairs}
    assert f"{part}-{key}-age" in names and f"{part}-{key}-ratio" not in names
    form.fill_row("harvest", subject="autumn", age="2")
    assert form.post("save").status_code == 302
    assert stored().parts.get().claims.get(predicate="harvest").details == {"age": 2}


def test_a_second_part_is_added_and_left_out_again(client):
    form = described(client).press("add-part")
    first, second = [value for name, value in form.pairs if name == "parts"]
    assert form[f"{first}-part"] == "leaf" and len(form.rows("degree")) == 8
    form.press(f"remove-part:{second}")
    assert [value for name, value in form.pairs if name == "parts"] == [first]
    assert form.post("save").status_code == 302 and stored().parts.count() == 1


def test_a_published_source_asks_whether_it_was_read(client):
    form = described(client).fill_row("action", source="cook-1869").press("save")
    assert "Say whether this was read in a table of the source or comes from memory." in form.faults
    form.fill_row("action", seen="memory")
    assert form.post("save").status_code == 302
    assert stored().parts.get().claims.get(predicate="action").seen == "memory"


def test_the_same_claim_twice_is_told_at_the_second(client):
    form = described(client)
    form.fill(part__adding="caution").press(f"add:{form['parts']}")
    form.fill_row("caution", 1, subject="pregnancy", level="monitor", reason="no-data").press("save")
    assert any("already says caution pregnancy here" in sentence for sentence in form.faults)


def test_a_preparation_with_half_a_dose_is_told(client):
    form = described(client).fill_row("preparation", subject="infusion", low="2", ratio="1-5").press("save")
    assert "A dose needs where it starts, where it ends, and a unit." in form.faults
    assert "Write the ratio as 1:5, herb to menstruum." in form.faults
    form.fill_row("preparation", low="2", high="4", unit="g", ratio="1:20", times="3", menstruum="water")
    assert form.post("save").status_code == 302
    claim = stored().parts.get().claims.get(predicate="preparation")
    assert claim.details == {"low": 2, "high": 4, "unit": "g", "ratio": "1:20", "times": 3, "menstruum": "water"}


# Rows, by htmx


def test_one_row_is_judged_at_once_with_sentences_beside_its_fields(client):
    form = described(client)
    prefix = form.rows("preparation")[0]
    form.fill_row("preparation", subject="infusion", ratio="one to five")
    part, _, key = prefix.partition("-")
    page = form.post(f"check:{part}:{key}", ROW, **HTMX).content.decode()
    assert f'id="id_{prefix}-ratio_fault" hx-swap-oob="true"><span>Write the ratio as 1:5' in page
    assert "Reads:" not in page and "<html" not in page
    form.fill_row("preparation", ratio="1:5")
    page = form.post(f"check:{part}:{key}", ROW, **HTMX).content.decode()
    assert "Reads: infusion; 1:5." in page and "<span>" not in page


def test_an_unfinished_row_is_not_nagged_about(client):
    form = described(client)
    part, _, key = form.rows("caution")[0].partition("-")
    form.fill_row("caution", level="", reason="")
    page = form.post(f"check:{part}:{key}", ROW, **HTMX).content.decode()
    assert "<span>" not in page and "Reads:" not in page


@pytest.mark.parametrize(
    ("verb", "sign"), [("add", "autofocus"), ("remove", "Put back"), ("shut", "Edit"), ("fields", "<fieldset")]
)
def test_htmx_gets_one_row(client, verb, sign):
    form = described(client)
    part, _, key = form.rows("caution")[0].partition("-")
    response = form.post(f"{verb}:{part}" + ("" if verb == "add" else f":{key}"), ROW, **HTMX)
    page = response.content.decode()
    assert response.status_code == 200 and page.count("<li") == 1 and sign in page
    assert policy_faults(page) == []


@pytest.mark.parametrize(
    "do", ["", "save", "add", "open:!:x", "open:a:../../x", "check:a", "burn:a:b", "open:" + "a" * 99 + ":b"]
)
def test_a_row_that_makes_no_sense_is_refused(client, do):
    assert described(client).post(do, ROW, **HTMX).status_code == 400


@pytest.mark.parametrize(
    "line", ["", "[]", "null", "{", '{"predicate": {"a": 1}, "subject": 3}', '{"predicate": "degree"}']
)
def test_a_hidden_line_that_was_tampered_with_does_no_harm(client, line):
    form = described(client)
    part, key = form["parts"], form.rows("preparation")[0].partition("-")[2]
    form.press(f"remove:{part}:{key}").press(f"restore:{part}:{key}")
    form.fill(**{f"{part}-{key}-shut": line})
    assert form.post("save").status_code in (200, 302)


# Who may


@pytest.mark.parametrize("who", ["stranger", "student", "assistant", "other student"])
def test_whoever_does_not_teach_changes_nothing(who):
    editor = people.client_of(people.instructor())
    form = described(editor)
    form.client = people.client_of(people.EVERYBODY[who]())
    assert form.post("save").status_code == 403
    assert form.post("check:a:b", ROW, **HTMX).status_code == 403
    for name in ("herb-edit", "herb-remove", "herb-history", "herb-file"):
        assert form.client.get(reverse(f"herbs:{name}", args=["zingiber-officinale"])).status_code == 403
        assert form.client.post(reverse(f"herbs:{name}", args=["zingiber-officinale"])).status_code in (403, 405)
    assert HerbEdit.objects.count() == 0 and stored() is None
    page = form.client.get(reverse("herbs:herb-detail", args=["zingiber-officinale"])).content.decode()
    assert reverse("herbs:herb-edit", args=["zingiber-officinale"]) not in page
    assert reverse("herbs:herb-add") not in form.client.get(reverse("herbs:herb-index")).content.decode()


def test_whoever_teaches_finds_the_way(client):
    page = client.get(reverse("herbs:herb-detail", args=["zingiber-officinale"])).content.decode()
    for name in ("herb-edit", "herb-history", "herb-pictures"):
        assert reverse(f"herbs:{name}", args=["zingiber-officinale"]) in page
    page = client.get(reverse("herbs:herb-index")).content.decode()
    for name in ("herb-add", "edit-list", "exchange"):
        assert reverse(f"herbs:{name}") in page
