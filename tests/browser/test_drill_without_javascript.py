"""A whole drill in a browser that runs no scripts."""

import re

import pytest
from playwright.sync_api import Page, expect

from quizzes.models import Attempt
from tests import people
from tests.browser.steps import choose, expect_stage, log_in, reason

pytestmark = [pytest.mark.browser, pytest.mark.browser_context_args(java_script_enabled=False)]


def test_a_drill_from_login_to_results(page: Page):
    people.student()
    page.goto("/drills/")
    log_in(page, "wenna")
    page.get_by_role("button", name="Start the drill").click()
    for number in range(1, 6):
        expect_stage(page, "choosing", number)
        choose(page, 3)
        expect_stage(page, "reasoning", number)
        expect(page.locator("header.site-head")).to_be_visible()
        reason(page, 1)
        expect_stage(page, "answered", number)
        page.get_by_role("link", name="See the results" if number == 5 else f"Go to question {number + 1}").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("your results$"))
    assert Attempt.objects.get().state == "finished"


def test_nothing_is_shown_that_needs_scripts(student_page: Page):
    student_page.goto("/drills/")
    expect(student_page.locator("[data-scheme-switch]")).to_be_hidden()
    student_page.get_by_role("button", name="Start the drill").click()
    expect(student_page.locator(".htmx-indicator")).not_to_be_visible()
    expect(student_page.locator("form:has(button:has-text('Lock')) button")).to_be_enabled()


def test_the_sources_unfold_without_scripts(student_page: Page):
    student_page.goto("/drills/")
    student_page.get_by_role("button", name="Start the drill").click()
    choose(student_page, 0)
    reason(student_page)
    notes = student_page.locator(".margin-note").first
    notes.locator("summary").click()
    expect(notes.locator("li").first).to_be_visible()
