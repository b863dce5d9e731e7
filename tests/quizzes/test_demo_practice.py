"""The invented month of work in the demo school: marked as simulated, in the past, and made once."""

import pytest
from django.urls import reverse
from django.utils import timezone

from quizzes.demo_practice import DAYS_AGO, LENGTH, MARK, simulate_practice
from quizzes.models import Answer, Attempt, GradingScheme, Learner, Standing
from tests import people

pytestmark = pytest.mark.django_db


def test_a_month_of_work_is_simulated_once_and_marked_so():
    people.owner()
    student = people.student()
    assert simulate_practice(course=people.course(), student=student) == len(DAYS_AGO) * LENGTH
    assert simulate_practice(course=people.course(), student=student) == 0
    drills = Attempt.objects.filter(student=student)
    assert drills.count() == len(DAYS_AGO)
    assert all(drill.title.endswith(MARK) and drill.state == "finished" for drill in drills)
    now = timezone.now()
    for answer in Answer.objects.select_related("question"):
        assert answer.question.shown_at < answer.chosen_at < answer.reasoned_at < now
    assert Learner.objects.get(student=student).answers == len(DAYS_AGO) * LENGTH
    assert Standing.objects.filter(student=student).count() == len(DAYS_AGO) - 1
    assert GradingScheme.objects.count() == 1
    page = people.client_of(student).get(reverse("quizzes:where-i-stand")).content.decode()
    assert "80" in page
