"""What people changed: compared, restored, proposed."""

import pytest
from django.urls import reverse

from herbs.differences import DiffLine, line_diff
from herbs.editing import document_of, read_herb, save_herb
from herbs.models import Herb, HerbEdit, Release, Term
from herbs.services import load_materia_medica
from tests import people
from tests.herbs.folders import replace, small_folder

pytestmark = pytest.mark.django_db
SLUG = "zingiber-officinale"
HISTORY = reverse("herbs:herb-history", args=[SLUG])


@pytest.fixture
def client(db):
    return people.client_of(people.instructor())


def ginger():
    return Herb.objects.for_monograph().get(slug=SLUG)


def renamed(name):
    """Ginger saved with another second name; the file as it was."""
    before = document_of(ginger())
    first, _, rest = before.partition("\nnames: ")
    save_herb(
        text=f'{first}\nnames: ["ginger", "{name}"]\n{rest.partition(chr(10))[2]}', by=people.instructor(), summary=name
    )
    return before


def test_a_herb_that_nobody_changed_says_so(client):
    page = client.get(HISTORY).content.decode()
    assert "Nobody has changed this herb here" in page and "herbs/data/herbs/zingiber-officinale.yaml" in page


def test_any_two_states_are_compared_line_by_line(client):
    renamed("hot root")
    renamed("hotter root")
    page = client.get(HISTORY).content.decode()
    assert "From number 2 to number 3" in page and "Ottilie Marsh" in page
    assert "<code>names: [&quot;ginger&quot;, &quot;hot root&quot;]</code>" in page
    page = client.get(HISTORY, {"from": "1", "to": "2"}).content.decode()
    assert "From number 1 to number 2" in page and "hotter root&quot;]</code>" not in page
    page = client.get(HISTORY, {"from": "3", "to": "1"}).content.decode()
    assert "From number 3 to number 1" in page


@pytest.mark.parametrize("query", [{"from": "x", "to": "²"}, {"from": "-1"}, {"to": "999"}, {"from": "9" * 40}])
def test_odd_numbers_do_no_harm(client, query):
    renamed("hot root")
    assert client.get(HISTORY, query).status_code == 200


def test_a_state_is_restored_once_and_again_changes_nothing(client):
    shipped = renamed("hot root")
    renamed("hotter root")
    address = reverse("herbs:edit-restore", args=[SLUG, 2])
    assert client.get(address).status_code == 405
    client.post(address)
    assert "hot root" in document_of(ginger()) and ginger().is_local
    last = HerbEdit.objects.filter(herb_slug=SLUG).first()
    assert (last.number, last.kind, last.summary) == (4, "restored", "as it stood at number 2")
    releases = Release.objects.count()
    page = client.post(address, follow=True).content.decode()
    assert "is already as it stood at number 2" in page
    assert HerbEdit.objects.filter(herb_slug=SLUG).count() == 4 and Release.objects.count() == releases
    client.post(reverse("herbs:edit-restore", args=[SLUG, 1]))
    assert document_of(ginger()) == shipped and not ginger().is_local, "as shipped, it follows later loads again"


def test_what_is_not_there_is_not_restored(client):
    assert client.post(reverse("herbs:edit-restore", args=[SLUG, 7])).status_code == 404
    assert client.get(reverse("herbs:herb-history", args=["no-such-herb"])).status_code == 404


def test_a_state_whose_words_are_gone_says_why_and_changes_nothing(client):
    renamed("hot root")
    HerbEdit.objects.filter(herb_slug=SLUG, number=1).update(
        document=HerbEdit.objects.get(herb_slug=SLUG, number=1).document.replace("taste: pungent", "taste: peppery")
    )
    before = document_of(ginger())
    page = client.post(reverse("herbs:edit-restore", args=[SLUG, 1]), follow=True).content.decode()
    assert "cannot be restored as it is" in page and "Unknown taste" in page
    assert document_of(ginger()) == before


def test_a_later_release_is_remembered_before_it_is_changed(tmp_path):
    folder = small_folder(tmp_path)
    for model in (Release, Herb, Term):
        model.objects.all().delete()
    load_materia_medica(folder=folder)
    herb = Herb.objects.for_monograph().get(slug="galium-aparine")
    first = document_of(herb)
    save_herb(text=first.replace("goosegrass", "gosling grass"), by=people.owner())
    save_herb(text=first, by=people.owner(), is_local=False)
    replace(folder, "herbs/galium-aparine.yaml", "Rubiaceae", "Rubiaceae s.l.")
    load_materia_medica(folder=folder)
    herb = Herb.objects.for_monograph().get(slug="galium-aparine")
    second = document_of(herb)
    assert "s.l." in second
    save_herb(text=second.replace("s.l.", "s.str."), by=people.owner())
    edits = list(HerbEdit.objects.filter(herb_slug="galium-aparine").order_by("number"))
    assert [edit.document for edit in edits if edit.kind == "shipped"] == [first, second]


def test_the_file_to_propose_is_the_shipped_format_to_the_byte(client):
    response = client.get(reverse("herbs:herb-file", args=[SLUG]))
    assert response["Content-Type"] == "text/yaml; charset=utf-8"
    assert response["Content-Disposition"] == 'attachment; filename="zingiber-officinale.yaml"'
    assert response.content.decode() == document_of(ginger())
    assert read_herb(response.content.decode())["digest"] == ginger().digest


def test_recent_edits_of_all_herbs_the_latest_first(client):
    address = reverse("herbs:edit-list")
    assert "Nobody has changed" in client.get(address).content.decode()
    renamed("hot root")
    other = Herb.objects.for_monograph().get(slug="althaea-officinalis")
    save_herb(text=document_of(other).replace("status_note:", "status_note:", 1).replace("Malvaceae", "Malvaceae s.str."),
              by=people.owner(), summary="narrower family")  # fmt: skip
    page = client.get(address).content.decode()
    assert page.index("Althaea officinalis") < page.index("Zingiber officinale")
    assert "narrower family" in page and "Hester Nance" in page
    assert client.get(address, {"page": "99"}).status_code == client.get(address, {"page": "x"}).status_code == 200


@pytest.mark.parametrize("who", ["stranger", "student", "assistant"])
def test_students_see_no_history_and_restore_nothing(who):
    renamed("hot root")
    client = people.client_of(people.EVERYBODY[who]())
    before = document_of(ginger())
    for address in (HISTORY, reverse("herbs:edit-list"), reverse("herbs:herb-file", args=[SLUG])):
        assert client.get(address).status_code == 403
    assert client.post(reverse("herbs:edit-restore", args=[SLUG, 1])).status_code == 403
    assert document_of(ginger()) == before


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("a\nb", "a\nb", []),
        ("", "a", [("added", "a")]),
        ("a", "", [("removed", "a")]),
        ("1\n2\n3\n4\n5\n6", "1\n2\n3\n4\nx\n6",
         [("gap", "2 unchanged lines"), ("same", "3"), ("same", "4"), ("removed", "5"), ("added", "x"), ("same", "6")]),
        ("a\n1\n2\n3", "b\n1\n2\n3",
         [("removed", "a"), ("added", "b"), ("same", "1"), ("same", "2"), ("gap", "1 unchanged line")]),
    ],
)  # fmt: skip
def test_line_differences(before, after, expected):
    assert line_diff(before, after) == [DiffLine(*line) for line in expected]
