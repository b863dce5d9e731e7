"""Private notes on herbs: nobody but the owner sees one, and nothing that was written is lost."""

import html
import re

import pytest
from django.urls import reverse

from herbs.editing import remove_herb
from herbs.models import Herb
from lessons import notes
from lessons.models import HerbNote
from lessons.models.notes import LONGEST
from lessons.notes import NoteConflictError, save_note
from tests import people
from tests.factories import HTMX
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
SECRET = "Rasps on the tongue; think of the dry hill behind the mill."


@pytest.fixture
def herb(db) -> Herb:
    """Some herb of the materia medica."""
    return Herb.objects.order_by("slug").first()


@pytest.fixture
def client(db):
    """Wenna's browser."""
    return people.client_of(people.student())


def place(herb: Herb) -> str:
    """The address of a note."""
    return reverse("lessons:herb-note", args=[herb.slug])


def noted(user, herb, text=SECRET) -> HerbNote:
    """A note that somebody wrote."""
    return save_note(user=user, herb_slug=herb.slug, herb_name=herb.name, text=text, base=0)


def page(response) -> str:
    """The text of a page."""
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def fields(response) -> dict[str, str]:
    """The form of the page as a browser would send it."""
    text = response.content.decode()
    (area,) = re.findall(r"<textarea[^>]*>(.*?)</textarea>", text, re.DOTALL)
    (base,) = [tag for tag in re.findall(r"<input[^>]*>", text) if 'name="base"' in tag]
    return {"text": html.unescape(area).lstrip("\r\n"), "base": re.search(r'value="(\d*)"', base)[1]}


def test_a_note_is_written_read_and_changed(client, herb):
    assert fields(client.get(place(herb))) == {"text": "", "base": "0"}
    response = client.post(place(herb), {"text": SECRET, "base": "0"})
    assert (response.status_code, response.url) == (302, place(herb))
    assert SECRET in page(client.get(place(herb)))
    sent = fields(client.get(place(herb))) | {"text": "Another thought."}
    client.post(place(herb), sent)
    note = HerbNote.objects.get()
    assert (note.text, note.herb_name, note.user) == ("Another thought.", herb.name, people.student())
    assert SECRET not in page(client.get(place(herb)))


@pytest.mark.parametrize("who", [name for name in people.EVERYBODY if name not in ("student", "nobody")])
def test_nobody_else_sees_it_whatever_their_role(herb, who):
    noted(people.student(), herb)
    other = people.EVERYBODY[who]()
    other.is_staff = other.is_superuser = True
    other.save()
    client = people.client_of(other)
    for address in (place(herb), reverse("lessons:herb-notes"), reverse("herbs:herb-detail", args=[herb.slug])):
        assert SECRET not in page(client.get(address))
        assert SECRET not in page(client.get(address, headers=HTMX))
    assert fields(client.get(place(herb))) == {"text": "", "base": "0"}
    client.post(place(herb), {"text": "Mine.", "base": "0"})
    client.post(place(herb), fields(client.get(place(herb))) | {"text": ""})
    assert HerbNote.objects.get().text == SECRET


def test_sent_twice_it_is_saved_once(client, herb):
    for _ in range(2):
        assert client.post(place(herb), {"text": SECRET, "base": "0"}).status_code == 302
    first = HerbNote.objects.get()
    sent = {"text": "Changed.", "base": str(first.version)}
    for _ in range(2):
        assert client.post(place(herb), sent).status_code == 302
    assert HerbNote.objects.get().version == first.version + 1
    sent = {"text": "", "base": str(first.version + 1)}
    for _ in range(2):
        assert client.post(place(herb), sent).url == reverse("lessons:herb-notes")
    assert not HerbNote.objects.exists()


def test_when_another_tab_saved_in_between_both_texts_stand_there(client, herb):
    noted(people.student(), herb, "First.")
    tab, other = fields(client.get(place(herb))), fields(client.get(place(herb)))
    client.post(place(herb), other | {"text": "From the other tab."})
    response = client.post(place(herb), tab | {"text": "From this tab."})
    assert "From the other tab." in page(response) and "saved elsewhere" in page(response)
    assert fields(response)["text"] == "From this tab."
    assert HerbNote.objects.get().text == "From the other tab."
    # Keeping one's own is one more press of the button.
    assert client.post(place(herb), fields(response)).status_code == 302
    assert HerbNote.objects.get().text == "From this tab."


def test_a_third_save_in_between_is_a_conflict_again(client, herb):
    note = noted(people.student(), herb, "First.")
    client.post(place(herb), {"text": "Second.", "base": str(note.version)})
    shown = client.post(place(herb), {"text": "Mine.", "base": str(note.version)})
    client.post(place(herb), {"text": "Third.", "base": str(note.version + 1)})
    again = client.post(place(herb), fields(shown))
    assert "Third." in page(again) and fields(again)["text"] == "Mine."


def test_deleted_elsewhere_it_is_written_again_only_when_asked(client, herb):
    noted(people.student(), herb)
    tab = fields(client.get(place(herb)))
    client.post(place(herb), tab | {"text": ""})
    response = client.post(place(herb), tab | {"text": "Kept after all."})
    assert "deleted elsewhere" in page(response)
    assert not HerbNote.objects.exists()
    client.post(place(herb), fields(response))
    assert HerbNote.objects.get().text == "Kept after all."


def test_a_form_of_a_deleted_note_does_not_write_over_the_one_written_after_it(client, herb, monkeypatch):
    draws = iter([0, 17])
    monkeypatch.setattr(notes.secrets, "randbelow", lambda below: next(draws))
    noted(people.student(), herb, "Old.")
    stale = fields(client.get(place(herb)))
    client.post(place(herb), stale | {"text": ""})
    noted(people.student(), herb, "New.")
    assert "New." in page(client.post(place(herb), stale | {"text": "Old, changed."}))
    assert HerbNote.objects.get().text == "New."


def test_deleting_what_changed_elsewhere_asks_first(client, herb):
    note = noted(people.student(), herb, "First.")
    client.post(place(herb), {"text": "Second.", "base": str(note.version)})
    response = client.post(place(herb), {"text": "", "base": str(note.version)})
    assert "Second." in page(response) and "Keeping yours deletes the notes" in page(response)
    assert client.post(place(herb), fields(response)).status_code == 302
    assert not HerbNote.objects.exists()


@pytest.mark.parametrize("same", [True, False])
def test_two_tabs_that_write_the_first_note_at_once(herb, monkeypatch, same):
    student = people.student()
    first = noted(student, herb, SECRET if same else "The other tab was faster.")
    # The second tab looked before the first had written.
    monkeypatch.setattr(HerbNote.objects, "select_for_update", HerbNote.objects.none)
    if same:
        assert noted(student, herb) == first
    else:
        with pytest.raises(NoteConflictError) as caught:
            noted(student, herb)
        assert caught.value.stored.text == "The other tab was faster."
    assert HerbNote.objects.count() == 1


def test_it_outlives_the_herb(client, herb):
    noted(people.student(), herb)
    remove_herb(slug=herb.slug, by=people.instructor(), summary="")
    assert not Herb.objects.filter(slug=herb.slug).exists()
    assert "no longer in the materia medica" in page(client.get(place(herb)))
    assert "No longer in the materia medica" in page(client.get(reverse("lessons:herb-notes")))
    client.post(place(herb), fields(client.get(place(herb))) | {"text": "Still changed."})
    assert HerbNote.objects.get().text == "Still changed."
    client.post(place(herb), fields(client.get(place(herb))) | {"text": " \r\n "})
    assert not HerbNote.objects.exists()
    assert client.get(place(herb)).status_code == 404
    assert client.post(place(herb), {"text": "A herb that is not there.", "base": "0"}).status_code == 404


def test_a_note_as_long_as_the_browser_lets_one_write_is_taken_and_a_longer_one_is_kept_on_the_page(client, herb):
    lines = "\n".join(["x" * 39] * 100) + "y"
    assert len(lines) == LONGEST
    client.post(place(herb), {"text": lines.replace("\n", "\r\n"), "base": "0"})
    assert HerbNote.objects.get().text == lines
    sent = fields(client.get(place(herb))) | {"text": lines + "z"}
    response = client.post(place(herb), sent)
    assert "at most 4000 characters" in page(response)
    assert fields(response)["text"] == lines + "z"
    assert HerbNote.objects.get().text == lines


@pytest.mark.parametrize("sent", [{}, {"text": SECRET}, {"text": SECRET, "base": "x"}, {"text": "a\0b", "base": "0"},
                                  {"text": SECRET, "base": "9" * 30}])  # fmt: skip
def test_what_no_form_of_ours_sends_is_not_saved(client, herb, sent):
    assert client.post(place(herb), sent).status_code == 200
    assert not HerbNote.objects.exists()


def test_markup_in_a_note_is_shown_as_it_was_typed(client, herb):
    noted(people.student(), herb, "<script>x()</script>")
    for address in (place(herb), reverse("lessons:herb-notes")):
        assert b"<script>x()" not in client.get(address).content
        assert b"&lt;script&gt;x()" in client.get(address).content


def test_the_monograph_has_a_link_that_works_without_scripts_and_loads_the_note_with_them(client, herb):
    monograph = reverse("herbs:herb-detail", args=[herb.slug])
    (block,) = re.findall(r'<div class="own-note.*?</div>', client.get(monograph).content.decode(), re.DOTALL)
    assert f'hx-get="{place(herb)}"' in block and 'hx-trigger="load"' in block and f'<a href="{place(herb)}"' in block
    noted(people.student(), herb)
    assert SECRET not in page(client.get(monograph))
    response = client.get(place(herb), headers=HTMX)
    assert SECRET in page(response) and "<html" not in page(response) and "<form" not in page(response)
    assert "no-store" in response.headers["Cache-Control"] and "HX-Request" in response.headers["Vary"]


def test_a_plant_that_is_marked_is_marked_here_too(client):
    herb = next(herb for herb in Herb.objects.all() if "toxic" in herb.status)
    noted(people.student(), herb)
    assert herb.status_note in page(client.get(place(herb)))
    assert "Toxic" in page(client.get(reverse("lessons:herb-notes")))


@pytest.mark.parametrize("count", [2, 20])
def test_the_list_costs_the_same_however_many_notes_there_are(client, count):
    for herb in Herb.objects.order_by("slug")[:count]:
        noted(people.student(), herb)
    # 1 session, 2 user, 3 notes, 4 their herbs, 5 whether the person teaches, 6 whether the person administers a school
    # (both for the menu)
    with assert_query_count(6):
        response = client.get(reverse("lessons:herb-notes"))
    assert page(response).count('<li class="entry">') == count
