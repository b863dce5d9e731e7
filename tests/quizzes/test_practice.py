"""A practice session: grows by one question at a time, each with its reason, and stops anywhere."""

import contextlib
import html
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.engine import Constraints, NoValidItemError, responses
from lessons.models import Item
from lessons.services import freeze_items
from quizzes import choosing, practice, services
from quizzes.engine import learner as model
from quizzes.engine import reasons_for
from quizzes.learning import WHY_LATER, why
from quizzes.models import Attempt, Question
from quizzes.pool import offers_of
from tests import factories, people
from tests.factories import HTMX

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(db):
    """Wenna's browser."""
    return people.client_of(people.student())


def begin(student=None) -> Attempt:
    student = student or people.student()
    return practice.start_practice(student=student, code=uuid.uuid4(), course=factories.course_of(student))


def answer(attempt: Attempt, *, right: bool = True) -> Question:
    """The latest question of a session, answered as its page asks."""
    asked = factories.question(attempt, attempt.questions.last().position)
    content = asked.item.opened
    if asked.asks_reading:
        services.record_reading(question=asked, signs=(0, 0, 0, 0))
    best = responses.right_response(content)
    number = best if right else next(n for n in range(responses.count(content)) if responses.mark(content, n) == 0)
    services.record_choice(question=asked, choice=number)
    decisive = [reason["status"] for reason in reasons_for(content, number)].index("decisive")
    services.record_reason(question=asked, reason=decisive)
    return asked


def test_a_session_begins_with_one_question_and_its_reason(client):
    response = client.post(reverse("quizzes:practice-start"), {"code": uuid.uuid4()})
    session = Attempt.objects.get()
    assert (session.kind, session.length, session.questions.count()) == ("practice", 1, 1)
    assert response.url == reverse("quizzes:question-detail", args=[session.code, 1])
    page = html.unescape(client.get(response.url).content.decode())
    assert why(factories.question(session), is_answered=False) in page
    assert why(factories.question(session), is_answered=True).startswith("You see this because")


@pytest.mark.parametrize(
    ("kept", "gives_away"),
    [
        (["You see this because of celery.", "pair", "a-herb", "b-herb"], True),
        (["You see this because of celery.", "herb", "a-herb"], True),
        (["You see this because of moisture.", "confusion", "wrong-moisture"], True),
        (["You see this because of moisture.", "skill", "axis:moisture"], True),
        (["You see this because of expectorants.", "skill", "action:expectorant"], False),
        (["You see this because it came by lot.", "lot"], False),
    ],
)
def test_a_reason_that_gives_something_away_waits_for_the_answer(client, kept, gives_away):
    session = begin()
    session.questions.update(why=kept)
    address = reverse("quizzes:question-detail", args=[session.code, 1])
    page = html.unescape(client.get(address).content.decode())
    assert (kept[0] in page) is not gives_away
    assert (WHY_LATER in page) is gives_away
    answer(session)
    assert kept[0] in html.unescape(client.get(address).content.decode())


def test_pressed_twice_it_is_one_session_and_one_question(client):
    code = uuid.uuid4()
    for _ in range(2):
        client.post(reverse("quizzes:practice-start"), {"code": code})
    client.post(reverse("quizzes:practice-start"), {"code": uuid.uuid4()})
    session = Attempt.objects.get()
    answer(session)
    for _ in range(2):
        client.post(reverse("quizzes:practice-next", args=[session.code]), {"position": 2})
    assert list(session.questions.values_list("position", flat=True)) == [1, 2]


def test_the_next_question_waits_until_this_one_is_answered(client):
    session = begin()
    response = client.post(reverse("quizzes:practice-next", args=[session.code]), {"position": 2})
    assert response.url == reverse("quizzes:question-detail", args=[session.code, 1])
    assert session.questions.count() == 1


@pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])
def test_it_goes_on_as_long_as_one_likes(client, headers):
    session = begin()
    for position in range(2, 8):
        answer(session, right=position % 2 == 0)
        response = client.post(
            reverse("quizzes:practice-next", args=[session.code]), {"position": position}, headers=headers
        )
        address = reverse("quizzes:question-detail", args=[session.code, position])
        assert (response["HX-Push-Url"] if headers else response.url) == address
    session.refresh_from_db()
    assert (session.state, session.length) == ("open", 7)
    items = list(session.questions.values_list("item_id", flat=True))
    assert len(set(items)) == 7


def test_it_stops_anywhere_and_what_is_unanswered_is_neither_right_nor_wrong(client):
    session = begin()
    answer(session)
    practice.next_question(attempt=session, position=2)
    for _ in range(2):
        response = client.post(reverse("quizzes:practice-stop", args=[session.code]))
        assert response.url == reverse("quizzes:attempt-results", args=[session.code])
    session.refresh_from_db()
    assert session.state == "finished"
    page = html.unescape(client.get(response.url).content.decode())
    assert "1000 of 1000 on average over 1 of 2 questions" in page
    row = people.student().learner
    assert row.answers == 1
    # A session that was stopped does not grow any more.
    assert practice.next_question(attempt=session, position=3).position == 2


def test_after_it_stopped_a_new_one_may_begin(client):
    first = begin()
    practice.stop_practice(attempt=first)
    assert begin().pk != first.pk


def test_nobody_else_reaches_a_session(client):
    session = begin(people.other_student())
    for name in ("practice-next", "practice-stop"):
        assert client.post(reverse(f"quizzes:{name}", args=[session.code])).status_code == 404
    drill = factories.attempt(people.student())
    assert client.post(reverse("quizzes:practice-next", args=[drill.code])).status_code == 404


def test_a_broken_code_is_answered_with_a_sentence(client):
    response = client.post(reverse("quizzes:practice-start"), {"code": "x"}, follow=True)
    assert "Press the button once more" in response.content.decode()
    assert not Attempt.objects.exists()


def stock(maker, count: int) -> list[Item]:
    items = [maker.make("best-fit", seed, Constraints("expectorant")) for seed in range(count)]
    return freeze_items(contents=items, review=Item.Review.APPROVED)


def test_with_enough_approved_items_practice_draws_on_the_bank(maker):
    stored = {item.pk for item in stock(maker, choosing.ENOUGH + 8)}
    session = begin()
    for position in range(2, 8):
        answer(session)
        practice.next_question(attempt=session, position=position)
    assert set(session.questions.values_list("item_id", flat=True)) <= stored


def test_an_item_taken_back_is_met_no_more(maker):
    from lessons.items import review_item

    stored = stock(maker, choosing.ENOUGH + 2)
    session = begin()
    for item in stored[1:]:
        review_item(item=item, after=Item.Review.RETIRED, reason="A test.", by=None)
    answer(session)
    for position in range(2, 6):
        asked = practice.next_question(attempt=session, position=position)
        assert asked.item.review != Item.Review.RETIRED
        answer(session)


def test_a_confusion_to_practise_is_carried_along_and_served(client, maker):
    stock(maker, choosing.ENOUGH + 20)
    slug = "wrong-moisture"
    response = client.post(reverse("quizzes:practice-start"), {"code": uuid.uuid4(), "confusion": slug})
    assert response.url.endswith(f"?confusion={slug}")
    session = Attempt.objects.get()
    page = client.get(response.url).content.decode()
    assert f'name="confusion" value="{slug}"' in page
    for position in range(2, 16):
        answer(session)
        client.post(reverse("quizzes:practice-next", args=[session.code]), {"position": position, "confusion": slug})
    codes = [question.why[1] for question in session.questions.all()]
    assert codes.count("confusion") >= 8  # all but those drawn by lot, one in ten
    for question in session.questions.all():
        if question.why[1] == "confusion":
            offered, _ = model.events(question.item.opened, 0, None)
            assert question.why[2:] == [slug]
            assert slug in offered


def test_next_work_says_what_is_known_and_what_is_not(client):
    page = client.get(reverse("quizzes:next-work")).content.decode()
    assert "Nothing is known of you yet" in page
    session = begin()
    answer(session, right=False)
    page = client.get(reverse("quizzes:next-work")).content.decode()
    assert "Go on with your session" in page


def test_practice_asks_for_the_pattern_in_some_cases_only(maker):
    stock(maker, choosing.ENOUGH + 30)
    session = begin()
    for position in range(2, 11):
        answer(session)
        practice.next_question(attempt=session, position=position)
    asks = list(session.questions.values_list("asks_reading", flat=True))
    assert asks.count(True) in range(1, 6)


def untrusting_course():
    """A course that trusts no family, so that nothing fresh is made."""
    from lessons.engine.trust import PROVED

    course = people.course()
    course.untrusted_families = list(PROVED)
    course.save(update_fields=["untrusted_families"])
    return course


def test_a_small_bank_is_gone_through_once_in_a_session_and_again_in_the_next(client, maker):
    untrusting_course()
    stored = {item.pk for item in stock(maker, 4)}
    for _ in range(2):
        session = begin()
        for position in range(2, 5):
            answer(session)
            practice.next_question(attempt=session, position=position)
        answer(session)
        assert set(session.questions.values_list("item_id", flat=True)) == stored
        response = client.post(reverse("quizzes:practice-next", args=[session.code]), {"position": 5}, follow=True)
        assert "You have met every question there is" in html.unescape(response.content.decode())
        practice.stop_practice(attempt=session)


def test_with_nothing_at_all_it_says_so(client, maker):
    untrusting_course()
    response = client.post(reverse("quizzes:practice-start"), {"code": uuid.uuid4()}, follow=True)
    assert "There are no questions to practise with yet" in response.content.decode()
    assert not Attempt.objects.exists()


def test_what_was_laid_ready_is_asked_unless_it_went_stale(client, maker):
    stored = stock(maker, choosing.ENOUGH + 10)
    session = begin()
    asked = answer(session)
    practice.choose_ahead(attempt=asked.attempt)
    session.refresh_from_db()
    ready = session.ahead["item"]
    assert practice.next_question(attempt=session, position=2).item_id == ready
    asked = answer(session)
    practice.choose_ahead(attempt=asked.attempt)
    session.refresh_from_db()
    retired = next(item for item in stored if item.pk == session.ahead["item"])
    from lessons.items import review_item

    review_item(item=retired, after=Item.Review.RETIRED, reason="A test.", by=None)
    assert practice.next_question(attempt=session, position=3).item_id != retired.pk


def test_the_next_question_costs_the_same_whatever_was_answered_before(client, maker):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    stock(maker, choosing.ENOUGH + 30)
    counts = []
    session = begin()
    for position in range(2, 22):
        asked = answer(session)
        practice.choose_ahead(attempt=asked.attempt)
        with CaptureQueriesContext(connection) as captured:
            client.post(reverse("quizzes:practice-next", args=[session.code]), {"position": position}, headers=HTMX)
        counts.append(len(captured))
    # 1 session, 2 user, 3 attempt, 4 latest position and mark, 5 the item laid ready, 6 savepoint, 7 question, 8 exposure,
    # 9 attempt, 10 release
    assert set(counts) == {10}


def test_what_is_practised_is_remembered_when_one_comes_back(client, maker):
    stock(maker, choosing.ENOUGH + 10)
    slug = "wrong-moisture"
    client.post(reverse("quizzes:practice-start"), {"code": uuid.uuid4(), "confusion": slug})
    session = Attempt.objects.get()
    back = client.get(reverse("quizzes:attempt-detail", args=[session.code]))
    assert back.url.endswith(f"/1/?confusion={slug}")


def test_where_the_bank_offers_none_fresh_questions_offer_the_confusion(maker):
    stored = stock(maker, choosing.ENOUGH + 30)
    slug = next(
        slug for slug in ("preparation-mistaken", "findings-misread")
        if not any(offers_of(item.family, item.faults) & model.BIT[slug] for item in stored)
    )  # fmt: skip
    student = people.student()
    session = practice.start_practice(
        student=student, code=uuid.uuid4(), course=factories.course_of(student), focus=slug
    )
    for position in range(2, 8):
        answer(session)
        practice.next_question(attempt=session, position=position, focus=slug)
    assert [question.why[1:] for question in session.questions.all()].count(["confusion", slug]) >= 4


def test_what_stands_open_in_a_drill_is_not_explained_in_practice(maker):
    untrusting_course()
    stock(maker, 5)
    session = begin()
    for position in range(2, 6):
        answer(session)
        practice.next_question(attempt=session, position=position)
    answer(session)
    practice.stop_practice(attempt=session)
    drill = factories.attempt(people.student(), length=3)
    session = begin()
    open_items = set(drill.questions.values_list("item_id", flat=True))
    for position in range(2, 4):
        assert not open_items & set(session.questions.values_list("item_id", flat=True))
        answer(session)
        try:
            practice.next_question(attempt=session, position=position)
        except NoValidItemError:
            break


def test_a_drill_in_between_does_not_bring_an_item_twice_into_a_session(maker):
    untrusting_course()
    stock(maker, 5)
    session = begin()
    answer(session)
    practice.next_question(attempt=session, position=2)
    answer(session)
    factories.finished_attempt(people.student(), length=4)
    with contextlib.suppress(NoValidItemError):
        for position in range(3, 7):
            practice.next_question(attempt=session, position=position)
            answer(session)
    items = list(session.questions.values_list("item_id", flat=True))
    assert len(set(items)) == len(items) >= 3


def test_practice_does_not_count_as_drills(client):
    for _ in range(services.STARTED_AT_MOST):
        practice.stop_practice(attempt=begin())
    assert factories.attempt(people.student(), length=1).pk


def test_start_on_an_old_page_does_not_lead_back_to_what_was_stopped(client):
    code = uuid.uuid4()
    client.post(reverse("quizzes:practice-start"), {"code": code})
    practice.stop_practice(attempt=Attempt.objects.get())
    response = client.post(reverse("quizzes:practice-start"), {"code": code}, follow=True)
    assert "Press the button once more" in response.content.decode()


def test_what_a_slower_device_laid_ready_too_late_is_chosen_anew(maker):
    stock(maker, choosing.ENOUGH + 10)
    session = begin()
    answer(session)
    asked = session.questions.get()
    ahead = {"focus": "", "item": asked.item_id, "why": asked.why, "at": timezone.now().isoformat()}
    Attempt.objects.filter(pk=session.pk).update(ahead=ahead)
    session.refresh_from_db()
    assert practice.next_question(attempt=session, position=2).item_id != asked.item_id
