"""A stored herb in the form: every claim survives the way through it, and two editors cannot overwrite each other unseen."""

import pytest
from django.urls import reverse

from herbs.editing import document_of, remove_herb, save_herb
from herbs.forms import Words
from herbs.forms.draft import draft_of_record
from herbs.loading.writing import herb_yaml
from herbs.models import Herb, HerbEdit, Release
from herbs.storing import herb_record
from tests import people
from tests.herbs.herb_forms import HerbForm

pytestmark = pytest.mark.django_db
SLUG = "zingiber-officinale"
EDIT = reverse("herbs:herb-edit", args=[SLUG])


@pytest.fixture
def client(db):
    return people.client_of(people.instructor())


def ginger():
    return Herb.objects.for_monograph().get(slug=SLUG)


def opened(client, says):
    """The form with the first row open whose sentence holds a text."""
    form = HerbForm(client, EDIT)
    number = form.text[: form.text.index(says)].count('<li class="claim')
    part = form["parts"]
    return form.press(f"open:{part}:c{number - 1}"), f"{part}-c{number - 1}"


def test_every_stored_herb_comes_through_the_form_unchanged(db):
    words = Words()
    for herb in Herb.objects.for_monograph():
        record = herb_record(herb)
        again = draft_of_record(words, record).check()
        assert again and herb_yaml(again) == herb_yaml(record), herb.slug


@pytest.mark.parametrize("slug", [SLUG, "althaea-officinalis", "achillea-millefolium"])
def test_sent_as_it_is_the_form_changes_nothing(client, slug):
    herb = Herb.objects.for_monograph().get(slug=slug)
    before, releases = document_of(herb), Release.objects.count()
    response = HerbForm(client, reverse("herbs:herb-edit", args=[slug])).post("save")
    assert response.status_code == 302
    herb = Herb.objects.for_monograph().get(slug=slug)
    assert document_of(herb) == before and not herb.is_local
    assert HerbEdit.objects.count() == 0 and Release.objects.count() == releases
    assert "Nothing differs" in client.get(response["Location"]).content.decode()


def test_a_change_is_kept_with_who_and_why_and_the_shipped_file_before_it(client):
    shipped = document_of(ginger())
    form, prefix = opened(client, "goes to the joints (slight)")
    form.fill(**{f"{prefix}-amount": "2", "summary": "Seen in class"})
    assert form.post("save").status_code == 302
    assert (
        ginger().parts.get().claims.get(predicate="affinity", subject="joints", source__slug="common-practice").amount
        == 2
    )
    edits = HerbEdit.objects.filter(herb_slug=SLUG)
    assert [(edit.number, edit.kind, edit.summary) for edit in edits] == [
        (2, "changed", "Seen in class"),
        (1, "shipped", ""),
    ]
    assert edits[1].document == shipped and edits[0].document == document_of(ginger())
    assert ginger().is_local


def test_a_changed_herb_counts_at_once(client):
    from herbs.catalogue import materia_medica

    before = materia_medica()
    form, prefix = opened(client, "warms +3")
    form.fill(**{f"{prefix}-amount": "2"})
    assert form.post("save").status_code == 302
    after = materia_medica()
    assert after.catalogue.data_version != before.catalogue.data_version
    number = after.catalogue.row_number("zingiber-officinale-rhizome")
    assert (before.catalogue.value[number][0], after.catalogue.value[number][0]) == (3, 2)


def somebody_elses_change():
    text = document_of(ginger()).replace('names: ["ginger"', 'names: ["ginger", "hot root"', 1)
    assert "hot root" in text
    return save_herb(text=text, by=people.owner())


def test_a_conflict_shows_both_and_loses_nothing(client):
    form, prefix = opened(client, "goes to the joints (slight)")
    form.fill(**{f"{prefix}-amount": "2"})
    somebody_elses_change()
    theirs = document_of(ginger())
    form.press("save")
    assert form.response.status_code == 200
    assert "Somebody else changed this herb while you were editing it" in form.text
    assert "<code>names: [&quot;ginger&quot;, &quot;hot root&quot;]</code>" in form.text
    assert form[f"{prefix}-amount"] == "2", "what was typed is still there"
    assert document_of(ginger()) == theirs, "nothing was written"
    form.press("save")  # the same button again is no way round
    assert document_of(ginger()) == theirs
    response = form.post("save-over")
    assert response.status_code == 302
    after = document_of(ginger())
    assert (
        "hot root" not in after
        and ginger()
        .parts.get()
        .claims.get(predicate="affinity", subject="joints", source__slug="common-practice")
        .amount
        == 2
    )
    documents = list(HerbEdit.objects.filter(herb_slug=SLUG).order_by("number").values_list("document", flat=True))
    assert theirs in documents, "theirs can be restored"


def test_saving_over_meets_a_third_editor(client):
    form, prefix = opened(client, "goes to the joints (slight)")
    form.fill(**{f"{prefix}-amount": "2"})
    somebody_elses_change()
    form.press("save")
    save_herb(text=document_of(ginger()).replace("hot root", "hotter root"), by=people.owner())
    form.press("save-over")
    assert "hotter root" in form.text and "hotter root" in document_of(ginger())
    assert form.post("save-over").status_code == 302
    assert "hotter root" not in document_of(ginger())


def test_a_herb_removed_meanwhile_can_be_added_again_with_what_was_typed(client):
    form, prefix = opened(client, "goes to the joints (slight)")
    form.fill(**{f"{prefix}-amount": "2"})
    remove_herb(slug=SLUG, by=people.owner())
    form.press("save")
    assert "Somebody else removed this herb" in form.text and not Herb.objects.filter(slug=SLUG).exists()
    assert form.post("save-over").status_code == 302
    assert (
        ginger().parts.get().claims.get(predicate="affinity", subject="joints", source__slug="common-practice").amount
        == 2
    )


def test_looking_shows_what_would_change_line_by_line(client):
    form, prefix = opened(client, "goes to the joints (slight)")
    form.fill(**{f"{prefix}-amount": "2"}).press("check")
    assert "<code>  - {affinity: joints, strength: 1, source: common-practice}</code>" in form.text
    assert "<code>  - {affinity: joints, strength: 2, source: common-practice}</code>" in form.text
    assert HerbEdit.objects.count() == 0


def test_half_a_degree_survives_being_opened(client):
    text = document_of(ginger()).replace("{degree: temperature, value: 3,", "{degree: temperature, value: 2.5,", 1)
    save_herb(text=text, by=people.owner())
    form, prefix = opened(client, "warms +2.5")
    assert form[f"{prefix}-amount"] == "2.5"
    assert form.post("save").status_code == 302
    assert "value: 2.5" in document_of(ginger())


def test_a_herb_is_removed_after_asking_and_brought_back(client):
    address, before = reverse("herbs:herb-remove", args=[SLUG]), document_of(ginger())
    assert client.get(address).status_code == 200 and Herb.objects.filter(slug=SLUG).exists()
    response = client.post(address, {"summary": "Twice in the list"}, follow=True)
    assert "Its history keeps it" in response.content.decode() and not Herb.objects.filter(slug=SLUG).exists()
    assert client.post(address).status_code == 404
    last = HerbEdit.objects.filter(herb_slug=SLUG).first()
    assert (last.kind, last.document, last.summary) == ("removed", "", "Twice in the list")
    client.post(reverse("herbs:edit-restore", args=[SLUG, 1]))
    assert document_of(ginger()) == before and not ginger().is_local


def test_the_form_asks_the_database_little(client):
    from tests.queries import assert_query_count

    # Session, user and rights; herb with parts, claims, sources, traditions; the herb's state; rights for the head of the
    # page; three of the vocabulary; families; names of parts.
    with assert_query_count(15):
        client.get(EDIT)


def test_there_is_nothing_to_edit_where_there_was_never_a_herb(client):
    form = HerbForm(client, EDIT)
    for slug in ("no-such-herb", "add-me"):
        address = reverse("herbs:herb-edit", args=[slug])
        assert client.get(address).status_code == form.post("save", address).status_code == 404
    assert HerbEdit.objects.count() == 0
