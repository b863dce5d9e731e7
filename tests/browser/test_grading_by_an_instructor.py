"""An instructor changes how the course grades, has past marks worked out anew, and takes it back."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from quizzes.models import Answer, Regrade
from tests import factories, people
from tests.browser.conftest import PATIENCE, sign_in
from tests.browser.steps import expect_whole_page
from tests.quizzes.graded import work

pytestmark = pytest.mark.browser
WEIGHTS = {"Pattern": 10, "Answer": 80, "Reason": 10, "Confidence": 0}
ANEW = "This mark was worked out anew when the course's grading changed."
BEFORE, AFTER = 533, 889  # of 1000, for a right answer with a wrong reason: 40 of 75 and 80 of 90 hundredths


@pytest.fixture
def answered(loaded: None) -> Answer:
    """Wenna's: the right herb, for a wrong reason."""
    drill = work(people.student(), (True, True), (True, False))
    answer: Answer = Answer.objects.select_related("question__attempt").get(
        question__attempt=drill, question__position=2
    )
    assert answer.score == BEFORE
    return answer


@pytest.fixture
def instructor_page(context: BrowserContext) -> Page:
    """A tab in which Ottilie, who teaches the course, is logged in."""
    sign_in(context, people.instructor())
    return context.new_page()


@pytest.fixture
def wenna_page(browser: Browser, base_url: str, complaints: list[str]) -> Iterator[Page]:
    """A tab in another browser, in which Wenna is logged in; what its console says in red counts, too."""
    other = browser.new_context(base_url=base_url)
    other.set_default_timeout(PATIENCE)
    other.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    other.on("weberror", lambda error: complaints.append(f"uncaught: {error.error}"))
    sign_in(other, people.student())
    yield other.new_page()
    other.close()


def expect_mark(page: Page, answer: Answer, score: int, *, anew: bool) -> None:
    """What Wenna reads of her answer."""
    page.goto(factories.address(answer.question))
    expect(page.locator("dl.score")).to_contain_text(re.compile(rf"Score\s*{score} of 1000"))
    expect(page.get_by_text(ANEW)).to_have_count(int(anew))


def set_weights(page: Page) -> None:
    """Give the course the weights, after a try in which they do not sum to 100."""
    for name, weight in WEIGHTS.items():
        page.get_by_role("spinbutton", name=name).fill(str(weight))
    page.get_by_role("spinbutton", name="Reason").fill("5")
    page.get_by_role("button", name="Save as a new version").click()
    expect(page.get_by_text("The weights sum to 95, and must sum to 100. Add 5.")).to_be_visible()
    expect(page.get_by_role("spinbutton", name="Answer")).to_have_value("80")
    page.get_by_role("spinbutton", name="Reason").fill("10")
    page.get_by_role("button", name="Save as a new version").click()
    expect(page.get_by_text("Version 1 holds.")).to_be_visible()


def test_a_regrade_is_seen_before_done_and_undone(instructor_page: Page, wenna_page: Page, answered: Answer):
    page = instructor_page
    expect_mark(wenna_page, answered, BEFORE, anew=False)
    page.goto(f"/courses/{people.EVENING}/")
    page.locator(f"main a[href='/drills/grading/{people.EVENING}/']").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("How this course grades")
    set_weights(page)
    expect_mark(wenna_page, answered, BEFORE, anew=False)  # past marks stay

    page.get_by_role("link", name="See what a regrade would change").click()
    expect(page.locator("dl.facts")).to_contain_text(re.compile(r"Marks that change\s*1 of 2"))
    expect(page.locator("dl.facts")).to_contain_text(re.compile(rf"Largest rise\s*{AFTER - BEFORE}"))
    row = page.get_by_role("row").filter(has_text=str(people.student()))
    expect(row).to_contain_text("+178")
    assert not Regrade.objects.exists()
    expect_mark(wenna_page, answered, BEFORE, anew=False)

    page.get_by_role("button", name="Count 2 marks by version 1").click()
    why = page.get_by_label("Why the marks are worked out anew")
    assert why.evaluate("field => field.matches(':invalid')"), "A regrade without a reason was sent."
    why.fill("The answer counts for more.")
    page.get_by_role("button", name="Count 2 marks by version 1").click()
    expect(page.get_by_text("2 marks are counted by version 1 now.")).to_be_visible()
    entry = page.locator("li.entry").filter(has_text="The answer counts for more.")
    expect(entry).to_contain_text(str(people.instructor()))
    expect_mark(wenna_page, answered, AFTER, anew=True)

    entry.get_by_role("button", name="Undo this regrade").click()
    expect(page.get_by_text("2 marks put back.")).to_be_visible()
    expect(entry).to_contain_text(f"Undone by {people.instructor()}")
    expect(page.get_by_role("button", name="Undo this regrade")).to_have_count(0)
    expect_whole_page(page)
    expect_mark(wenna_page, answered, BEFORE, anew=False)
