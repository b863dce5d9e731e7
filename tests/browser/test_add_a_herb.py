"""A herb from nothing: with ten claims and a picture in at most ninety interactions, and at once in drills."""

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from herbs.models import Herb, Picture
from lessons.bank import question_maker
from lessons.engine import Constraints, NoValidItemError
from lessons.engine.families import best_fit
from tests.browser.steps import overflow
from tests.herbs import images

pytestmark = pytest.mark.browser
MOST = 90
PART = "inventa-demonstrans-leaf"


class Hands:
    """Does what somebody does with keyboard and mouse, and counts it: each field filled, click or choice is one."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def click(self, target: Locator) -> None:
        self.count += 1
        target.click()

    def fill(self, target: Locator, text: str) -> None:
        self.count += 1
        target.fill(text)
        target.press("Tab")

    def choose(self, target: Locator, label: str) -> None:
        self.count += 1
        target.select_option(label=label)

    def send(self, target: Locator, name: str, content: bytes) -> None:
        self.count += 1
        target.set_input_files({"name": name, "mimeType": "image/jpeg", "buffer": content})


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Any) -> None:
    """Pictures of their own."""
    settings.MEDIA_ROOT = tmp_path / "media"


def row(page: Page, predicate: str, number: int = 0) -> Locator:
    """An open row of the form by what it says."""
    option = page.locator(f"select[name$='-predicate'] option[value='{predicate}'][selected]")
    return page.locator("li.claim-open", has=option).nth(number)


def described(hands: Hands) -> None:
    """Fill in the plant, the part and ten claims."""
    page = hands.page
    hands.fill(page.get_by_label("Latin name", exact=True), "Inventa demonstrans")
    hands.fill(page.get_by_label("Family", exact=True), "Inventaceae")
    hands.choose(page.get_by_label("Habit of growth", exact=True), "mint")
    hands.fill(page.get_by_label("English name", exact=True), "demo wort")
    hands.fill(page.get_by_label("Part used", exact=True), "leaf")
    hands.choose(page.get_by_label("Usually taken as", exact=True), "infusion")
    for number, degree in enumerate(("−3", "−2", "+2", "−2")):
        hands.choose(row(page, "degree", number).get_by_label("Degree", exact=True), degree)
        expect(row(page, "degree", number).locator(".claim-says")).to_contain_text("Reads: ")
    action = row(page, "action")
    hands.choose(action.get_by_label("Action", exact=True), "expectorant")
    hands.choose(action.get_by_label("Strength", exact=True), "3, leading")
    hands.choose(action.get_by_label("Place", exact=True), "airways")
    affinity = row(page, "affinity")
    hands.choose(affinity.get_by_label("Place", exact=True), "airways")
    hands.choose(affinity.get_by_label("Strength", exact=True), "3, leading")
    caution = row(page, "caution")
    hands.choose(caution.get_by_label("For whom", exact=True), "pregnancy")
    hands.choose(caution.get_by_label("Level", exact=True), "monitor")
    hands.choose(caution.get_by_label("Reason", exact=True), "there are no data")
    hands.choose(row(page, "preparation").get_by_label("Preparation", exact=True), "infusion")
    for adding, label, word in (("Taste", "Taste", "bitter"), ("Constituent", "Constituent", "tannin")):
        hands.choose(page.get_by_label("Add a claim", exact=True), adding)
        hands.click(page.get_by_role("button", name="Add a claim to"))
        field = row(page, adding.lower()).get_by_label(label, exact=True)
        expect(field).to_be_focused()
        hands.choose(field, word)
        expect(row(page, adding.lower()).locator(".claim-says")).to_contain_text(f"Reads: {word}.")


def test_a_herb_with_ten_claims_and_a_picture_is_in_drills_at_once(owner_page: Page):
    page, hands = owner_page, Hands(owner_page)
    page.goto("/materia-medica/")
    hands.click(page.get_by_role("link", name="Add a herb"))
    described(hands)
    hands.click(page.get_by_role("button", name="Save", exact=True))
    expect(page).to_have_url(re.compile(r"/materia-medica/inventa-demonstrans/$"))
    expect(page.get_by_text("Inventa demonstrans is saved.")).to_be_visible()
    hands.click(page.get_by_role("link", name="Pictures"))
    hands.send(page.locator("input[type=file]"), "leaf.jpg", images.photograph())
    hands.choose(page.get_by_label("What it shows*", exact=True), "Leaf")
    hands.fill(page.get_by_label("In words*", exact=True), "Toothed leaf with a grey bloom")
    hands.fill(page.get_by_label("Credit*", exact=True), "Hester Nance (invented)")
    hands.choose(page.get_by_label("Licence*", exact=True), "CC BY 4.0")
    hands.click(page.get_by_role("button", name="Add the picture"))
    expect(page.get_by_text("is added.")).to_be_visible()
    hands.click(page.get_by_role("link", name="To the monograph"))
    plate = page.get_by_role("img", name="Toothed leaf with a grey bloom")
    expect(plate).to_be_visible()
    assert plate.evaluate("image => image.complete && image.naturalWidth > 0")
    assert hands.count <= MOST, f"{hands.count} interactions"
    print(f"{hands.count} interactions")

    herb = Herb.objects.get(slug="inventa-demonstrans")
    assert herb.parts.get().claims.count() == 10
    assert Picture.objects.get().part.slug == PART
    page.goto("/classes/expectorant/")
    expect(page.get_by_role("link", name="demo wort leaf")).to_be_visible()
    assert any(PART in stands_in(seed) for seed in range(400)), "no question offers the new herb"


def stands_in(seed: int) -> set[str]:
    """The parts that a generated question about expectorants offers."""
    try:
        item = question_maker().make(best_fit.NAME, seed, Constraints("expectorant"))
    except NoValidItemError:
        return set()
    return {option["part"] for option in item["options"]}


def test_another_predicate_brings_its_fields_and_a_wrong_figure_is_told_at_once(owner_page: Page):
    page = owner_page
    page.goto("/materia-medica/add/")
    preparation = row(page, "preparation")
    preparation.get_by_label("Preparation", exact=True).select_option(label="infusion")
    preparation.get_by_text("Making and dose").click()
    preparation.get_by_label("Ratio", exact=True).fill("one to five")
    preparation.get_by_label("Ratio", exact=True).press("Tab")
    expect(preparation.get_by_text("Write the ratio as 1:5, herb to menstruum.")).to_be_visible()
    expect(preparation.get_by_label("Dose from", exact=True)).to_be_focused()
    preparation.get_by_label("Ratio", exact=True).fill("1:5")
    preparation.get_by_label("Ratio", exact=True).press("Tab")
    expect(preparation.get_by_text("Write the ratio as 1:5, herb to menstruum.")).to_have_count(0)
    preparation.get_by_label("What is said", exact=True).focus()
    preparation.get_by_label("What is said", exact=True).select_option(label="Harvest")
    harvest = row(page, "harvest")
    expect(harvest.get_by_label("Age of the plant, years", exact=True)).to_be_visible()
    expect(harvest.get_by_label("Ratio", exact=True)).to_have_count(0)
    expect(harvest.get_by_label("What is said", exact=True)).to_be_focused()


def test_rows_are_removed_and_put_back_by_keyboard_alone(owner_page: Page):
    page = owner_page
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/materia-medica/zingiber-officinale/edit/")
    # Three sources say so; the row of the first of them.
    taste = page.locator("li.claim", has=page.get_by_role("button", name=re.compile(r"^Edit\s*: Taste pungent"))).first
    taste = page.locator(f"#{taste.get_attribute('id')}")
    taste.get_by_role("button", name="Remove").focus()
    for button in ("Put back", "Edit"):
        page.keyboard.press("Enter")
        expect(taste.get_by_role("button", name=button)).to_be_focused()
    page.keyboard.press("Enter")
    expect(taste.get_by_label("Taste", exact=True)).to_have_value("pungent")
    assert overflow(page) <= 0
    page.get_by_role("button", name="See what would change").last.click()
    expect(page.get_by_text("Nothing differs.")).to_be_visible()
