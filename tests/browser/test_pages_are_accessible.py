"""Every page through axe-core, narrow and wide, by day and by night, with nothing red in the console."""

from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import BrowserContext, Page

from tests import factories, people
from tests.browser.steps import expect_whole_page, overflow

pytestmark = pytest.mark.browser
AXE = Path(settings.BASE_DIR, "static", "vendor", "axe", "axe.min.js")
WIDTHS = (390, 1280)
SCHEMES = ("light", "dark")


def violations(page: Page) -> list[str]:
    """What axe finds wrong, one line for each rule."""
    found: dict[str, Any] = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{violation['id']} ({violation['impact']}): {'; '.join(node['html'][:120] for node in violation['nodes'][:3])}"
        for violation in found["violations"]
    ]


def inspect(page: Page, place: str, complaints: list[str]) -> list[str]:
    """Everything wrong with one page at one width, in both schemes. Clears what the console said."""
    page.goto(place)
    page.evaluate("document.fonts.ready.then(() => true)")
    expect_whole_page(page)
    missing = place == "/nothing-here/"
    # axe loads style sheets in a way that the policy blocks, so the console is read before axe runs.
    wrong = [] if missing else list(complaints)
    if overflow(page) > 0:
        wrong.append(f"scrolls sideways by {overflow(page)} px")
    page.evaluate(AXE.read_text())
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        wrong += [f"{scheme}: {found}" for found in violations(page)]
    complaints.clear()
    return wrong


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page(instructor_page: Page, complaints: list[str], width: int):
    page = instructor_page
    page.set_viewport_size({"width": width, "height": 844})
    places = factories.page_addresses(factories.drill_at_every_stage(people.instructor()))
    wrong = {name: found for name, place in places.items() if (found := inspect(page, place, complaints))}
    told = "\n".join(f"{name}: {fault}" for name, faults in wrong.items() for fault in faults)
    assert not wrong, told


def test_the_login_page_also_when_it_refuses(context: BrowserContext, complaints: list[str]):
    page = context.new_page()
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        assert inspect(page, "/log-in/?next=/drills/", complaints) == []
        page.get_by_label("Username").fill("nobody")
        page.get_by_label("Password").fill("not this")
        page.get_by_role("button", name="Log in").click()
        page.get_by_text("do not belong together").wait_for()
        assert complaints == []
        page.evaluate(AXE.read_text())
        assert violations(page) == []
        complaints.clear()


def test_the_two_schemes_differ_and_the_switch_is_remembered(student_page: Page):
    page = student_page
    colour = "getComputedStyle(document.body).backgroundColor"
    page.emulate_media(color_scheme="light")
    page.goto("/drills/")
    day = page.evaluate(colour)
    page.emulate_media(color_scheme="dark")
    night = page.evaluate(colour)
    assert day != night
    page.get_by_role("button", name="Day page").click()
    assert page.evaluate(colour) == day
    page.reload()
    assert page.evaluate(colour) == day
    page.get_by_role("button", name="Night page").click()
    assert page.evaluate(colour) == night


def test_axe_is_awake(student_page: Page, complaints: list[str]):
    """A page with known faults is found faulty, so that no violation means something."""
    student_page.goto("/cautions/")
    student_page.evaluate(AXE.read_text())
    student_page.evaluate(
        "document.querySelector('h1').insertAdjacentHTML('afterend', '<img src=\"/static/img/mark.svg\"><input>')"
    )
    assert {line.split()[0] for line in violations(student_page)} >= {"image-alt", "label"}
    complaints.clear()
