"""Sums of the workroom written out in figures come to what the lesson engine says they come to."""

import re
from fractions import Fraction
from itertools import product

import pytest

from lessons.engine.sums import POINTS, SUMS
from quizzes.engine.sums_worked import STEPS, WORKED, value_of, worked, worked_steps


def figures_of():
    """Figures for every variant, over a grid."""
    for kind, told in SUMS.items():
        for variant in told.variants:
            for volume, n, c1, c2, dose in product((100, 350), (3, 5), (90, 96), (25, 45), (2, 3)):
                yield variant, {
                    "kind": kind, "sum": variant.slug, "volume": volume, "weight": volume // 10, "n": n, "c1": c1, "c2": c2,
                    "dose": dose, "times": 3, "often": "three times", "bottle": volume, "steps": 1,
                }  # fmt: skip


def test_sums_written_out_come_to_what_they_should():
    checked = set()
    for variant, figures in figures_of():
        assert set(WORKED[variant.slug]) == set(variant.figures)
        for mistake, (expression, _) in WORKED[variant.slug].items():
            assert value_of(expression.format(**figures)) == variant.amount(figures, mistake)
            checked.add((variant.slug, mistake))
        assert value_of(STEPS[variant.slug][-1][0].format(**figures)) == variant.amount(figures, "")
    assert len(checked) == sum(len(variant.figures) for told in SUMS.values() for variant in told.variants)


def test_steps_of_a_sum_follow_from_each_other():
    """Each step as it is shown is a true equation, and the last gives the answer."""
    for variant, figures in figures_of():
        steps = worked_steps(figures)
        for step in steps:
            left, _, right = step.partition(" = ")
            shown = first_figure(right)
            assert abs(value_of_decimals(left) - shown) < Fraction(1, 100) + Fraction(1, 50) * shown, step
        assert abs(
            Fraction(re.match(r"[\d.]+", steps[-1].partition(" = ")[2])[0]) - variant.amount(figures, "")
        ) < Fraction(1, 100)


def value_of_decimals(text):
    """A sum in figures that may have decimals: those are scaled to whole numbers first."""
    scaled = re.sub(r"(\d+)\.(\d+)", lambda met: f"( {met[1]}{met[2]} ÷ {10 ** len(met[2])} )", text)
    return value_of(scaled)


def test_a_misplaced_point_is_named():
    variant, figures = next(figures_of())
    for mistake in POINTS:
        assert "one place too far" in worked(figures, mistake)
        assert variant.unit in worked(figures, mistake)


@pytest.mark.parametrize("text", ["3 ÷", "x + 1", "( 3", "3 4", "", "__import__"])
def test_only_sums_are_worked_out(text):
    with pytest.raises(ValueError, match=r"figure|sum|bracket"):
        value_of(text)


def first_figure(text):
    """The figure that a text begins with."""
    return Fraction(re.match(r"[\d.]+", text)[0])
