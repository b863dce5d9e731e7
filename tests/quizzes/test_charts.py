"""Pictures of figures: every mark stands where its figure is, and the text tells the same."""

from datetime import date, timedelta

import pytest

from quizzes import charts


def test_the_line_has_days_as_far_apart_as_they_are():
    first = date(2026, 3, 1)
    found = charts.strip(
        [(first, 50, 40, 60), (first + timedelta(days=1), 60, 50, 70), (first + timedelta(days=10), 75, 70, 80)],
        low=25, high=100, ticks=(25, 100),
    )  # fmt: skip
    xs = [float(point.split()[0]) for point in found["line"][1:].split("L")]
    assert (xs[1] - xs[0]) * 9 == pytest.approx(xs[2] - xs[1], abs=1)
    ys = [float(point.split()[1]) for point in found["line"][1:].split("L")]
    assert ys[0] > ys[1] > ys[2]  # a better chance stands higher


def test_intervals_stand_where_their_figures_are():
    found = charts.intervals([("Tone", 62.5, 25, 100)], low=25, high=100, ticks=((25, "a"), (100, "b")), level=62.5)
    row = found["rows"][0]
    assert float(row["x"]) == (charts.LEFT + charts.RIGHT) / 2 == float(found["level"])
    assert (float(row["left"]), float(row["width"])) == (charts.LEFT, charts.RIGHT - charts.LEFT)
    assert found["text"] == "Tone: 62.5, from 25 to 100."


def test_shares_fill_the_bar_in_proportion():
    found = charts.shares([("due", "due", 1), ("learning", "being learned", 0), ("held", "well held", 3)])
    small, large = found["parts"]
    assert float(large["width"]) + charts.BAR_GAP == pytest.approx(
        3 * (float(small["width"]) + charts.BAR_GAP), abs=0.3
    )
    assert found["text"] == "1 due, 0 being learned, 3 well held."
    with pytest.raises(ValueError, match="something to divide"):
        charts.shares([("due", "due", 0)])
