"""Practice at each of its stages, and what it finds, through axe-core: narrow and wide, by day and by night."""

import pytest
from playwright.sync_api import Page

from lessons.bank import question_maker
from lessons.engine.trust import PROVED
from lessons.models import Item
from lessons.services import freeze_items
from quizzes import services
from quizzes.engine.reading import true_signs
from quizzes.models import FoundConfusion
from tests import factories, people
from tests.browser.test_pages_are_accessible import WIDTHS, inspect
from tests.quizzes.graded import ALL_FOUR, set_weights
from tests.quizzes.test_learning import planted, take

pytestmark = pytest.mark.browser
SLUG = "wrong-temperature"


def faults(page: Page, place: str, name: str, complaints: list[str]) -> list[str]:
    """Everything wrong with one page, at every width."""
    found = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        found += [f"{name}, {width} px: {fault}" for fault in inspect(page, place, complaints)]
    return found


def test_every_stage_of_a_question_that_asks_all_there_is(student_page: Page, complaints: list[str]):
    course = people.course()
    course.untrusted_families = list(PROVED)
    course.save(update_fields=["untrusted_families"])
    set_weights(ALL_FOUR)
    freeze_items(contents=[question_maker().make("best-fit", 1)], review=Item.Review.APPROVED)
    asked = factories.question(factories.practice_session(people.student()))
    assert asked.asks_reading and asked.asks_confidence
    wrong = factories.wrong_choice_of(asked)
    steps = {
        "pattern": lambda: None,
        "choice": lambda: services.record_reading(question=asked, signs=true_signs(asked.item.opened)),
        "reason": lambda: services.record_choice(question=asked, choice=wrong, confidence=85),
        "explanation": lambda: services.record_reason(question=asked, reason=0),
    }
    wrong_with = []
    for name, step in steps.items():
        step()
        wrong_with += faults(student_page, factories.address(asked), name, complaints)
    assert wrong_with == []


def test_a_confusion_where_it_is_told(student_page: Page, complaints: list[str]):
    drill = planted(SLUG, 4, people.student())
    for question in drill.questions.for_panel():
        take(question, SLUG)
    found = faults(student_page, "/drills/next/", "next work", complaints)
    FoundConfusion.objects.create(
        student=people.student(), confusion="place-overlooked", shown_at=drill.started_at, cleared_at=drill.started_at
    )
    found += faults(student_page, "/drills/standing/", "where I stand", complaints)
    assert found == []
