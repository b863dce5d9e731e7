"""Past marks worked out anew under a version of a course's weights: previewed, exact, done once, and put back."""

import uuid
from collections.abc import Iterator
from typing import Any

import pytest

from lessons.engine import FAMILIES, frozen, gradable, responses
from quizzes import regrading
from quizzes.engine import CURRENT, Scheme, grade, may_ask, reasons_for
from quizzes.models import Answer, Attempt, GradingScheme, Regrade, RegradedAnswer
from quizzes.regrade_preview import preview_regrade
from quizzes.regrading import RegradeError, regrade, regrade_changes, undo_regrade
from tests import factories, people
from tests.queries import assert_query_count
from tests.quizzes.graded import ALL_FOUR, ANSWERS, HALVES, marks, regraded, scores, set_weights, work

pytestmark = pytest.mark.django_db


# ---- Worked out anew ----


@pytest.fixture
def drill(db) -> Attempt:
    """Wenna's drill of four answers, marked by the shipped weights: 1000, 533, 467, 0."""
    drill = work(people.student(), (True, True), (True, False), (False, True), (False, False))
    assert scores(drill) == [1000, 533, 467, 0]
    return drill


def test_a_preview_says_what_would_change_and_writes_nothing(drill):
    jenifer = work(people.assistant(), (True, False), (True, True))
    scheme = set_weights(ANSWERS)
    before = marks()
    preview = preview_regrade(course=people.course(), scheme=scheme)
    assert (preview.marks, preview.recounted, preview.changed, preview.kept) == (6, 6, 3, 3)
    assert sorted(preview.gains) == [-267, 267, 267]
    assert (preview.mean, preview.rise, preview.fall) == (89, 267, 267)
    # Jenifer's mean moves from (533 + 1000) / 2 to (800 + 1000) / 2; Wenna's does not move.
    told = [(row.student, row.marks, row.changed, row.before, row.after, row.by) for row in preview.students]
    assert told == [(jenifer.student, 2, 1, 766.5, 900, 133.5), (drill.student, 4, 2, 500, 500, 0)]
    assert marks() == before and not Regrade.objects.exists()


def test_a_regrade_does_what_its_preview_said(drill):
    scheme = set_weights(ANSWERS)
    done = regraded(scheme, reason="Answers should weigh more.")
    assert scores(drill) == [1000, 800, 200, 0]
    assert list(Answer.objects.order_by("pk").values_list("choice_points", "reason_points", "scheme__number")) == [
        (800, 200, 1), (800, 0, 1), (0, 200, 1), (0, 0, 1)
    ]  # fmt: skip
    assert (done.by, done.reason, done.answers.count(), done.undone_at) == (
        people.instructor(), "Answers should weigh more.", 4, None,
    )  # fmt: skip
    preview = preview_regrade(course=people.course(), scheme=scheme)
    assert (preview.marks, preview.recounted, preview.changed, preview.mean, preview.students) == (4, 0, 0, 0, [])


def test_a_regrade_gives_the_marks_that_a_drill_under_the_scheme_would_have_had():
    """The same answers given once under the shipped weights and once under the scheme, with pattern and confidence as asked."""
    wanted = set_weights(ALL_FOUR)
    ways = [(True, True), (True, False), (False, True), (False, False)]
    there = work(people.student(), *ways)
    set_weights(ALL_FOUR | {"reading": 60, "choice": 15, "reason": 15})
    here = work(people.student(), *ways)
    columns = [f"{part}_points" for part in ("reading", "choice", "reason", "confidence")] + ["score", "scheme"]
    assert scores(here) != scores(there)
    regraded(wanted)
    found = [
        list(Answer.objects.filter(question__attempt=one).order_by("question__position").values(*columns))
        for one in (here, there)
    ]
    assert found[0] == found[1]


def test_only_what_a_mark_weighs_changes(drill):
    same = ["choice", "reason", "outcome", "reason_status", "fault", "grading_version", "chosen_at", "reasoned_at"]
    before = list(Answer.objects.order_by("pk").values(*same))
    regraded(set_weights(ANSWERS))
    assert list(Answer.objects.order_by("pk").values(*same)) == before


def test_a_mark_of_an_earlier_version_of_the_grading_stays_of_it(drill):
    Answer.objects.update(grading_version="1")
    regraded(set_weights(ANSWERS))
    assert set(Answer.objects.values_list("grading_version", flat=True)) == {"1"}


def test_other_courses_and_unfinished_answers_are_left_alone(drill):
    corin = work(people.other_student(), (True, False), course=people.course(people.WEEKEND))
    lowen = factories.finished_attempt(people.stranger(), length=1)
    locked = factories.locked(factories.question(factories.attempt(people.student(), length=1)))
    others = marks(question__attempt__in=[corin, lowen]), marks(pk=locked.pk)
    assert regraded(set_weights(ANSWERS)).answers.count() == 4
    assert (marks(question__attempt__in=[corin, lowen]), marks(pk=locked.pk)) == others


def test_where_nothing_would_change_nothing_is_logged(drill):
    scheme = set_weights(ANSWERS)
    regraded(scheme)
    before = marks()
    with pytest.raises(RegradeError, match=r"counted by version 1 already.*\.$"):
        regraded(scheme)
    assert Regrade.objects.count() == 1 and marks() == before


@pytest.mark.parametrize("family", FAMILIES)
def test_marks_follow_from_the_items_as_they_are_stored(maker, family):
    """A regrade opens items only as far as marks need it; every answer and reason earns what it earned when it was given."""
    scheme = Scheme(CURRENT, {"reading": 20, "choice": 40, "reason": 30, "confidence": 10})
    for seed in (3, 4):
        item = maker.make(family, seed)
        less = gradable(frozen(item))
        reading = (1, 0, -1, 0) if may_ask(item) else None
        for choice in range(responses.count(item)):
            for reason in range(len(reasons_for(item, choice))):
                told = {"choice": choice, "reason": reason, "scheme": scheme, "reading": reading, "confidence": 70}
                assert grade(less, **told) == grade(item, **told)


# ---- Once, and in between ----


def test_a_regrade_sent_twice_is_done_once(drill):
    scheme, code = set_weights(ANSWERS), uuid.uuid4()
    first = regraded(scheme, code)
    after = marks()
    assert regraded(scheme, code) == first
    assert (Regrade.objects.count(), RegradedAnswer.objects.count()) == (1, 4)
    assert marks() == after


def test_a_regrade_sent_again_after_it_was_undone_stays_undone(drill):
    before, scheme, code = marks(), set_weights(ANSWERS), uuid.uuid4()
    undo_regrade(regrade=regraded(scheme, code), by=people.owner())
    assert regraded(scheme, code).undone_at
    assert marks() == before


def test_a_code_is_of_one_course_and_one_version(drill):
    first, code = set_weights(ANSWERS), uuid.uuid4()
    regraded(first, code)
    after = marks()
    elsewhere = set_weights(HALVES, people.course(people.WEEKEND))
    for other in (set_weights(HALVES), elsewhere):
        with pytest.raises(RegradeError, match=r"^That page was out of date\. Look .*\.$"):
            regraded(other, code)
    assert marks() == after


def test_an_answer_given_after_the_preview_is_in_the_regrade(drill):
    scheme = set_weights(ANSWERS)
    assert preview_regrade(course=people.course(), scheme=scheme).marks == 4
    late = factories.attempt(people.student(), length=1)
    Attempt.objects.filter(pk=late.pk).update(scheme=None)  # begun before the version was made
    factories.answered(factories.question(late))
    before = marks()
    done = regraded(scheme)
    assert done.answers.count() == 5
    assert set(Answer.objects.values_list("scheme", flat=True)) == {scheme.pk}
    assert undo_regrade(regrade=done, by=people.owner()) == 5
    assert marks() == before


def test_an_answer_given_after_the_regrade_is_graded_by_its_drill_and_untouched_by_undoing(drill):
    late = factories.attempt(people.student(), length=1)
    before = marks()
    done = regraded(set_weights(ANSWERS))
    answer = factories.answered(factories.question(late))
    assert answer.scheme is None and answer.choice_points == 533
    kept = marks(pk=answer.pk)
    undo_regrade(regrade=done, by=people.owner())
    assert [mark for mark in marks() if mark["id"] != answer.pk] == before and marks(pk=answer.pk) == kept


def interrupted(monkeypatch: pytest.MonkeyPatch, schemes: list[GradingScheme]) -> None:
    """Whenever marks were worked out, but nothing is written yet, somebody else's regrade comes first."""

    def changes(**told: Any) -> Iterator[regrading.Change]:
        found = list(regrade_changes(**told))
        if schemes:
            other = schemes.pop()
            monkeypatch.setattr(regrading, "regrade_changes", regrade_changes)
            regraded(other)
            monkeypatch.setattr(regrading, "regrade_changes", changes)
        return iter(found)

    monkeypatch.setattr(regrading, "regrade_changes", changes)


def test_a_regrade_that_comes_in_between_is_taken_into_account(drill, monkeypatch):
    before, first, second = marks(), set_weights(HALVES), set_weights(ANSWERS)
    interrupted(monkeypatch, [first])
    done = regraded(second)
    assert [row.scheme for row in Regrade.objects.all()] == [second, first]
    assert scores(drill) == [1000, 800, 200, 0]
    assert {row["scheme_id"] for row in done.answers.values_list("before", flat=True)} == {first.pk}
    for row in Regrade.objects.all():
        undo_regrade(regrade=row, by=people.owner())
    assert marks() == before


def test_a_regrade_gives_up_when_others_keep_coming(drill, monkeypatch):
    first, second, third = set_weights(HALVES), set_weights(ANSWERS), set_weights(HALVES | {"choice": 60, "reason": 40})
    interrupted(monkeypatch, [first, second, first, second])
    with pytest.raises(RegradeError, match=r"^Other regrades .* came in between\. Look .*\.$"):
        regraded(third)
    assert {row.scheme for row in Regrade.objects.all()} == {first, second}
    assert not RegradedAnswer.objects.filter(regrade__scheme=third).exists()


# ---- Undone ----


def test_undoing_puts_every_column_back(drill):
    before = marks()
    done = regraded(set_weights(ANSWERS))
    assert marks() != before
    assert undo_regrade(regrade=done, by=people.owner()) == 4
    assert marks() == before
    done.refresh_from_db()
    assert done.undone_by == people.owner() and done.undone_at


def test_undoing_twice_moves_nothing(drill):
    done = regraded(set_weights(ANSWERS))
    undo_regrade(regrade=done, by=people.owner())
    done.refresh_from_db()
    first, before = done.undone_at, marks()
    assert undo_regrade(regrade=done, by=people.instructor()) == 0
    done.refresh_from_db()
    assert (done.undone_at, done.undone_by, marks()) == (first, people.owner(), before)


def test_only_the_latest_standing_regrade_is_undone(drill):
    at_first = marks()
    first = regraded(set_weights(HALVES))
    between = marks()
    second = regraded(set_weights(ANSWERS))
    at_last = marks()
    with pytest.raises(RegradeError, match=r"^A later regrade stands on this one\. Undo .*\.$"):
        undo_regrade(regrade=first, by=people.owner())
    first.refresh_from_db()
    assert marks() == at_last and first.undone_at is None
    assert undo_regrade(regrade=second, by=people.owner()) == 4 and marks() == between
    assert undo_regrade(regrade=first, by=people.owner()) == 4 and marks() == at_first


def test_a_regrade_after_one_that_was_undone(drill):
    at_first, halves, answers = marks(), set_weights(HALVES), set_weights(ANSWERS)
    undo_regrade(regrade=regraded(halves), by=people.owner())
    second = regraded(answers)
    assert scores(drill) == [1000, 800, 200, 0]
    assert undo_regrade(regrade=second, by=people.owner()) == 4 and marks() == at_first


def test_a_regrade_of_another_course_does_not_stand_in_the_way(drill):
    work(people.other_student(), (True, False), course=people.course(people.WEEKEND))
    done = regraded(set_weights(ANSWERS))
    regraded(set_weights(ANSWERS, people.course(people.WEEKEND)))
    assert undo_regrade(regrade=done, by=people.owner()) == 4


def test_undoing_leaves_a_mark_alone_that_was_changed_by_other_means(drill):
    done = regraded(set_weights(ANSWERS))
    touched = Answer.objects.order_by("pk").first()
    Answer.objects.filter(pk=touched.pk).update(score=999)
    assert undo_regrade(regrade=done, by=people.owner()) == 3
    assert scores(drill) == [999, 533, 467, 0]


# ---- Cost ----


@pytest.mark.parametrize("count", [2, 9])
def test_the_cost_does_not_grow_with_the_answers(count):
    """Of marks that move alike. Answers are read, and written, by the five hundred."""
    work(people.student(), *[(True, True)] * count)
    scheme = set_weights(ANSWERS)
    # 1 whether it was done, 2 answers, 3 items, 4 savepoint, 5 the course, to take turns, 6 whether it was done, 7 insert,
    # 8 move, 9 keep what they were, 10 release
    values = {
        "course": scheme.course,
        "scheme": scheme,
        "by": people.instructor(),
        "reason": "A test.",
        "code": uuid.uuid4(),
    }
    with assert_query_count(10):
        done = regrade(**values)
    assert done.answers.count() == count
    # 1 savepoint, 2 lock, 3 whether it stands, 4 the latest, 5 what was kept, 6 move, 7 undone, 8 release
    with assert_query_count(8):
        assert undo_regrade(regrade=done, by=values["by"]) == count


def test_practice_is_left_out_of_a_regrade(drill):
    session = work(people.student(), (True, False))
    Attempt.objects.filter(pk=session.pk).update(kind=Attempt.Kind.PRACTICE)
    regraded(set_weights(ANSWERS))
    assert scores(drill) == [1000, 800, 200, 0]
    assert scores(session) == [533]


def test_a_preview_counts_no_practice(drill):
    session = work(people.student(), (False, True))
    Attempt.objects.filter(pk=session.pk).update(kind=Attempt.Kind.PRACTICE)
    preview = preview_regrade(course=people.course(), scheme=set_weights(ANSWERS))
    assert preview.marks == 4
    assert [row.marks for row in preview.students] == [4]
