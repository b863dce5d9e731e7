"""Steps of practice that browser tests take: what is asked is read from the database, what is done goes through the page."""

import re
from typing import Any

from playwright.sync_api import Page, expect

from herbs.engine import AXES
from lessons.engine import responses
from quizzes.engine import learner as model
from quizzes.engine import reasons_for
from quizzes.engine.reading import true_signs
from quizzes.models import Learner, Question
from tests import people

QUESTION = re.compile(r"/drills/([0-9a-f-]{36})/(\d+)/(\?confusion=[a-z-]+)?$")
CERTAIN = 100
WHY = re.compile("^(You see this because|Why you see this is told with the answer)")
NEXT, STOP = "Go to the next question", "Stop here"


def question_on(page: Page) -> Question:
    """The question that a page shows, by its address and its heading."""
    expect(page).to_have_url(QUESTION)
    found = QUESTION.search(page.url)
    assert found is not None
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Question {found[2]}")
    asked: Question = Question.objects.for_panel().get(attempt__code=found[1], position=int(found[2]))
    return asked


def right_answer(content: dict[str, Any]) -> int:
    """The number of the right answer of an opened item that has one."""
    right = responses.right_response(content)
    assert right is not None
    return right


def choose_right(page: Page, content: dict[str, Any]) -> None:
    """Fill in the right answer of an opened item, whatever kind of answer it asks."""
    right = right_answer(content)
    kind = content["response"]
    if kind == "choose":
        page.locator("label.choice").nth(right).click()
    elif kind == "place":
        for name, value in zip(("temperature", "moisture"), responses.cell(right), strict=True):
            page.locator(f"input[name={name}][value='{value}']").check()
    else:
        order = responses.ORDERS[right]
        for number in range(len(order)):
            value = order[number] if kind == "match" else order.index(number) + 1
            page.locator(f"#option-{number}").select_option(str(value))


def answer_rightly(page: Page) -> Question:
    """Answer the question on the page rightly, pattern and reason included, as far as its explanation."""
    asked = question_on(page)
    content = asked.item.opened
    sentence, code, *about = asked.why
    expect(page.locator("p.why")).to_have_text(WHY)
    if code == "confusion":
        expect(page.locator("p.why")).not_to_contain_text(
            model.CONFUSIONS[about[0]].title
        )  # it would give the answer away
    if asked.asks_reading:
        for axis, sign in zip(AXES, true_signs(content), strict=True):
            page.locator(f"input[name={axis}][value='{sign}']").check()
        page.get_by_role("button", name="Lock the pattern").click()
        expect(page.get_by_text("You read the pattern as")).to_be_visible()
    choose_right(page, content)
    if asked.asks_confidence:
        page.get_by_label("How sure are you?").select_option(str(CERTAIN))
    page.get_by_role("button", name=re.compile("^Lock the ")).click()
    reasons = reasons_for(content, right_answer(content))
    decisive = [reason["status"] for reason in reasons].index("decisive")
    page.locator("label.choice").filter(has=page.locator(f"input[name=reason][value='{decisive}']")).click()
    page.get_by_role("button", name="Give the reason").click()
    expect(page.locator(".outcome h2")).to_have_text("You chose well, for the reason that decides")
    assert sentence.startswith("You see this because")
    expect(page.locator("p.why")).to_have_text(sentence)
    return asked


def go_on(page: Page, position: int) -> None:
    """Ask for the question after the one that was answered."""
    page.get_by_role("button", name=NEXT).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Question {position}")


def evidence(slug: str) -> model.Evidence:
    """What Wenna's answers say of a confusion so far."""
    row = Learner.objects.get(student=people.student())
    return model.evidence_from_json(row.confusions)[slug]


def right_answers_left(slug: str) -> int:
    """How many more times Wenna has to pass a confusion by until it is cleared."""
    record = {slug: evidence(slug)}
    left = 0
    while record[slug].is_shown:
        record = model.recorded(record, {slug}, set())
        left += 1
    return left
