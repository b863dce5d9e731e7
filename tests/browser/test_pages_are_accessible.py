"""Every page through axe-core, narrow and wide, by day and by night, with nothing red in the console."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import BrowserContext, Page, expect

from tests import account_pages, factories, people
from tests.browser.steps import expect_whole_page, log_in, overflow

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


def inspect_all(page: Page, places: dict[str, str], complaints: list[str]) -> None:
    """Fail with everything that is wrong with any of the pages."""
    wrong = {name: found for name, place in places.items() if (found := inspect(page, place, complaints))}
    assert not wrong, "\n".join(f"{name}: {fault}" for name, faults in wrong.items() for fault in faults)


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page(owner_page: Page, complaints: list[str], width: int):
    people.student()  # so that there are members whose roles can be changed
    owner_page.set_viewport_size({"width": width, "height": 844})
    drill = factories.drill_at_every_stage(people.owner())
    inspect_all(owner_page, factories.page_addresses(drill), complaints)


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_of_log_in(context: BrowserContext, complaints: list[str], width: int):
    page = context.new_page()
    page.set_viewport_size({"width": width, "height": 844})
    inspect_all(page, account_pages.addresses_before_log_in(people.student()), complaints)


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_of_ones_own_log_in(student_page: Page, complaints: list[str], width: int):
    page = student_page
    page.set_viewport_size({"width": width, "height": 844})
    page.goto("/accounts/reauthenticate/")
    page.locator("#id_password").fill(people.PASSWORD)
    page.locator("main form button.btn-primary").click()
    expect(page).to_have_url(re.compile(r"/$"))
    inspect_all(page, account_pages.addresses_without_second_factor(), complaints)
    account_pages.enrol(people.student())
    inspect_all(page, account_pages.addresses_with_second_factor(), complaints)


def test_the_login_page_also_when_it_refuses(context: BrowserContext, complaints: list[str]):
    page = context.new_page()
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        page.goto("/accounts/login/?next=/drills/")
        log_in(page, "nobody", "not this")
        page.get_by_text("you specified are not correct").wait_for()
        assert complaints == []
        page.evaluate(AXE.read_text())
        assert violations(page) == []
        complaints.clear()


def test_the_page_that_asks_for_the_code(context: BrowserContext, complaints: list[str]):
    account_pages.enrol(people.student())
    page = context.new_page()
    page.goto("/accounts/login/")
    log_in(page, "wenna")
    expect(page).to_have_url(re.compile(r"/accounts/2fa/authenticate/"))
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        assert inspect(page, "/accounts/2fa/authenticate/", complaints) == []
    page.locator("#id_code").fill(account_pages.code_of())
    page.locator("main form button.btn-primary").click()
    expect(page.get_by_role("button", name="Log out")).to_be_visible()


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
