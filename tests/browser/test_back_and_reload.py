"""Going back, reloading, coming back later, a second tab and a session that has ended: the place is kept."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from quizzes.models import Answer
from tests.browser.steps import choose, expect_stage, expect_whole_page, log_in, reason, start_drill

pytestmark = pytest.mark.browser


def answer(page: Page, number: int) -> None:
    """Answer the question shown."""
    expect_stage(page, "choosing", number)
    choose(page, 0)
    expect_stage(page, "reasoning", number)
    reason(page)
    expect_stage(page, "answered", number)


def test_back_twice_shows_whole_pages(student_page: Page):
    page = student_page
    drill = start_drill(page)
    for number in (1, 2):
        answer(page, number)
        page.get_by_role("link", name=f"Go to question {number + 1}").click()
        expect(page).to_have_url(re.compile(rf"/{number + 1}/$"))
        expect_stage(page, "choosing", number + 1)
    for number in (2, 1):
        page.go_back()
        expect(page).to_have_url(re.compile(rf"/{number}/$"))
        expect_stage(page, "answered", number)
        expect_whole_page(page)
    page.go_forward()
    expect_stage(page, "answered", 2)
    expect_whole_page(page)
    page.goto("/")
    page.go_back()
    expect(page).to_have_url(re.compile(rf"/drills/{drill.code}/2/$"))
    expect_stage(page, "answered", 2)
    expect_whole_page(page)


def test_back_after_the_choice_is_locked_does_not_open_it_again(student_page: Page):
    page = student_page
    start_drill(page)
    choose(page, 0)
    expect_stage(page, "reasoning", 1)
    page.goto("/cautions/")
    page.go_back()
    expect_stage(page, "reasoning", 1)
    expect_whole_page(page)


def test_no_answer_stays_in_the_browser(student_page: Page):
    page = student_page
    start_drill(page)
    answer(page, 1)
    page.get_by_role("link", name="Go to question 2").click()
    expect_stage(page, "choosing", 2)
    kept = page.evaluate("JSON.stringify({...localStorage}) + JSON.stringify({...sessionStorage})")
    assert "question-panel" not in kept


def test_a_reload_keeps_the_place_at_each_stage(student_page: Page):
    page = student_page
    start_drill(page)
    for stage, act in (("choosing", lambda: choose(page, 1)), ("reasoning", lambda: reason(page)), ("answered", None)):
        expect_stage(page, stage, 1)
        page.reload()
        expect_stage(page, stage, 1)
        expect_whole_page(page)
        if act is not None:
            act()
    assert Answer.objects.count() == 1


def test_after_the_tab_was_closed_the_drill_goes_on(student_page: Page, context: BrowserContext):
    start_drill(student_page)
    answer(student_page, 1)
    student_page.get_by_role("link", name="Go to question 2").click()
    expect_stage(student_page, "choosing", 2)
    choose(student_page, 2)
    expect_stage(student_page, "reasoning", 2)
    student_page.close()
    page = context.new_page()
    page.goto("/drills/")
    expect(page.locator("text=1 of 5 answered.")).to_be_visible()
    page.get_by_role("link", name="Mixed classes").click()
    expect_stage(page, "reasoning", 2)
    expect_whole_page(page)


def test_of_two_tabs_the_first_answer_counts(student_page: Page, context: BrowserContext):
    first, second = student_page, context.new_page()
    start_drill(first)
    second.goto(first.url)
    first.bring_to_front()
    label = first.locator(".choice-name").nth(3).text_content()
    choose(first, 3)
    expect_stage(first, "reasoning", 1)
    # A tab in the background draws slowly, and a click waits for the drawing.
    second.bring_to_front()
    choose(second, 0)
    expect_stage(second, "reasoning", 1)
    expect(second.locator(".chosen strong")).to_have_text(label)
    reason(second, 1)
    expect_stage(second, "answered", 1)
    first.bring_to_front()
    reason(first, 0)
    expect_stage(first, "answered", 1)
    assert list(Answer.objects.values_list("choice", "reason")) == [(3, 1)]
    verdict = first.locator(".outcome h2").inner_text()
    assert verdict == second.locator(".outcome h2").inner_text()


def test_when_the_session_has_ended_the_login_page_leads_back(student_page: Page, context: BrowserContext):
    page = student_page
    start_drill(page)
    place = page.url
    context.clear_cookies(name="sessionid")
    choose(page, 0)
    expect(page).to_have_url(re.compile(r"/accounts/login/\?next=/drills/"))
    expect_whole_page(page)
    log_in(page, "wenna")
    expect(page).to_have_url(place)
    expect_stage(page, "choosing", 1)


def test_after_a_login_in_another_tab_the_stale_form_says_what_to_do(
    student_page: Page, context: BrowserContext, complaints: list[str]
):
    page = student_page
    start_drill(page)
    other = context.new_page()
    other.goto("/drills/")
    other.get_by_role("button", name="Log out").click()
    other.goto("/accounts/login/")
    log_in(other, "wenna")
    expect(other.get_by_role("button", name="Log out")).to_be_visible()
    page.bring_to_front()
    choose(page, 0)
    expect(page.locator("#live-status")).to_contain_text("Reload the page")
    expect_stage(page, "choosing", 1)
    page.reload()
    choose(page, 0)
    expect_stage(page, "reasoning", 1)
    assert complaints and all("403" in complaint for complaint in complaints)
    complaints.clear()
