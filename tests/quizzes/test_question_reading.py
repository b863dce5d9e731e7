"""Reading the pattern before the choice, and saying how sure one is, with htmx and without."""

import html

import pytest

from quizzes import services
from quizzes.engine import UngradableAnswerError
from quizzes.engine.reading import true_signs
from quizzes.models import Answer, GradingScheme, Question, Reading
from tests import factories, people
from tests.factories import HTMX, address
from tests.quizzes.graded import ALL_FOUR, set_weights

pytestmark = pytest.mark.django_db
WAYS = pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])
AXES = ("temperature", "moisture", "tone", "movement")


@pytest.fixture
def asked(db) -> Question:
    """The first question of Wenna's drill, in a course that asks everything."""
    set_weights(ALL_FOUR)
    return factories.question(factories.attempt(people.student()))


def send(asked, name, data, headers) -> str:
    """Post to a question; the text of what the student then sees."""
    client = people.client_of(people.student())
    response = client.post(address(asked, name), data, headers=headers)
    if not headers:
        response = client.get(response.url)
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def signs_posted(signs) -> dict[str, str]:
    return {axis: str(sign) for axis, sign in zip(AXES, signs, strict=True)}


def test_the_pattern_is_asked_first_and_the_herbs_are_not_shown(asked):
    page = html.unescape(people.client_of(people.student()).get(address(asked)).content.decode())
    assert "First, read the pattern" in page
    for option in asked.item.opened["options"]:
        assert option["label"] not in page


@WAYS
def test_a_reading_is_locked_and_the_choice_follows(asked, headers):
    page = send(asked, "reading", signs_posted((1, -1, 0, 0)), headers)
    assert "You read the pattern as <strong>hot and dry</strong>" in page
    assert all(option["label"] in page for option in asked.item.opened["options"])
    send(asked, "reading", signs_posted((0, 0, 0, 0)), headers)
    assert Reading.objects.get().signs == 0 + 27 * 2 + 9 * 0 + 3 * 1 + 1 * 1


@WAYS
@pytest.mark.parametrize("lacking", [{"tone": ""}, {"tone": "7"}, {"tone": "warm"}])
def test_a_reading_that_is_not_whole_says_what_to_do_and_loses_nothing(asked, headers, lacking):
    page = send(asked, "reading", signs_posted((1, 0, 0, 0)) | lacking, headers)
    assert "Say of all four axes what the findings show" in page
    assert not Reading.objects.exists()


@WAYS
def test_the_choice_waits_for_the_reading_and_for_the_confidence(asked, headers):
    page = send(asked, "choice", {"choice": "1", "confidence": "70"}, headers)
    assert "Read the pattern first" in page
    services.record_reading(question=asked, signs=(0, 0, 0, 0))
    for confidence in ("", "71", "-70", "x"):
        page = send(asked, "choice", {"choice": "1", "confidence": confidence}, headers)
        assert "Say how sure you are" in page
    assert not Answer.objects.exists()
    send(asked, "choice", {"choice": "1", "confidence": "70"}, headers)
    assert Answer.objects.get().confidence == 70


def test_every_part_is_marked_and_explained(asked):
    key = factories.key_of(asked)
    services.record_reading(question=asked, signs=true_signs(asked.item.opened))
    services.record_choice(question=asked, choice=key, confidence=100)
    page = send(asked, "reason", {"reason": factories.reason_of(asked, key)}, HTMX)
    answer = Answer.objects.get()
    assert answer.score == 1000
    parts = (answer.reading_points, answer.choice_points, answer.reason_points, answer.confidence_points)
    assert parts == tuple(10 * ALL_FOUR[name] for name in ("reading", "choice", "reason", "confidence"))
    assert "Your reading of the pattern" in page
    assert "You said you were certain" in page


def test_a_question_that_asks_no_pattern_refuses_one(db):
    asked = factories.question(factories.attempt(people.student()))
    assert not asked.asks_reading
    with pytest.raises(UngradableAnswerError, match="does not ask for the pattern"):
        services.record_reading(question=asked, signs=(0, 0, 0, 0))


def test_in_some_questions_means_every_third_case(db):
    set_weights(ALL_FOUR | {"asks_reading": GradingScheme.Asks.SOME})
    drill = factories.attempt(people.student(), length=7)
    asks = list(drill.questions.order_by("position").values_list("asks_reading", flat=True))
    assert asks == [True, False, False, True, False, False, True]


def test_nobody_else_reads_for_a_student(asked):
    for person, status in ((people.other_student(), 404), (people.instructor(), 403)):
        response = people.client_of(person).post(address(asked, "reading"), signs_posted((0, 0, 0, 0)))
        assert response.status_code == status
    assert not Reading.objects.exists()


def test_how_long_an_answer_took_is_kept(asked):
    people.client_of(people.student()).get(address(asked))
    shown = Question.objects.get(pk=asked.pk).shown_at
    people.client_of(people.student()).get(address(asked))
    assert Question.objects.get(pk=asked.pk).shown_at == shown
    # Staff who look on do not make a question shown.
    second = factories.question(asked.attempt, 2)
    people.client_of(people.instructor()).get(address(second))
    assert Question.objects.get(pk=second.pk).shown_at is None
