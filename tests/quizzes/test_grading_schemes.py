"""How a course grades: versions of its weights, and what drills ask and keep under them."""

import pytest
from django.db import IntegrityError, transaction

from quizzes.engine import CURRENT
from quizzes.grading_schemes import SchemeChangedError, asks_reading, change_scheme, scheme_of
from quizzes.models import Answer, Attempt, GradingScheme
from tests import factories, people
from tests.quizzes.graded import ALL_FOUR, ANSWERS, HALVES, Asks, marks, safe_wrong_choice, scores, set_weights, work

pytestmark = pytest.mark.django_db


# ---- Versions ----


def test_a_course_without_a_version_grades_by_the_shipped_weights():
    assert scheme_of(None) is None and scheme_of(people.course()) is None
    drill = work(people.student(), (True, False), (False, True))
    assert drill.scheme is None and drill.grading_version == CURRENT
    assert scores(drill) == [533, 467]
    assert {mark["scheme_id"] for mark in marks()} == {None}


def test_versions_count_up_and_say_who_made_them():
    first, second = set_weights(HALVES), set_weights(ANSWERS)
    assert (first.number, second.number) == (1, 2)
    assert first.made_by == people.owner() and first.made_at <= second.made_at
    assert scheme_of(people.course()) == second
    assert set_weights(HALVES, people.course(people.WEEKEND)).number == 1, "Each course counts for itself."


def test_what_changes_nothing_makes_no_version():
    first = set_weights(HALVES)
    assert set_weights(HALVES) == first
    assert GradingScheme.objects.count() == 1


def test_a_form_sent_twice_makes_one_version():
    for _ in range(2):
        change_scheme(course=people.course(), by=people.owner(), base=0, **HALVES)
    assert [scheme.number for scheme in GradingScheme.objects.all()] == [1]


def test_a_change_over_somebody_else_s_is_refused():
    set_weights(HALVES)
    with pytest.raises(SchemeChangedError, match=r"^Somebody changed .*\.$"):
        change_scheme(course=people.course(), by=people.instructor(), base=0, **ANSWERS)
    assert scheme_of(people.course()).choice == 50


@pytest.mark.parametrize(
    "wrong", [{"choice": 51}, {"reading": 50, "choice": 0}, {"reading": 50, "reason": 0}, {"choice": 101, "reason": 0}]
)
def test_the_database_refuses_weights_that_make_no_whole(wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        set_weights(HALVES | wrong)
    assert not GradingScheme.objects.exists()


# ---- What drills ask and keep ----


def test_a_drill_keeps_the_version_it_began_under():
    drills = [factories.attempt(people.student(), length=1)]
    for values in (HALVES, ANSWERS):
        set_weights(values)
        drills.append(factories.attempt(people.student(), length=1))
    for drill in drills:
        asked = factories.question(drill)
        factories.answered(asked, safe_wrong_choice(asked))
    assert [drill.scheme and drill.scheme.number for drill in drills] == [None, 1, 2]
    assert [scores(drill) for drill in drills] == [[467], [500], [200]]


def test_past_marks_stay_when_the_weights_change():
    work(people.student(), (True, False), (False, True), (True, True))
    before = marks()
    set_weights(ANSWERS)
    assert marks() == before


@pytest.mark.parametrize(
    ("kind", "asks", "asked"),
    [
        ("drill", None, []),
        ("practice", None, [1, 4, 7]),
        ("drill", Asks.NEVER, []),
        ("practice", Asks.NEVER, []),
        ("drill", Asks.SOME, [1, 4, 7]),
        ("practice", Asks.SOME, [1, 4, 7]),
        ("drill", Asks.ALWAYS, [1, 2, 3, 4, 5, 6, 7]),
        ("practice", Asks.ALWAYS, [1, 2, 3, 4, 5, 6, 7]),
    ],
)
def test_how_often_the_pattern_is_asked(kind, asks, asked):
    drill = Attempt(kind=kind, scheme=GradingScheme(asks_reading=asks) if asks else None)
    assert [number for number in range(1, 8) if asks_reading(drill, number)] == asked


def test_a_drill_asks_what_its_course_grades():
    set_weights(ALL_FOUR | {"asks_reading": Asks.SOME})
    drill = factories.attempt(people.student(), length=4)
    assert list(drill.questions.values_list("asks_reading", "asks_confidence")) == [
        (True, True), (False, True), (False, True), (True, True)
    ]  # fmt: skip
    set_weights(HALVES)
    drill = factories.attempt(people.student(), length=2)
    assert set(drill.questions.values_list("asks_reading", "asks_confidence")) == {(False, False)}


def test_all_four_parts_make_a_mark():
    set_weights(ALL_FOUR)
    work(people.student(), (True, True), (False, True))
    points = Answer.objects.order_by("pk").values_list(
        "reading_points", "choice_points", "reason_points", "confidence_points", "score"
    )
    # 70 in the hundred said: .91 of the confidence where it was right, .51 where it was not.
    assert list(points) == [(200, 400, 300, 91, 991), (200, 0, 300, 51, 551)]
