"""A small simulation, with bounds that leave room for chance; the full one is the command."""

import re
from io import StringIO
from xml.etree import ElementTree

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from quizzes.engine.learner.simulated_school import LEARNING, SKILLS, answer, build_school, new_student, true_skills
from quizzes.engine.learner.simulation import round_robin, run
from quizzes.engine.learner.simulation_plot import plot
from quizzes.engine.learner.simulation_report import Study, correlation, figures, precision, reached, table

STUDENTS, ANSWERS = 40, 120
LONG_STUDENTS, LONG_ANSWERS = 24, 220  # for mastery


@pytest.fixture(scope="module")
def found():
    seeds = [np.random.default_rng(one) for one in np.random.SeedSequence(5).spawn(5)]
    school = build_school(2000, seeds[0])
    return Study(
        school,
        run(school, students=STUDENTS, answers=ANSWERS, rng=seeds[1]),
        run(school, students=24, answers=60, rng=seeds[2], planted=True),
        run(school, students=LONG_STUDENTS, answers=LONG_ANSWERS, rng=seeds[3]),
        run(school, students=LONG_STUDENTS, answers=LONG_ANSWERS, rng=seeds[4], policy=round_robin),
    )


def test_skills_are_recovered(found):
    assert correlation(found.clean.estimated, found.clean.true) > 0.7
    assert abs((found.clean.estimated - found.clean.true).mean()) < 0.25


def test_planted_confusions_are_found_and_few_others(found):
    assert (found.planted.place[:, -1] <= 2).mean() > 0.75
    assert (found.clean.first_shown > 0).mean() < 0.15


def test_items_are_as_hard_as_they_should_be(found):
    assert 0.74 < found.clean.chance[:, 40:].mean() < 0.86
    assert 0.06 < found.clean.lot.mean() < 0.14


def test_practice_masters_skills_sooner_than_turns_do(found):
    ours, _ = reached(found.long, 4)
    theirs, _ = reached(found.robin, 4)
    assert ours.mean() < theirs.mean()
    assert precision(found.long) > 0.75


def test_the_table_and_the_picture_tell_all(found):
    told = figures(found)
    assert sum(figure.is_met is not None for figure in told) == 6
    text = table(told)
    assert all(figure.name in text for figure in told)
    assert set(re.findall(r"PASS|FAIL", text)) <= {"PASS", "FAIL"}
    root = ElementTree.fromstring(plot(found))  # noqa: S314  (our own picture)
    panels = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "Skills mastered, by model and truth" in panels
    assert not [node for node in root.iter() if "style" in node.attrib]


def test_the_first_answer_at_which_enough_is_mastered(found):
    both = found.long.claimed & found.long.mastered
    first, share = reached(found.long, 3)
    for number, answer_number in enumerate(first):
        counts = both[number].sum(axis=1)
        assert (counts[: answer_number - 1] < 3).all()
        assert counts[answer_number - 1] >= 3 or answer_number == len(counts)
    assert share == (both.sum(axis=2) >= 3).any(axis=1).mean()


def test_the_truth_is_as_it_is_written_down():
    rng = np.random.default_rng(9)
    school = build_school(2000, rng)
    students = [new_student(school, rng) for _ in range(3000)]
    totals = [student.facets[school.pool.facets[0]].sum() for student in students]
    assert np.std(totals) == pytest.approx(0.6, abs=0.03)
    assert np.std(school.pool.difficulty - school.truth) == pytest.approx(0.3, abs=0.1)
    student = students[0]
    before = true_skills(school, student)
    answer(school, student, 0, 0.0, rng)
    gained = true_skills(school, student) - before
    exercised = [name in school.pool.facets_of(0) for name in SKILLS]
    assert gained == pytest.approx(np.where(exercised, LEARNING, 0.0))


def test_a_planted_confusion_is_taken_as_often_as_it_says():
    rng = np.random.default_rng(10)
    school = build_school(1000, rng)
    student = new_student(school, rng, planted=0)
    rows = np.flatnonzero((school.options == 0).sum(axis=1) == 1)
    taken = [student_takes(school, student, row, rng) for row in rng.choice(rows, 1500)]
    student = new_student(school, rng)
    by_others = [student_takes(school, student, row, rng) for row in rng.choice(rows, 1500)]
    assert np.mean(taken) == pytest.approx(0.6 + 0.4 * np.mean(by_others), abs=0.06)


def student_takes(school, student, row, rng):
    start = student.facets.copy()
    given = answer(school, student, int(row), 0.0, rng)
    student.facets[:] = start  # nobody learns while being measured
    return "wrong-temperature" in given.taken


@pytest.mark.parametrize("given", [{"students": 3}, {"answers": 5}, {"pool": 10}, {"pool": 1000, "answers": 300}])
def test_the_command_refuses_what_would_mean_nothing(given):
    with pytest.raises(CommandError, match="must be"):
        call_command("simulate_students", **given)


def test_the_command_tells_its_figures_and_what_it_missed(tmp_path):
    out, err = StringIO(), StringIO()
    picture = tmp_path / "students.svg"
    # With a dozen students some target may well be missed; then the command says which, and fails.
    try:
        call_command("simulate_students", students=12, answers=20, pool=1000, plot=picture, stdout=out, stderr=err)
        missed = []
    except CommandError as error:
        missed = str(error).removeprefix("Missed: ").removesuffix(".").split("; ")
    rows = out.getvalue().splitlines()
    assert [row.split("  ")[0].strip() for row in rows if row.endswith("FAIL")] == missed
    assert "skills in turn: 40 of 40 answers" in err.getvalue()
    assert picture.read_text(encoding="utf-8").startswith("<svg")
