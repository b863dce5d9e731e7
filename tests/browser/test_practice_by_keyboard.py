"""A whole practice question with the keyboard alone, pattern and all, with scripts and without."""

import re

import pytest
from playwright.sync_api import Page, expect

from herbs.engine import AXES
from lessons.bank import question_maker
from lessons.engine.trust import PROVED
from lessons.models import Item
from lessons.services import freeze_items
from quizzes.engine.reading import true_signs
from quizzes.models import Answer, Attempt, Question
from tests import factories, people
from tests.browser.practising import NEXT, STOP, WHY, question_on
from tests.browser.steps import tab_to

pytestmark = pytest.mark.browser
FAR = 150  # times Tab, past every link of an explanation


@pytest.fixture(autouse=True)
def cases(loaded: None) -> None:
    """All that practice can ask: four cases, the first of which asks for its pattern."""
    course = people.course()
    course.untrusted_families = list(PROVED)
    course.save(update_fields=["untrusted_families"])
    freeze_items(contents=[question_maker().make("best-fit", seed) for seed in range(4)], review=Item.Review.APPROVED)


def begin(page: Page) -> Question:
    """Press "Practise now" with the keyboard; the question that is shown."""
    page.goto("/drills/next/")
    tab_to(page, page.get_by_role("button", name="Practise now"))
    page.keyboard.press("Enter")
    asked = question_on(page)
    assert asked.asks_reading
    return asked


def read_pattern(page: Page, asked: Question, *, axes: int = len(AXES)) -> None:
    """Say what the findings show on the first few axes; Tab leads from one axis to the next."""
    signs = true_signs(asked.item.opened)
    for number, (axis, sign) in enumerate(zip(AXES[:axes], signs, strict=False)):
        tab_to(page, page.locator(f"input[name={axis}]").first, limit=40 if number == 0 else 1)
        pick(page, sign + 1)
        expect(page.locator(f"input[name={axis}][value='{sign}']")).to_be_checked()
    page.keyboard.press("Enter")


def pick(page: Page, place: int) -> None:
    """Of a group whose first radio has the focus, choose one by its place from 0."""
    page.keyboard.press("Space")
    for _ in range(place):
        page.keyboard.press("ArrowDown")


def expect_focus_on_heading(page: Page, position: int, said: str | re.Pattern[str]) -> None:
    """The heading of the question has the focus, and says with it what the last step did."""
    heading = page.get_by_role("heading", level=1)
    expect(heading).to_have_text(f"Question {position}")
    expect(heading).to_be_focused()
    expect(heading).to_have_accessible_description(said)
    expect(page.get_by_role("status")).to_have_text("")  # which speaks of failures alone


def test_a_practice_question_from_next_work_to_the_end(student_page: Page):
    page = student_page
    asked = begin(page)
    pattern = page.get_by_role("heading", name="First, read the pattern")
    expect(page.get_by_role("heading", level=1)).to_have_accessible_description(pattern.inner_text())
    read_pattern(page, asked)
    expect_focus_on_heading(page, 1, re.compile(r"^You read the pattern as .+\. It is locked\.$"))
    expect(pattern).to_have_count(0)

    key = factories.key_of(asked)
    page.keyboard.press(str(key + 1))
    expect(page.locator("input[name=choice]").nth(key)).to_be_focused()
    page.keyboard.press("Enter")
    name = asked.item.opened["options"][key]["label"]
    expect_focus_on_heading(page, 1, re.compile(rf"^You chose {re.escape(name)} .+ The choice is locked\.$"))

    page.keyboard.press(str(factories.reason_of(asked, key) + 1))
    page.keyboard.press("Enter")
    outcome = page.get_by_role("heading", name="You chose well, for the reason that decides")
    expect(outcome).to_be_focused()
    expect(page.get_by_role("heading", name="Your reading of the pattern")).to_be_visible()
    expect(page.locator(".reading-rows > div")).to_have_count(len(AXES))
    expect(page.get_by_role("heading", name="The one thing to remember")).to_be_visible()
    answer = Answer.objects.get()
    assert (answer.score, answer.reading_points) == (1000, 250)

    tab_to(page, page.get_by_role("button", name=NEXT), limit=FAR)
    page.keyboard.press("Enter")
    expect_focus_on_heading(page, 2, "")
    expect(page).to_have_url(re.compile(r"/2/$"))
    expect(page.locator("p.why")).to_have_text(WHY)
    page.keyboard.press("1")
    page.keyboard.press("Enter")
    expect_focus_on_heading(page, 2, re.compile(r"The choice is locked\.$"))
    page.keyboard.press("1")
    page.keyboard.press("Enter")
    expect(page.locator(".outcome h2")).to_be_focused()
    tab_to(page, page.get_by_role("button", name=STOP), limit=FAR)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Practice: your results")
    assert Attempt.objects.get().state == Attempt.State.FINISHED


def test_a_pattern_that_is_not_whole_is_not_locked(student_page: Page):
    page = student_page
    asked = begin(page)
    read_pattern(page, asked, axes=len(AXES) - 1)
    missing = page.locator(f"input[name={AXES[-1]}]").first
    assert missing.evaluate("radio => radio.matches(':invalid')")
    expect(missing).to_be_focused()
    expect(page.get_by_role("heading", name="First, read the pattern")).to_be_visible()
    assert not Answer.objects.exists() and not Question.objects.filter(reading__isnull=False).exists()


def test_an_unfinished_session_can_be_stopped_from_next_work(student_page: Page):
    page = student_page
    begin(page)
    page.goto("/drills/next/")
    tab_to(page, page.get_by_role("button", name="Stop it here"))
    page.keyboard.press("Enter")
    expect(page.locator("p.lead")).to_have_text("Nothing is answered yet.")
    assert Attempt.objects.get().state == Attempt.State.FINISHED


@pytest.mark.browser_context_args(java_script_enabled=False)
def test_a_practice_question_without_scripts(student_page: Page):
    page = student_page
    asked = begin(page)
    read_pattern(page, asked)
    expect(page.get_by_text(re.compile(r"^You read the pattern as .+\. It is locked\.$"))).to_be_visible()
    key = factories.key_of(asked)
    tab_to(page, page.locator("input[name=choice]").first)
    pick(page, key)
    page.keyboard.press("Enter")
    expect(page.get_by_text("The choice is locked.")).to_be_visible()
    tab_to(page, page.locator("input[name=reason]").first)
    pick(page, factories.reason_of(asked, key))
    page.keyboard.press("Enter")
    expect(page.locator(".outcome h2")).to_have_text("You chose well, for the reason that decides")
    assert Answer.objects.get().score == 1000
    tab_to(page, page.get_by_role("button", name=NEXT), limit=FAR)
    page.keyboard.press("Enter")
    second = question_on(page)
    assert second.position == 2 and not second.asks_reading
    tab_to(page, page.locator("input[name=choice]").first)
    pick(page, 0)
    page.keyboard.press("Enter")
    expect(page.get_by_text("is locked.")).to_be_visible()
    tab_to(page, page.locator("input[name=reason]").first)
    pick(page, 0)
    page.keyboard.press("Enter")
    expect(page.locator(".outcome h2")).to_be_visible()
    tab_to(page, page.get_by_role("button", name=STOP), limit=FAR)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Practice: your results")
    assert Attempt.objects.get().state == Attempt.State.FINISHED
