"""Impatient clicks and a slow or failing server: one drill, one answer, and a sentence when something failed."""

import time

import pytest
from playwright.sync_api import Page, Route, expect

from quizzes.models import Answer, Attempt
from tests.browser.steps import choose, expect_stage, reason, start_drill

pytestmark = pytest.mark.browser


def test_a_double_click_starts_one_drill(student_page: Page):
    page = student_page
    page.goto("/drills/")
    page.get_by_role("button", name="Start the drill").dblclick()
    expect_stage(page, "choosing", 1)
    page.goto("/drills/")
    expect(page.get_by_role("link", name="Mixed classes")).to_have_count(1)
    assert Attempt.objects.count() == 1


def test_a_double_click_locks_one_choice(student_page: Page):
    page = student_page
    start_drill(page)
    page.locator("label.choice").nth(2).click()
    page.get_by_role("button", name="Lock the choice").dblclick()
    expect_stage(page, "reasoning", 1)
    assert list(Answer.objects.values_list("choice", "reason")) == [(2, None)]


def test_a_double_click_gives_one_reason(student_page: Page):
    page = student_page
    start_drill(page)
    choose(page, 2)
    expect_stage(page, "reasoning", 1)
    page.locator("label.choice").nth(1).click()
    page.get_by_role("button", name="Give the reason").dblclick()
    expect_stage(page, "answered", 1)
    assert list(Answer.objects.values_list("choice", "reason")) == [(2, 1)]


def test_while_the_server_is_slow_the_button_rests_and_the_panel_is_busy(student_page: Page):
    page = student_page
    start_drill(page)
    sent: list[str] = []

    def slowly(route: Route) -> None:
        sent.append(route.request.url)
        time.sleep(0.3)
        route.continue_()

    page.route("**/choice/", slowly)
    page.locator("label.choice").nth(1).click()
    # The request leaves with the first click; what the page looks like then is noted in the page itself.
    page.evaluate(
        """() => {
            const button = document.querySelector("form[action$='/choice/'] button");
            button.click(); button.click(); button.click();
            window.seen = [button.disabled, document.getElementById("question-panel").getAttribute("aria-busy")];
        }"""
    )
    expect_stage(page, "reasoning", 1)
    assert page.evaluate("window.seen") == [True, "true"]
    assert len(sent) == 1
    assert page.locator("#question-panel").get_attribute("aria-busy") is None


def test_a_failing_server_is_told_and_the_choice_can_be_sent_again(student_page: Page, complaints: list[str]):
    page = student_page
    start_drill(page)
    page.route("**/choice/", lambda route: route.fulfill(status=500, body="<h1>Broken</h1>"))
    choose(page, 1)
    expect(page.locator("#live-status")).to_contain_text("The server failed")
    expect_stage(page, "choosing", 1)
    expect(page.get_by_role("button", name="Lock the choice")).to_be_enabled()
    page.unroute("**/choice/")
    page.get_by_role("button", name="Lock the choice").click()
    expect_stage(page, "reasoning", 1)
    expect(page.locator("#live-status")).to_be_empty()
    assert Answer.objects.get().choice == 1
    assert complaints and all("500" in complaint for complaint in complaints)
    complaints.clear()


def test_a_lost_connection_is_told_and_the_reason_can_be_sent_again(student_page: Page, complaints: list[str]):
    page = student_page
    start_drill(page)
    choose(page, 1)
    expect_stage(page, "reasoning", 1)
    page.route("**/reason/", lambda route: route.abort())
    reason(page)
    expect(page.locator("#live-status")).to_contain_text("Check your connection")
    page.unroute("**/reason/")
    page.get_by_role("button", name="Give the reason").click()
    expect_stage(page, "answered", 1)
    assert complaints and all("/reason/" in complaint or "htmx" in complaint for complaint in complaints)
    complaints.clear()
