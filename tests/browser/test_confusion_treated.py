"""A confusion from its evidence to its end: found, practised against in a browser, and shown as cleared."""

import re
from itertools import count, islice

import pytest
from playwright.sync_api import Page, expect

from lessons.bank import question_maker
from lessons.models import Item
from lessons.services import freeze_items
from quizzes import practice, services
from quizzes.engine import learner as model
from quizzes.engine.reading import true_signs
from quizzes.models import Attempt, FoundConfusion
from tests import factories, people
from tests.browser.practising import CERTAIN, STOP, answer_rightly, evidence, go_on, right_answer, right_answers_left
from tests.browser.steps import log_in
from tests.quizzes.graded import ALL_FOUR, set_weights
from tests.quizzes.test_learning import planted, take

pytestmark = pytest.mark.browser
SLUG = "wrong-temperature"
TAKEN = 4  # as few as can be told
FIRST_SESSION = 5  # questions at least, and until a pattern was asked
LAST_OFFERS = 3  # of the right answers that clear it, those given in the browser
AT_MOST = 60  # questions: every second one should offer it
OFFERING = 30  # approved cases that offer the confusion, more than it takes to clear it
# Beside them so many others that practice draws on the bank alone: cases, and other kinds of answer.
BESIDE = {"would-aggravate": 60, "order-by-fit": 4, "kinds": 4, "place-on-the-plane": 4}


@pytest.fixture
def confusion() -> model.Confusion:
    """Wenna's: she took it every time it was offered."""
    student = people.student()
    drill = planted(SLUG, TAKEN, student)
    for question in drill.questions.for_panel():
        take(question, SLUG)
    assert FoundConfusion.objects.get(student=student).confusion == SLUG
    set_weights(ALL_FOUR)  # from now on every case asks for its pattern, and every question how sure one is
    maker = question_maker()
    made = (maker.make("best-fit", seed) for seed in count(1000))
    items = list(islice((item for item in made if SLUG in model.events(item, item["key"], None)[0]), OFFERING))
    items += [maker.make(family, seed) for family, many in BESIDE.items() for seed in range(many)]
    freeze_items(contents=items, review=Item.Review.APPROVED)
    return model.CONFUSIONS[SLUG]


def begin(page: Page, confusion: model.Confusion, taken: int, offered: int) -> None:
    """Find the confusion on *Next work* with its evidence, and begin to practise it."""
    page.goto("/drills/next/")
    entry = page.locator("li.entry").filter(has=page.get_by_role("heading", name=confusion.title))
    expect(entry).to_have_count(1)
    expect(entry).to_contain_text(confusion.sentence)
    expect(entry).to_contain_text(f"You did so {taken} of the {offered} times it was offered.")
    expect(entry).to_contain_text(confusion.advice)
    entry.get_by_role("button", name=re.compile(rf"^Practise this ?: {confusion.title}$")).click()
    expect(page).to_have_url(re.compile(rf"/1/\?confusion={SLUG}$"))


def by_services(session: Attempt, position: int) -> None:
    """Answer a question of a session rightly, as its page asks, without the page."""
    asked = factories.question(session, position)
    content = asked.item.opened
    if asked.asks_reading:
        services.record_reading(question=asked, signs=true_signs(content))
    right = right_answer(content)
    services.record_choice(question=asked, choice=right, confidence=CERTAIN)
    services.record_reason(question=asked, reason=factories.reason_of(asked, right))


def answer_by_services(session: Attempt, position: int) -> int:
    """Answer what is asked, from a place on, until only the last right answers are missing; the place reached, not answered."""
    while right_answers_left(SLUG) > LAST_OFFERS:
        assert position < AT_MOST, f"{position} questions asked, and the confusion offered too rarely among them"
        by_services(session, position)
        position += 1
        practice.next_question(attempt=session, position=position, focus=SLUG)
    return position


def test_a_confusion_is_found_practised_and_cleared(page: Page, confusion: model.Confusion):
    page.goto("/drills/next/")
    log_in(page, "wenna")
    begin(page, confusion, TAKEN, TAKEN)
    asked, position = [answer_rightly(page)], 1
    while len(asked) < FIRST_SESSION or not any(question.asks_reading for question in asked):
        position += 1
        go_on(page, position)
        asked.append(answer_rightly(page))
    page.get_by_role("button", name=STOP).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Practice: your results")
    expect(page.locator("p.lead")).to_contain_text(
        f"1000 of 1000 on average over {len(asked)} of {len(asked)} questions"
    )
    page.get_by_role("link", name="Go to next work").click()
    expect(page.get_by_role("button", name="Practise now")).to_be_visible()

    so_far = evidence(SLUG)
    begin(page, confusion, TAKEN, so_far.times_offered)
    session = Attempt.objects.get(kind=Attempt.Kind.PRACTICE, state=Attempt.State.OPEN)
    position = answer_by_services(session, 1)
    page.goto("/drills/next/")
    page.get_by_role("link", name="Go on with your session").click()
    while True:
        asked.append(answer_rightly(page))
        if not evidence(SLUG).is_shown:
            break
        assert position < AT_MOST
        position += 1
        go_on(page, position)
    for question in asked:
        if question.why[1] == "confusion":
            assert confusion.title in question.why[0]
            assert SLUG in model.events(question.item.opened, 0, None)[0]
    assert any(question.why[1] == "confusion" for question in asked)

    page.goto("/drills/standing/")
    cleared = page.locator("li.entry").filter(has_text=re.compile(confusion.title, re.IGNORECASE))
    expect(cleared).to_have_text(re.compile(r"found on .+, cleared on "))
    expect(page.get_by_role("heading", name="Cleared")).to_be_visible()
    expect(page.get_by_role("button", name="Practise this")).to_have_count(0)
    page.goto("/drills/next/")
    expect(page.get_by_role("heading", name="Confusions to see through")).to_have_count(0)
    assert FoundConfusion.objects.get(student=people.student()).cleared_at is not None
    last = evidence(SLUG)
    assert (last.times_taken, last.is_shown) == (TAKEN, False)
    assert len(asked) >= FIRST_SESSION + LAST_OFFERS
