"""A drill on a phone: everything fits, and everything can be hit with a thumb."""

import re

import pytest
from playwright.sync_api import Page, expect

from quizzes.models import Attempt
from tests.browser.steps import expect_stage, overflow

PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True}
pytestmark = [pytest.mark.browser, pytest.mark.browser_context_args(**PHONE)]
# Least heights in CSS pixels. WCAG 2.2 asks 24 at level AA (2.5.8) and 44 at level AAA (2.5.5): the choices keep the latter.
LEAST = {"label.choice": 44, "main .btn": 40}
NARROWEST = 320  # CSS pixels, as success criterion 1.4.10 (reflow) asks


def expect_to_fit(page: Page) -> None:
    """No sideways scrolling, and choices and buttons of a thumb's height."""
    assert overflow(page) <= 0, f"{page.url} is {overflow(page)} px wider than the phone"
    for selector, least in LEAST.items():
        for box in [element.bounding_box() for element in page.locator(selector).all()]:
            assert box["height"] >= least, f"{selector} on {page.url} is {box['height']:.0f} px high"
            assert box["x"] >= 0 and box["x"] + box["width"] <= page.viewport_size["width"], (
                f"{selector} leaves the screen"
            )


def test_a_drill_with_the_thumb(student_page: Page):
    page = student_page
    page.goto("/drills/")
    expect_to_fit(page)
    page.get_by_role("button", name="Start the drill").tap()
    for number in range(1, 6):
        expect_stage(page, "choosing", number)
        expect_to_fit(page)
        page.locator("label.choice").nth(number % 4).tap()
        page.get_by_role("button", name="Lock the choice").tap()
        expect_stage(page, "reasoning", number)
        expect_to_fit(page)
        page.locator("label.choice").first.tap()
        page.get_by_role("button", name="Give the reason").tap()
        expect_stage(page, "answered", number)
        expect_to_fit(page)
        page.get_by_role("link", name="See the results" if number == 5 else f"Go to question {number + 1}").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("your results$"))
    expect_to_fit(page)
    assert Attempt.objects.get().state == "finished"


def test_after_each_step_the_start_of_the_panel_is_in_view(student_page: Page):
    page = student_page
    page.goto("/drills/")
    page.get_by_role("button", name="Start the drill").tap()
    page.locator("label.choice").last.tap()
    page.get_by_role("button", name="Lock the choice").tap()
    expect_stage(page, "reasoning", 1)
    expect(page.locator("[data-focus]")).to_be_in_viewport()
    page.locator("label.choice").last.tap()
    page.get_by_role("button", name="Give the reason").tap()
    expect_stage(page, "answered", 1)
    expect(page.locator("[data-focus]")).to_be_in_viewport()


def test_the_text_can_be_enlarged(student_page: Page):
    student_page.goto("/drills/")
    content = student_page.locator("meta[name=viewport]").get_attribute("content")
    assert "user-scalable" not in content
    assert "maximum-scale" not in content


def test_even_on_the_narrowest_phone_nothing_scrolls_sideways(student_page: Page):
    student_page.set_viewport_size({"width": NARROWEST, "height": 640})
    for place in ("/", "/cautions/", "/drills/", "/materia-medica/", "/classes/"):
        student_page.goto(place)
        assert overflow(student_page) <= 0, place
        links = student_page.locator("header.site-head a, header.site-head button:visible").all()
        assert links
        for link in links:
            box = link.bounding_box()
            assert box["x"] >= 0 and box["x"] + box["width"] <= NARROWEST, f"{link.inner_text()} on {place}"
