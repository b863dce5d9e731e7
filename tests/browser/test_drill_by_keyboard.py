"""A whole drill with the keyboard alone, from the login page to the results."""

import re

import pytest
from playwright.sync_api import Page, expect

from quizzes.models import Answer, Attempt
from tests import people
from tests.browser.steps import expect_stage, tab_to

pytestmark = pytest.mark.browser


def test_a_drill_from_login_to_results(page: Page):
    people.student()
    page.goto("/drills/")
    expect(page).to_have_url(re.compile(r"/accounts/login/\?next=/drills/$"))
    tab_to(page, page.locator("#id_login"), limit=20)
    page.keyboard.type("wenna")
    tab_to(page, page.locator("#id_password"), limit=1)
    page.keyboard.type(people.PASSWORD)
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/drills/$"))

    tab_to(page, page.get_by_label("Action class"))
    page.keyboard.press("ArrowDown")
    tab_to(page, page.get_by_role("button", name="Start the drill"))
    page.keyboard.press("Enter")
    for number in range(1, 6):
        expect_stage(page, "choosing", number)
        page.keyboard.press("2")
        page.keyboard.press("Enter")
        expect_stage(page, "reasoning", number)
        expect(page.get_by_role("heading", level=1)).to_be_focused()
        page.keyboard.press("3")
        page.keyboard.press("1")
        page.keyboard.press("Enter")
        expect_stage(page, "answered", number)
        expect(page.locator(".outcome h2")).to_be_focused()
        onward = "See the results" if number == 5 else f"Go to question {number + 1}"
        tab_to(page, page.get_by_role("link", name=onward))
        page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/results/$"))
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("your results$"))

    drill = Attempt.objects.get()
    assert (drill.state, drill.length) == ("finished", 5)
    assert drill.action != ""
    assert set(Answer.objects.values_list("choice", "reason")) == {(1, 0)}
    expect(page.locator("p.lead")).to_contain_text("over 5 of 5 questions")


def test_the_first_stop_leads_past_the_menu(student_page: Page):
    student_page.goto("/drills/")
    student_page.keyboard.press("Tab")
    expect(student_page.get_by_role("link", name="Skip to the text")).to_be_focused()
    student_page.keyboard.press("Enter")
    expect(student_page.locator("main#content")).to_be_focused()


def test_the_arrow_keys_move_between_the_options(student_page: Page):
    student_page.goto("/drills/")
    student_page.get_by_role("button", name="Start the drill").click()
    expect_stage(student_page, "choosing", 1)
    tab_to(student_page, student_page.locator("input[name=choice]").first)
    student_page.keyboard.press("ArrowDown")
    student_page.keyboard.press("ArrowDown")
    expect(student_page.locator("input[name=choice]").nth(2)).to_be_checked()
    student_page.keyboard.press("Enter")
    expect_stage(student_page, "reasoning", 1)
    assert Answer.objects.get().choice == 2


def test_locking_without_a_choice_is_stopped_by_the_form(student_page: Page):
    student_page.goto("/drills/")
    student_page.get_by_role("button", name="Start the drill").click()
    tab_to(student_page, student_page.get_by_role("button", name="Lock the choice"))
    student_page.keyboard.press("Enter")
    assert student_page.locator("input[name=choice]").first.evaluate("radio => radio.matches(':invalid')")
    expect_stage(student_page, "choosing", 1)
    assert not Answer.objects.exists()
