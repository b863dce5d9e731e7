"""How a student reads patterns, on the page of where they stand: counts by axis, and kappa from ten readings on."""

import html

import pytest
from django.urls import reverse
from sklearn.metrics import cohen_kappa_score

from herbs.engine import AXES
from quizzes import standing
from quizzes.engine import reading_number
from quizzes.models import Reading
from tests import factories, people
from tests.quizzes.readings import read_patterns

pytestmark = pytest.mark.django_db


def page() -> str:
    """Wenna's page of where she stands, in one line."""
    response = people.client_of(people.student()).get(reverse("quizzes:where-i-stand"))
    return " ".join(html.unescape(response.content.decode()).split())


def test_readings_are_counted_and_kappa_waits_for_ten():
    read_patterns(9)
    text = page()
    assert "in 9 readings" in text
    assert "1 more is needed" in text
    assert "Agreement is weighted kappa" not in text


def test_from_ten_readings_on_kappa_is_that_of_an_outside_library():
    def misread(number, signs):
        return [(-1, 0, 1)[(number + n) % 3] if number % 3 == 0 else sign for n, sign in enumerate(signs)]

    pairs = read_patterns(12, misread)
    rows = standing.readings_told(people.student())["rows"]
    text = page()
    assert "Agreement is weighted kappa" in text
    for n, (axis, row) in enumerate(zip(AXES, rows, strict=True)):
        read, true = [r[n] for r, _ in pairs], [t[n] for _, t in pairs]
        outside = cohen_kappa_score(read, true, labels=[-1, 0, 1], weights="linear")
        assert row["title"] == axis.capitalize()
        assert row["kappa"]["value"] == f"{outside:.2f}"
        assert row["right"] == sum(r == t for r, t in zip(read, true, strict=True))
        assert row["right"] + row["missed"] + row["invented"] + row["contrary"] == 12


def test_each_way_of_misreading_is_counted_as_what_it_is():
    pairs = [(0, 1), (0, -1), (1, 0), (1, -1), (-1, 1), (-1, 1), (1, 1), (0, 0)]
    found = standing.axis_told(pairs)
    assert (found["missed"], found["invented"], found["contrary"], found["right"]) == (2, 1, 3, 2)
    assert found["kappa"] is None


def test_kappa_without_a_value_is_not_invented():
    found = standing.axis_told([(0, 0)] * 12)
    assert found["right"] == 12 and found["kappa"] is None


def test_a_reading_before_the_mark_is_not_counted():
    drill = factories.attempt(people.student(), length=1)
    asked = factories.question(drill)
    Reading.objects.create(question=asked, signs=reading_number((0, 0, 0, 0)))
    factories.locked(asked)
    assert standing.readings_told(people.student())["total"] == 0
    factories.answered(asked)
    assert standing.readings_told(people.student())["total"] == 1


def test_patterns_of_every_stored_form_are_read_alike():
    by_axis = {axis: {"degree": degree} for axis, degree in zip(AXES, (2, -3, 0, 1), strict=True)}
    assert standing.true_signs_in(by_axis) == (1, -1, 0, 1)
    assert standing.true_signs_in([2, [-3, 0], 0, 1]) == (1, -1, 0, 1)
