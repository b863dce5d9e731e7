"""Pictures of parts: sent with alt text, credit and licence, shown, served as pictures only, removed."""

import re
import uuid

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from herbs.editing import document_of, remove_herb, save_herb
from herbs.loading import FaultsError
from herbs.models import Herb, Picture
from tests import people
from tests.herbs import images
from tests.test_html_policy import faults as policy_faults

pytestmark = pytest.mark.django_db
SLUG, PART = "althaea-officinalis", "althaea-officinalis-leaf"
PAGE = reverse("herbs:herb-pictures", args=[SLUG])
MONOGRAPH = reverse("herbs:herb-detail", args=[SLUG])


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    """Files of their own for every test."""
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


@pytest.fixture
def client(db):
    return people.client_of(people.instructor())


def send(client, content=None, name="leaf.jpg", page=PAGE, **changes):
    fields = {"part": PART, "stage": "leaf", "alt": "Downy leaf with a pointed tip", "credit": "Ottilie Marsh (invented), 2024",
              "licence": "cc-by"} | changes  # fmt: skip
    return client.post(
        page, {"picture": SimpleUploadedFile(name, images.jpeg() if content is None else content), **fields}
    )


def files(media):
    return sorted(str(path.relative_to(media)) for path in media.rglob("*") if path.is_file()) if media.exists() else []


def test_a_picture_is_added_and_shown_with_everything_that_belongs_to_it(client, media):
    response = send(client)
    assert (response.status_code, response["Location"]) == (302, PAGE)
    picture = Picture.objects.get()
    assert (picture.part.slug, picture.width, picture.height, picture.widths) == (PART, 640, 480, [320, 640])
    assert (picture.uploaded_by.username, picture.stage, picture.licence) == ("ottilie", "leaf", "cc-by")
    assert files(media) == [f"pictures/{picture.code}/{w}.{k}" for w in (320, 640) for k in ("jpg", "webp")]
    student = people.client_of(people.student())
    page = student.get(MONOGRAPH).content.decode()
    address = f"/pictures/{picture.code}/"
    assert f'<source type="image/webp" srcset="{address}320.webp 320w, {address}640.webp 640w"' in page
    assert re.search(rf'<img src="{address}640.jpg" srcset="{address}320.jpg 320w, {address}640.jpg 640w"', page)
    assert 'width="640" height="480" alt="Downy leaf with a pointed tip"' in page
    assert "Ottilie Marsh (invented), 2024. CC BY 4.0." in page and "img/habits/" not in page
    assert policy_faults(page) == [] and "/remove/" not in page


def test_without_a_picture_the_habit_is_drawn(client):
    page = client.get(MONOGRAPH).content.decode()
    assert "img/habits/" in page and "/pictures/" in page, "the link for those who may add one"
    assert "<picture>" not in page


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"alt": ""}, "Describe the picture for those who cannot see it."),
        ({"alt": "  "}, "Describe the picture for those who cannot see it."),
        ({"credit": ""}, "Say who made the picture."),
        ({"licence": ""}, "Choose the licence under which it may be shown."),
        ({"licence": "all-mine"}, "Select a valid choice"),
        ({"stage": ""}, "Say what the picture shows."),
        ({"stage": "moon"}, "Select a valid choice"),
        ({"part": "zingiber-officinale-rhizome"}, "Select a valid choice"),
        ({"alt": "a" * 251}, "at most 250 characters"),
    ],
)
def test_what_is_missing_is_told_and_nothing_is_kept(client, media, changes, sentence):
    response = send(client, **changes)
    assert response.status_code == 200 and sentence in response.content.decode()
    assert not Picture.objects.exists() and files(media) == []


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("a.jpg", b"", "The file is empty."),
        ("a.svg", images.SVG, "This is not a picture that can be read."),
        ("a.jpg", images.jpeg() + b"\0" * (9 * 1024 * 1024), "larger than 8 MB"),
        ("a.png", images.bomb(8000, 8000), "8,000 by 8,000 pixels"),
        ("a.png", images.jpeg(), "ending is .png but it holds JPEG"),
    ],
)
def test_what_is_refused_is_told_beside_the_field_and_nothing_is_kept(client, media, name, content, sentence):
    response = send(client, content, name)
    page = response.content.decode()
    assert response.status_code == 200 and sentence in page and "Nothing was kept." in page
    assert 'value="Downy leaf with a pointed tip"' in page, "what was typed is still there"
    assert not Picture.objects.exists() and files(media) == []


def test_the_same_picture_twice_is_one(client, media):
    send(client)
    kept = files(media)
    page = client.get(send(client, images.jpeg() + images.HTML, "again.jpeg")["Location"]).content.decode()
    assert "was there already" in page and Picture.objects.count() == 1 and files(media) == kept


# Files


def test_a_file_is_served_as_a_picture_and_nothing_else(client):
    send(client)
    picture = Picture.objects.get()
    for kind, wanted in (("webp", "image/webp"), ("jpg", "image/jpeg")):
        response = people.client_of(people.student()).get(reverse("herbs:picture-file", args=[picture.code, 320, kind]))
        assert response.status_code == 200 and response["Content-Type"] == wanted
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Cache-Control"] == "private, max-age=31536000, immutable"
        assert response["Content-Disposition"].startswith("inline;")
        content = b"".join(response.streaming_content)
        with default_storage.open(f"pictures/{picture.code}/320.{kind}") as stored:
            assert content == stored.read()


def test_anything_else_is_not_there(client):
    send(client)
    code = Picture.objects.get().code
    wrong = [
        f"/pictures/{code}/{name}" for name in ("321.webp", "320.png", "320.html", "320.jpgx", "..%2f320.webp", "")
    ]
    wrong += [f"/pictures/{uuid.uuid4()}/320.webp", "/pictures/x/320.webp", f"/media/pictures/{code}/320.webp"]
    for address in wrong:
        assert client.get(address).status_code == 404, address


def test_a_file_that_is_lost_is_not_there_either(client):
    send(client)
    picture = Picture.objects.get()
    default_storage.delete(f"pictures/{picture.code}/320.webp")
    assert client.get(reverse("herbs:picture-file", args=[picture.code, 320, "webp"])).status_code == 404


def test_whoever_is_not_logged_in_sees_no_picture(client):
    send(client)
    address = reverse("herbs:picture-file", args=[Picture.objects.get().code, 320, "webp"])
    response = people.client_of(None).get(address)
    assert response.status_code == 302 and response["Location"].startswith("/accounts/login/")


# Going


def test_a_picture_is_removed_after_asking(client, media, django_capture_on_commit_callbacks):
    send(client)
    address = reverse("herbs:picture-remove", args=[Picture.objects.get().code])
    assert "Remove this picture?" in client.get(address).content.decode() and files(media)
    with django_capture_on_commit_callbacks(execute=True):
        assert client.post(address)["Location"] == PAGE
    assert not Picture.objects.exists() and files(media) == []
    assert client.post(address).status_code == 404


def test_pictures_go_with_their_herb_and_the_page_says_so_first(client, media, django_capture_on_commit_callbacks):
    send(client)
    assert (
        "its 1 picture and their files go for good"
        in client.get(reverse("herbs:herb-remove", args=[SLUG])).content.decode()
    )
    with django_capture_on_commit_callbacks(execute=True):
        remove_herb(slug=SLUG, by=people.owner())
    assert not Picture.objects.exists() and files(media) == []


def test_a_part_with_pictures_is_not_edited_away(client, media):
    send(client)
    herb = Herb.objects.for_monograph().get(slug=SLUG)
    text = document_of(herb)
    assert "- part: leaf\n" in text
    with pytest.raises(FaultsError, match=r"leaf has pictures\. Remove them first, or keep the part\."):
        save_herb(text=text.replace("- part: leaf\n", "- part: foliage\n"), by=people.owner())
    assert Picture.objects.exists() and files(media)
    save_herb(text=text.replace("Malvaceae", "Malvaceae s.str."), by=people.owner())
    assert Picture.objects.get().part.herb.family == "Malvaceae s.str."


@pytest.mark.parametrize("who", ["stranger", "student", "assistant", "other student"])
def test_students_add_and_remove_nothing(client, media, who):
    send(client)
    kept, other = files(media), people.client_of(people.EVERYBODY[who]())
    assert send(other, images.png(), "b.png").status_code == 403
    address = reverse("herbs:picture-remove", args=[Picture.objects.get().code])
    assert other.get(address).status_code == other.post(address).status_code == other.get(PAGE).status_code == 403
    assert files(media) == kept and Picture.objects.count() == 1


# The contact sheet


def sheet(client, action="expectorant"):
    return client.get(reverse("herbs:contact-sheet"), {"class": action}).content.decode()


def test_the_contact_sheet_shows_each_part_of_a_class_with_kind_and_cautions(client, medica):
    page = sheet(people.client_of(people.student()))
    number = medica.catalogue.action_index["expectorant"]
    members = {row.part_slug for n, row in enumerate(medica.catalogue.rows)
               if medica.catalogue.claims_action[n, number] and medica.catalogue.strength[n, number].max() >= 0.5}  # fmt: skip
    assert len(members) > 8 and page.count('class="card-herb"') == len(members)
    card = next(card for card in page.split('<li class="card-herb">') if "Inula helenium" in card)
    assert "Root. Warming" in card and 'class="caution-level"' in card
    for part in Herb.objects.get(slug="inula-helenium").parts.all():
        if part.slug in members:
            who = set(part.claims.filter(predicate="caution").values_list("subject", flat=True))
            assert who and all(medica.terms["person-word"][word]["name"] in card for word in who)
    assert policy_faults(page) == []


def test_a_part_with_a_picture_shows_it_with_its_credit(client):
    send(client)
    page = sheet(client)
    assert f"/pictures/{Picture.objects.get().code}/" in page and "Ottilie Marsh (invented), 2024. CC BY 4.0." in page


def test_a_class_that_is_not_there_is_not_found_and_without_one_there_is_a_choice(client):
    assert client.get(reverse("herbs:contact-sheet"), {"class": "no-such"}).status_code == 404
    page = client.get(reverse("herbs:contact-sheet")).content.decode()
    assert "Expectorants</option>" in page and "card-herb" not in page


def test_the_sheet_asks_no_more_for_more_herbs(client):
    from tests.queries import CaptureQueriesContext, connection

    counts = []
    for action in ("expectorant", "antitussive"):
        sheet(client, action)
        with CaptureQueriesContext(connection) as captured:
            sheet(client, action)
        counts.append(len(captured))
    assert counts[0] == counts[1]


def test_a_picture_s_shape_is_kept(client):
    send(client, images.encoded(Image.new("RGB", (300, 900), "green"), "PNG"), "tall.png")
    picture = Picture.objects.get()
    assert (picture.width, picture.height, picture.widths) == (300, 900, [300])
