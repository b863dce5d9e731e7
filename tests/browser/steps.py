"""Steps that several browser tests take, and what they look at."""

import re

from playwright.sync_api import Locator, Page, expect

from quizzes.models import Attempt
from tests import people

STAGES = {
    "choosing": "button:has-text('Lock the choice')",
    "reasoning": "button:has-text('Give the reason')",
    "answered": "h2:has-text('The reasoning')",
}


def log_in(page: Page, username: str, password: str = people.PASSWORD) -> None:
    """Fill in the log-in form that is shown, and send it."""
    page.locator("#id_login").fill(username)
    page.locator("#id_password").fill(password)
    page.locator("main form button.btn-primary").click()


def start_drill(page: Page) -> Attempt:
    """Start a mixed drill of five questions on the drill list."""
    page.goto("/drills/")
    page.get_by_role("button", name="Start the drill").click()
    expect(page).to_have_url(re.compile(r"/drills/[0-9a-f-]{36}/1/$"))
    return Attempt.objects.get()


def expect_stage(page: Page, stage: str, number: int) -> None:
    """The page shows question ``number`` at one stage, and no other."""
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(rf"^Question {number} of \d+$"))
    for name, selector in STAGES.items():
        expect(page.locator(selector)).to_have_count(1 if name == stage else 0)


def expect_whole_page(page: Page) -> None:
    """One page with its head, its foot and its styles, not a bare fragment, nor a page inside a page."""
    for selector in ("header.site-head", "main#content", "footer.site-foot", "h1"):
        expect(page.locator(selector)).to_have_count(1)
    expect(page.locator("header.site-head nav")).to_be_visible()
    face = page.evaluate("getComputedStyle(document.body).fontFamily")
    assert "Alegreya" in face, f"The page has lost its styles: {face}"
    assert "Counterpoise" in page.title()


def choose(page: Page, number: int) -> None:
    """Pick option ``number`` (from 0) with the mouse and lock it."""
    page.locator("label.choice").nth(number).click()
    page.get_by_role("button", name="Lock the choice").click()


def reason(page: Page, number: int = 0) -> None:
    """Pick reason ``number`` (from 0) with the mouse and send it."""
    page.locator("label.choice").nth(number).click()
    page.get_by_role("button", name="Give the reason").click()


def tab_to(page: Page, target: Locator, limit: int = 80) -> None:
    """Press Tab until an element has the focus."""
    for _ in range(limit):
        page.keyboard.press("Tab")
        if target.evaluate("element => element === document.activeElement"):
            return
    raise AssertionError(f"{limit} times Tab did not reach {target}")


def overflow(page: Page) -> int:
    """By how many pixels the page is wider than the window."""
    return page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
