"""Erasing an account: asked for twice, all or nothing, and nothing of the person is left behind."""

import html
import json

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.serializers.json import DjangoJSONEncoder
from django.urls import reverse

from herbs.models import Herb, HerbEdit, TeachingSet
from herbs.teaching_sets import copy_set
from lessons.models import Enrolment, HerbNote, ItemReview, User
from lessons.notes import save_note
from quizzes import erasure
from quizzes.erasure import SoleOwnerError, erase_person
from quizzes.models import Answer, Attempt
from quizzes.personal_links import links
from tests import account_pages, factories, people

pytestmark = pytest.mark.django_db
PLACE = "/account/erase/"


def page(response) -> str:
    """The text of a page."""
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def erase(client, username: str, password: str = people.PASSWORD):
    """Send the form."""
    return client.post(PLACE, {"username": username, "password": password})


def busy_student() -> User:
    """Wenna with something in every corner of the site that a student reaches."""
    user = account_pages.enrol(people.student())
    factories.drill_at_every_stage(user)
    factories.finished_attempt(user, length=1)
    herb = Herb.objects.order_by("slug").first()
    save_note(user=user, herb_slug=herb.slug, herb_name=herb.name, text="A note of Wenna's alone.", base=0)
    return user


def everything() -> str:
    """All columns of all tables, sessions opened, as one text."""
    told = [list(model._base_manager.values()) for model in apps.get_models(include_auto_created=True)]
    told.append([session.get_decoded() for session in Session.objects.all()])
    return json.dumps(told, cls=DjangoJSONEncoder)


def test_nothing_of_the_person_is_left_and_others_lose_nothing():
    user, other = busy_student(), people.person("keren", "Keren Voss", "student")
    kept = factories.finished_attempt(other, length=1)
    client, pk = people.client_of(user), user.pk
    words = ("wenna", "Wenna Thorpe", "A note of Wenna's alone.", account_pages.SECRET)
    before = everything()
    assert all(word in before for word in words)
    response = erase(client, "wenna")
    assert (response.status_code, response.url) == (302, "/")
    after = everything()
    assert not [word for word in words if word in after]
    assert not [link.name for link in links() if link.model._base_manager.filter(**{link.field.name: pk}).exists()]
    assert Attempt.objects.get() == kept and Answer.objects.count() == 1
    assert User.objects.filter(pk=other.pk).exists()


def test_one_is_logged_out_everywhere():
    user = people.student()
    here, there, other = people.client_of(user), people.client_of(user), people.client_of(people.stranger())
    shown = here.post(PLACE, {"username": "wenna", "password": people.PASSWORD}, follow=True)
    assert "everything personal are erased" in page(shown)
    for client in (here, there):
        assert client.get(reverse("account")).status_code == 302
    assert other.get(reverse("account")).status_code == 200
    assert "not correct" in page(people.log_in(here, "wenna"))


@pytest.mark.parametrize(
    ("username", "password"),
    [("wenna", "not this one"), ("wenna", ""), ("", people.PASSWORD), ("corin", people.PASSWORD), ("", "")],
)
def test_without_name_and_password_nothing_is_erased(username, password):
    people.other_student()
    client = people.client_of(people.student())
    assert "invalid-feedback" in page(erase(client, username, password))
    assert User.objects.filter(username__in=["wenna", "corin"]).count() == 2
    assert client.get(reverse("account")).status_code == 200


def test_the_password_is_never_sent_back():
    client = people.client_of(people.student())
    assert people.PASSWORD not in page(erase(client, "not-wenna"))


def test_a_password_cannot_be_guessed_here():
    client = people.client_of(people.student())
    for number in range(5):
        erase(client, "wenna", f"a guess {number}")
    assert "Too many" in page(erase(client, "wenna"))
    assert User.objects.filter(username="wenna").exists()


def test_opening_the_page_erases_nothing_and_tells_what_would_go():
    user = busy_student()
    shown = page(people.client_of(user).get(PLACE))
    assert "2 drills with 3 answers, 1 note on herbs" in shown
    assert User.objects.filter(pk=user.pk).exists()


def test_the_only_owner_of_a_course_is_told_what_to_do_first():
    owner, teacher = people.owner(), people.instructor()
    client = people.client_of(owner)
    members = reverse("lessons:course-members", args=[people.EVENING])
    for shown in (page(client.get(PLACE)), page(erase(client, "hester"))):
        assert "Make another member an owner first" in shown and members in shown and 'name="password"' not in shown
    with pytest.raises(SoleOwnerError) as caught:
        erase_person(user=owner)
    assert caught.value.courses == [people.course()]
    assert User.objects.filter(pk=owner.pk).exists()
    teacher.enrolments.update(role=Enrolment.Role.OWNER)
    assert erase(client, "hester").status_code == 302
    assert not User.objects.filter(pk=owner.pk).exists()
    # Of two owners who leave one after the other, the second stays.
    with pytest.raises(SoleOwnerError):
        erase_person(user=teacher)


def test_once_more_changes_nothing():
    user = busy_student()
    client = people.client_of(user)
    assert erase(client, "wenna").status_code == 302
    after = everything()
    erase_person(user=user)
    assert erase(client, "wenna").url.startswith(reverse("account_login"))
    assert everything() == after


def test_all_or_nothing(monkeypatch):
    user = busy_student()
    before = everything()

    def fail(user):
        raise RuntimeError("The server stopped.")

    monkeypatch.setattr(erasure, "_log_out_everywhere", fail)
    with pytest.raises(RuntimeError):
        erase_person(user=user)
    assert everything() == before


def test_what_was_made_for_others_stays_and_names_nobody():
    teacher = people.instructor()
    review = ItemReview.objects.create(item=factories.banked_item(), by=teacher, before="draft", after="approved")
    edit = HerbEdit.objects.create(
        herb_slug="a-herb", number=1, kind="changed", edited_by=teacher, edited_at="2031-03-04T12:00Z"
    )
    default = TeachingSet.objects.get(is_default=True)
    own, shared, taught = (
        copy_set(original=default, name=name, by=teacher) for name in ("Own", "Shared with Hester", "Taught under")
    )
    shared.colleagues.add(people.owner())
    course = people.course()
    course.teaching_set = taught
    course.save()
    erase_person(user=teacher)
    review.refresh_from_db()
    edit.refresh_from_db()
    assert (review.by, edit.edited_by) == (None, None)
    assert set(TeachingSet.objects.filter(is_local=True)) == {shared, taught}
    assert not TeachingSet.objects.filter(pk=own.pk).exists()
    assert TeachingSet.objects.filter(is_local=True, owner=None).count() == 2
    assert "somebody who has left" in page(
        people.client_of(people.owner()).get(reverse("lessons:teaching-set-detail", args=[shared.slug]))
    )


def test_notes_go_with_their_owner_only():
    herb = Herb.objects.order_by("slug").first()
    for user in (people.student(), people.stranger()):
        save_note(user=user, herb_slug=herb.slug, herb_name=herb.name, text="Mine.", base=0)
    erase_person(user=people.student())
    assert HerbNote.objects.get().user == people.stranger()
