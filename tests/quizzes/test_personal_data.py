"""What is kept about a person: told, and handed over as one file with everything of theirs and nothing else."""

import json
import re
from datetime import UTC, datetime, timedelta

import pytest
from django.apps import apps
from django.conf import settings as project
from django.contrib.sessions.models import Session
from django.core.cache import caches
from django.db import connection, models
from django.db.models import Model
from django.test.utils import CaptureQueriesContext, isolate_apps
from django.urls import reverse
from django.utils import timezone

from herbs.models import Herb
from lessons.models import HerbNote, ItemReview, User
from lessons.notes import save_note
from quizzes.models import Attempt, Learner, Memory, Question
from quizzes.personal_data import own_columns, personal_file
from quizzes.personal_links import ACCOUNT_WITHOUT, BEYOND, NOT_TOLD, TOLD, beyond, links
from tests import account_pages, factories, people
from tests.quizzes.test_nothing_leaks import change_secrets

pytestmark = pytest.mark.django_db
NOTE = "Rasps on the tongue; think of the dry hill behind the mill."
NOON = datetime(2031, 3, 4, 12, tzinfo=UTC)


def note(user: User, text: str = NOTE) -> HerbNote:
    """A note of somebody on some herb."""
    herb = Herb.objects.order_by("slug").first()
    return save_note(user=user, herb_slug=herb.slug, herb_name=herb.name, text=text, base=0)


def text_of(user: User) -> str:
    """The file of somebody, as it is sent."""
    response = people.client_of(user).get(reverse("account-export"))
    assert response.status_code == 200
    return b"".join(response.streaming_content).decode()


def file_of(user: User) -> dict:
    """The file of somebody, read."""
    return json.loads(text_of(user))


def opened(question: Question) -> Question:
    """A question whose page was asked for."""
    Question.objects.filter(pk=question.pk).update(shown_at=timezone.now())
    return question


# ---- No table is forgotten ----


def test_every_column_that_names_a_person_is_spoken_of():
    """Whoever adds a table says in quizzes/personal_links.py what is told of it."""
    assert {link.name for link in links()} == set(TOLD)


def test_every_table_that_leads_to_a_person_by_way_of_another_is_spoken_of():
    assert beyond() == set(BEYOND)


def test_the_walk_finds_what_django_itself_finds_from_the_other_side():
    found = {(link.model, link.field.name) for link in links()}
    theirs = {
        (relation.related_model, relation.field.name)
        for relation in User._meta.get_fields(include_hidden=True)
        if relation.auto_created and not relation.concrete and not relation.field.many_to_many
    }
    assert found == theirs and len(found) > 15


@isolate_apps("lessons")
def test_a_table_that_nobody_spoke_of_is_noticed():
    class Diary(Model):  # noqa: DJ008
        keeper = models.ForeignKey(User, models.CASCADE, related_name="+")

        class Meta:
            app_label = "lessons"

    class DiaryPage(Model):  # noqa: DJ008
        diary = models.ForeignKey(Diary, models.CASCADE)

        class Meta:
            app_label = "lessons"

    assert [link.name for link in links([Diary, DiaryPage])] == ["lessons.Diary.keeper"]
    assert beyond([User, Diary, DiaryPage]) == {"lessons.DiaryPage"}


def test_a_table_that_nobody_spoke_of_is_in_the_file_all_the_same(monkeypatch):
    note(people.student())
    monkeypatch.delitem(TOLD, "lessons.HerbNote.user")
    (told,) = file_of(people.student())["lessons_herbnote_user"]
    assert told["text"] == NOTE


def test_no_two_kinds_of_row_have_one_name():
    sections = [told.section for told in TOLD.values()]
    assert len(sections) == len(set(sections)) and not {"about", "account", "complete"} & set(sections)


def test_sessions_which_no_walk_finds_are_said_to_be_left_out():
    """They name their person inside only."""
    assert any(model._meta.label == "sessions.Session" for model in apps.get_models())
    assert any("browser is logged in" in sentence for sentence in NOT_TOLD)


# ---- Everything is in it ----


def test_account_courses_and_addresses():
    user = people.student()
    told = file_of(user)
    assert (told["account"]["username"], told["account"]["display_name"]) == ("wenna", user.display_name)
    assert set(told["account"]) == set(own_columns(User)) - set(ACCOUNT_WITHOUT)
    assert [row["email"] for row in told["email_addresses"]] == ["wenna@example.org"]
    assert [(row["course_slug"], row["role"]) for row in told["courses"]] == [(people.EVENING, "student")]
    assert [row["school_slug"] for row in file_of(people.administrator())["schools_administered"]] == ["hedge-lane"]


def test_drills_with_questions_as_shown_answers_marks_and_times():
    drill = factories.drill_at_every_stage(people.student())
    another = factories.finished_attempt(people.student(), length=1)
    (told, second) = file_of(people.student())["drills"]
    assert (told["code"], told["title"], told["course_slug"]) == (str(drill.code), drill.title, people.EVENING)
    assert second["code"] == str(another.code) and second["finished_at"]
    for position, row in enumerate(told["questions"][:2], 1):
        asked = factories.question(drill, position)
        item = asked.item.opened
        assert (row["stem"], row["vignette"]) == (item["stem"], item["vignette"])
        assert [option["label"] for option in row["options"]] == [option["label"] for option in item["options"]]
        assert row["answer"]["choice"] == item["options"][asked.answer.choice]["label"]
    first, locked = (row["answer"] for row in told["questions"][:2])
    answer = factories.question(drill).answer
    assert (first["score"], first["outcome"]) == (answer.score, answer.outcome)
    assert first["reason"] == factories.question(drill).item.opened["because"][answer.choice][answer.reason]["text"]
    assert first["chosen_at"] and first["reasoned_at"]
    assert (locked["score"], locked["reason"], locked["outcome"]) == (None, None, "")


def test_notes_and_what_is_worked_out_of_answers():
    user = people.student()
    note(user)
    Learner.objects.update_or_create(student=user, defaults={"ability": {"overall": 0.4}, "answers": 3})
    Memory.objects.create(student=user, first="a-root", second="b-leaf", state={"due": 1}, due_at=timezone.now())
    told = file_of(user)
    assert [row["text"] for row in told["notes_on_herbs"]] == [NOTE]
    assert [row["ability"] for row in told["skills_as_estimated"]] == [{"overall": 0.4}]
    assert [(row["first"], row["second"]) for row in told["herbs_to_meet_again"]] == [("a-root", "b-leaf")]


def test_what_a_teacher_made_is_named_with_its_date():
    teacher = people.owner()
    form = factories.offered_form(people.course())
    review = ItemReview.objects.create(
        item=factories.banked_item(), by=teacher, before="draft", after="approved", reason="Clear."
    )
    told = file_of(teacher)
    assert form.plan.slug in {row["slug"] for row in told["drill_plans"]}
    assert str(form.code) in {row["code"] for row in told["forms_made"]}
    assert review.item.content_hash in {row["item_content_hash"] for row in told["reviews_of_questions"]}
    assert all(row["at"] for row in told["reviews_of_questions"])


def test_every_kind_of_row_has_its_place_even_when_there_is_none():
    told = file_of(people.stranger())
    assert set(told) == {"about", "account", "complete", *(row.section for row in TOLD.values())}
    assert told["drills"] == [] and told["notes_on_herbs"] == []


# ---- And nothing else ----


def test_nothing_of_anybody_else_is_in_it():
    others = [make() for name, make in people.EVERYBODY.items() if name not in ("student", "nobody")]
    others.append(people.person("keren", "Keren Voss", "student"))
    codes = []
    for other in others:
        note(other, f"A note of {other.username}.")
        codes.append(str(factories.attempt(other, length=1).code))
    factories.finished_attempt(people.student(), length=1)
    text = text_of(people.student())
    for other in others:
        assert other.username not in text and other.display_name not in text and other.email not in text
    assert not [code for code in codes if code in text]


def test_no_secret_of_log_in_is_in_it():
    user = account_pages.enrol(people.student())
    text = text_of(user)
    assert json.loads(text)["second_factor"]
    assert account_pages.SECRET not in text
    assert user.password not in text and user.password.split("$")[-1] not in text


def test_the_file_depends_on_no_secret_of_what_is_not_answered():
    drill = factories.drill_at_every_stage(people.student())
    second, third = factories.question(drill, 2), opened(factories.question(drill, 3))
    before = "".join(personal_file(people.student(), NOON))
    change_secrets(second, reasons_shown_for=second.answer.choice)
    change_secrets(third)
    assert third.item.opened["stem"] in before
    user = User.objects.get(pk=people.student().pk)
    assert "".join(personal_file(user, NOON)) == before


def test_no_key_seed_or_proof_is_in_it_even_of_what_is_answered():
    drill = factories.finished_attempt(people.student(), length=1)
    text = text_of(people.student())
    names = set(re.findall(r'"(\w+)":', text))
    assert not names & {"key", "seed", "certificate", "recipe", "verdict", "because", "status", "content"}
    assert str(factories.question(drill).item.opened["seed"]) not in text


def test_a_question_whose_page_was_never_opened_is_only_counted():
    drill = factories.attempt(people.student(), length=2)
    Question.objects.filter(attempt=drill).update(shown_at=None)
    opened(factories.question(drill, 1))
    first, second = file_of(people.student())["drills"][0]["questions"]
    assert first["stem"] and set(second) == {"position", "shown_at"}


# ---- The answer itself ----


def test_the_file_is_sent_to_be_saved_and_kept_by_nobody_on_the_way():
    response = people.client_of(people.student()).get(reverse("account-export"))
    assert response.headers["Content-Type"] == "application/json"
    assert re.fullmatch(r'attachment; filename="counterpoise-my-data-[\d-]+\.json"', response["Content-Disposition"])
    assert "no-store" in response.headers["Cache-Control"]
    assert response.streaming


def test_letters_of_every_language_stay_readable():
    note(people.student(), "Süßholz, réglisse\nand a “quote”.")
    assert "Süßholz, réglisse\\nand a “quote”." in text_of(people.student())


@pytest.mark.parametrize("name", ["drills", "notes"])
def test_more_rows_cost_no_more_queries(name):
    user = people.student()
    herbs = Herb.objects.order_by("slug")[:8]
    for count in range(2):
        if name == "drills":
            factories.finished_attempt(user, length=1 + count)
        else:
            save_note(user=user, herb_slug=herbs[count].slug, herb_name="x", text=NOTE, base=0)
        with CaptureQueriesContext(connection) as captured:
            text = "".join(personal_file(user, NOON))
        if count == 0:
            few, short = len(captured), len(text)
    assert len(captured) == few and len(text) > short


def test_rows_come_one_by_one():
    note(people.student())
    pieces = list(personal_file(people.student(), NOON))
    assert len(pieces) > len(TOLD)
    assert sum(NOTE in piece for piece in pieces) == 1


# ---- The page, and its promises ----


def test_the_page_tells_how_long_a_log_in_lasts_as_it_is_set_up(settings):
    client = people.client_of(people.student())
    settings.SESSION_COOKIE_AGE = 9 * 24 * 60 * 60
    page = client.get(reverse("account-data")).content.decode()
    assert "<td>9 days</td>" in page
    assert project.SESSION_COOKIE_AGE == 9 * 24 * 60 * 60  # what the sessions go by
    assert reverse("account-export") in page and reverse("account-erase") in page
    assert reverse("account-data") in client.get(reverse("account")).content.decode()


@pytest.mark.parametrize("who", ["assistant", "instructor", "owner", "administrator"])
def test_staff_see_drills_worked_in_the_course_and_no_practice(who):
    drill = factories.finished_attempt(people.student(), length=1)
    client = people.client_of(people.EVERYBODY[who]())
    place = reverse("quizzes:attempt-results", args=[drill.code])
    listed = reverse("quizzes:member-drills", args=[people.EVENING, "wenna"])
    assert client.get(place).status_code == 200
    assert place in client.get(listed).content.decode()
    Attempt.objects.filter(pk=drill.pk).update(kind=Attempt.Kind.PRACTICE)
    assert client.get(place).status_code == 404
    assert place not in client.get(listed).content.decode()
    assert people.client_of(people.student()).get(place).status_code == 200


def test_what_is_kept_for_a_time_only_goes_when_somebody_logs_in():
    for number, days in enumerate([-1, 1]):
        Session.objects.create(
            session_key=f"key-{number}", session_data="", expire_date=timezone.now() + timedelta(days=days)
        )
    caches["default"].set("a-try", 1, -60)
    caches["default"].set("a-late-try", 1, 60)
    people.client_of(people.stranger())
    kept = set(Session.objects.filter(session_key__startswith="key-").values_list("session_key", flat=True))
    assert kept == {"key-1"}
    with connection.cursor() as cursor:
        cursor.execute("SELECT cache_key FROM shared_cache")
        keys = {key for (key,) in cursor.fetchall()}
    assert ":1:a-late-try" in keys and ":1:a-try" not in keys
