"""Grading of a choice with its reason: pure arithmetic over a small item."""

from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.engine import (
    CURRENT,
    FULL,
    OUTCOMES,
    WEIGHTS,
    Scheme,
    UngradableAnswerError,
    chance_level,
    full_points,
    grade,
    mark_confidence,
    reasons_for,
)  # fmt: skip
from quizzes.engine.reading import mark_reading
from tests import factories, people

STATUSES = ("decisive", "true", "false", "misconception")
# The shipped weights without a reading: 0.40 and 0.35 of 0.75.
CHOICE, REASON, HALF_REASON = 533, 467, 234


def item(*, key: int = 0, unsafe: tuple[int, ...] = (), statuses: tuple[tuple[str, ...], ...] = ()) -> dict[str, Any]:
    """Four options named by letter; ``statuses`` are those of the reasons for each, every status once unless told."""
    rows = zip("abcd", statuses or (STATUSES,) * 4, strict=True)
    reasons = [[{"text": f"{letter} {status}", "status": status} for status in row] for letter, row in rows]
    return {
        "options": [
            {
                "part": letter,
                "verdict": "suits" if n == key else "unsafe" if n in unsafe else "little",
                "fault": None if n == key else "unsafe for this person" if n in unsafe else "wrong moisture",
            }
            for n, letter in enumerate("abcd")
        ],
        "key": key,
        "because": reasons,
    }


@pytest.mark.parametrize(
    ("choice", "status", "outcome", "choice_points", "reason_points"),
    [
        (2, "decisive", "both-right", CHOICE, REASON),
        (2, "true", "right-for-a-wrong-reason", CHOICE, HALF_REASON),
        (2, "false", "right-for-a-wrong-reason", CHOICE, 0),
        (2, "misconception", "right-for-a-wrong-reason", CHOICE, 0),
        (0, "decisive", "wrong-for-a-right-reason", 0, REASON),
        (0, "true", "both-wrong", 0, HALF_REASON),
        (0, "false", "both-wrong", 0, 0),
        (0, "misconception", "both-wrong", 0, 0),
        (1, "decisive", "unsafe", 0, 0),
        (1, "true", "unsafe", 0, 0),
        (1, "false", "unsafe", 0, 0),
        (1, "misconception", "unsafe", 0, 0),
    ],
)
def test_every_choice_with_every_kind_of_reason(choice, status, outcome, choice_points, reason_points):
    mark = grade(item(key=2, unsafe=(1,)), choice, STATUSES.index(status))
    assert (mark.outcome, mark.points) == (outcome, {"choice": choice_points, "reason": reason_points})
    assert mark.score == choice_points + reason_points
    assert mark.reason_status == status
    assert mark.outcome in OUTCOMES


def test_a_mark_names_the_fault_of_the_herb_chosen_and_no_fault_for_the_right_one():
    asked = item(key=2, unsafe=(1,))
    faults = [grade(asked, choice, 0).fault for choice in range(4)]
    assert faults == ["wrong moisture", "unsafe for this person", "", "wrong moisture"]


def test_the_reasons_are_those_written_for_the_herb_chosen():
    asked = item(key=3)
    for choice, letter in enumerate("abcd"):
        assert [reason["text"][0] for reason in reasons_for(asked, choice)] == [letter] * 4


@pytest.mark.parametrize("version", WEIGHTS)
def test_points_are_whole_thousandths_that_sum_to_the_full_mark(version):
    check_points(WEIGHTS[version])


def check_points(weights):
    """Whatever is asked, full points are whole, as the weights are, and sum to 1000; where nothing weighs, there are none."""
    for count in range(1, len(weights) + 1):
        for asked in combinations(weights, count):
            total = sum(weights[part] for part in asked)
            if not total:
                with pytest.raises(ValueError, match="weight"):
                    full_points(weights, asked)
                continue
            points = full_points(weights, asked)
            assert set(points) == set(asked)
            assert all(type(value) is int and (value > 0) == (weights[part] > 0) for part, value in points.items())
            assert all(abs(points[part] - Fraction(FULL * weights[part], total)) <= 2 for part in asked)
            assert sum(points.values()) == FULL == 1000


@st.composite
def weights_of_a_course(draw: st.DrawFn) -> dict[str, int]:
    """Weights in hundredths as a course may set them: answer and reason always weigh."""
    choice = draw(st.integers(1, 99))
    reason = draw(st.integers(1, 100 - choice))
    reading = draw(st.integers(0, 100 - choice - reason))
    return {"reading": reading, "choice": choice, "reason": reason, "confidence": 100 - choice - reason - reading}


@given(weights_of_a_course())
def test_so_are_points_under_the_weights_of_any_course(weights):
    check_points(weights)


@pytest.mark.parametrize("version", ["1", "2"])
def test_released_versions_are_frozen(version):
    weights = WEIGHTS[version]
    assert full_points(weights, ("choice", "reason")) == {"choice": 533, "reason": 467}
    assert full_points(weights, ("reading", "choice", "reason")) == {"reading": 250, "choice": 400, "reason": 350}


@given(weights_of_a_course(), st.data())
def test_a_mark_is_the_sum_of_what_was_asked(weights, data):
    """Under any weights, with a reading and a confidence or without: each part earns its share of its full points."""
    asked = case()
    reading = data.draw(st.none() | st.tuples(*[st.integers(-1, 1)] * 4))
    confidence = data.draw(st.none() | st.integers(0, 100))
    choice, status = data.draw(st.sampled_from([0, 2])), data.draw(st.sampled_from(STATUSES))
    mark = grade(
        asked, choice, STATUSES.index(status), Scheme(CURRENT, weights), reading=reading, confidence=confidence
    )
    shares = {
        "choice": Fraction(choice == 2),
        "reason": {"decisive": Fraction(1), "true": Fraction(1, 2)}.get(status, Fraction(0)),
    }
    if reading is not None:
        shares["reading"] = Fraction(mark_reading(asked, reading), FULL)
    if confidence is not None:
        shares["confidence"] = Fraction(mark_confidence(confidence, choice == 2), FULL)
    assert mark.points.keys() == mark.full.keys() == shares.keys()
    assert all(abs(mark.points[part] - mark.full[part] * share) < 1 for part, share in shares.items())
    assert sum(mark.points.values()) == mark.score <= FULL
    assert grade(asked, 1, 0, Scheme(CURRENT, weights), reading=reading, confidence=confidence).score == 0


def case() -> dict[str, Any]:
    """An item with a pattern, whose option 2 is right and 1 unsafe."""
    degrees = zip(("temperature", "moisture", "tone", "movement"), (2, -1, 0, 0), strict=True)
    pattern = {axis: {"degree": degree} for axis, degree in degrees}
    return item(key=2, unsafe=(1,)) | {"presentation": {"pattern": pattern}}


reason_lists = st.lists(st.sampled_from(STATUSES), min_size=3, max_size=6).map(tuple)


@st.composite
def items(draw: st.DrawFn) -> dict[str, Any]:
    """Items with any key, any number of unsafe options and any reasons."""
    key = draw(st.integers(0, 3))
    unsafe = tuple(n for n in range(4) if n != key and draw(st.booleans()))
    return item(key=key, unsafe=unsafe, statuses=tuple(draw(reason_lists) for _ in range(4)))


@given(items())
def test_chance_level_is_the_average_over_every_way_of_guessing(asked):
    worth = {"decisive": REASON, "true": HALF_REASON, "false": 0, "misconception": 0}
    exact = Fraction(0)
    for choice, option in enumerate(asked["options"]):
        reasons = asked["because"][choice]
        for reason in reasons:
            mark = 0 if option["verdict"] == "unsafe" else worth[reason["status"]] + CHOICE * (choice == asked["key"])
            exact += Fraction(mark, 4 * len(reasons))
    chance = chance_level(asked)
    assert type(chance) is int
    assert abs(chance - exact) <= Fraction(1, 2)


@given(items(), st.data())
def test_every_mark_lies_on_the_scale_and_only_what_is_right_earns_all(asked, data):
    choice = data.draw(st.integers(0, 3))
    reason = data.draw(st.integers(0, len(reasons_for(asked, choice)) - 1))
    mark = grade(asked, choice, reason)
    assert 0 <= mark.score <= FULL
    assert sum(mark.full.values()) == FULL
    assert (mark.score == FULL) == (mark.outcome == "both-right")
    if asked["options"][choice]["verdict"] == "unsafe":
        assert mark.score == 0 and set(mark.points.values()) == {0}


@pytest.mark.parametrize(("choice", "reason"), [(-1, 0), (4, 0), (0, -1), (0, 4), (2, 4), (999, 999)])
def test_an_answer_that_names_nothing_is_refused_with_a_sentence(choice, reason):
    with pytest.raises(
        UngradableAnswerError, match=r"^There is no such (option|reason)\. Choose one of those listed\.$"
    ):
        grade(item(key=2), choice, reason)


def test_a_mark_carries_the_version_that_made_it():
    assert grade(item(), 0, 0).version == CURRENT
    assert CURRENT in WEIGHTS


def test_a_stored_mark_keeps_the_version_of_its_drill(db, monkeypatch):
    monkeypatch.setitem(WEIGHTS, "test", {"reading": 0, "choice": 75, "reason": 25, "confidence": 0})
    drill = factories.attempt(people.student(), length=2)
    assert drill.grading_version == CURRENT
    assert factories.answered(factories.question(drill, 1)).grading_version == CURRENT
    drill.grading_version = "test"
    drill.save()
    answer = factories.answered(factories.question(drill, 2))
    assert (answer.grading_version, answer.choice_points, answer.reason_points, answer.score) == (
        "test",
        750,
        250,
        1000,
    )
