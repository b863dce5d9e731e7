"""Before an answer nothing that a student receives depends on what the student must not know.

The strongest test changes every secret of the stored items and finds each response unchanged to the byte. Others search
the responses for the secrets themselves.
"""

import copy
import html
import re

import pytest
from django.http import HttpResponse
from django.urls import reverse

from herbs.models import Source
from quizzes.engine import OUTCOMES
from quizzes.engine.feedback import FAULT_WORDS, VERDICTS
from tests import factories, people
from tests.factories import HTMX, address

pytestmark = pytest.mark.django_db
# Fresh for each response, and of one length.
TOKENS = re.compile(r'(csrfmiddlewaretoken" value=|X-CSRFToken": )"\w{64}"|name="code"[^>]*value="[^"]*"')
CHANGING_HEADERS = {"Expires"}


@pytest.fixture
def client(db):
    """Wenna's browser."""
    return people.client_of(people.student())


@pytest.fixture
def drill(db):
    """Wenna's drill."""
    return factories.attempt(people.student(), length=3)


def received(response: HttpResponse) -> tuple[object, ...]:
    """Everything that reaches the browser, but for what is random by design."""
    headers = {name: value for name, value in response.headers.items() if name not in CHANGING_HEADERS}
    cookies = {name: morsel["path"] for name, morsel in response.cookies.items()}
    return response.status_code, headers, cookies, TOKENS.sub("", response.content.decode())


def with_other_secrets(content: dict, *, reasons_shown_for: int | None = None) -> dict:
    """The item with another key, other verdicts, faults, figures, reasons and seed; what may be seen stays.

    ``reasons_shown_for`` is the option chosen: the text of its reasons may be seen by then, their status not.
    """
    item = copy.deepcopy(content)
    options, key = item["options"], content["key"]
    reasons = item["because"]
    others = [n for n in range(len(options)) if n != key]
    open_keys = [n for n in others if options[n]["verdict"] != "unsafe"] or others
    other = reasons_shown_for if reasons_shown_for in open_keys else open_keys[0]
    for number, rows in enumerate(reasons):
        statuses = [row["status"] for row in rows]
        for row, status in zip(rows, statuses[1:] + statuses[:1], strict=True):
            row["status"] = status
            if number != reasons_shown_for:
                row["text"] = f"Another reason of {number}."
    for number, option in enumerate(options):
        if option["verdict"] != "unsafe" or number == other:
            option["verdict"] = "suits" if number == other else "aggravates"
        option["fault"] = None if number == other else "too strong"
        option |= {"effects": [4.0] * 4, "raw": [-1.0] * 4, "fit": {"low": 0.11, "high": 0.99}, "form": "tincture"}
        option["parts"] = dict.fromkeys(option["parts"], 0.5)
    item["presentation"] |= {
        "severity": 9,
        "pattern_name": "another",
        "person": [],
        "person_names": [],
        "constitution": {},
    }
    for axis in item["presentation"]["pattern"].values():
        axis["degree"] = -axis["degree"]
    for finding in item["presentation"]["findings"]:
        finding["evidence"] = {axis: -weight for axis, weight in finding["evidence"].items()}
    return item | {
        "key": other,
        "because": reasons,
        "seed": content["seed"] + 1,
        "recipe": {},
        "certificate": {},
        "sources": {},
    }


def change_secrets(question, **options) -> None:
    """Store the item of a question with other secrets."""
    changed = with_other_secrets(question.item.opened, **options)
    assert changed["key"] != question.item.opened["key"]
    factories.store(question, changed)


def pages_before_the_answer(client, drill) -> list[HttpResponse]:
    """Every response about a drill that can be had before its first question is answered."""
    asked = factories.question(drill)
    return [
        client.get(reverse("quizzes:drill-list")),
        client.get(reverse("quizzes:attempt-detail", args=[drill.code])),
        client.get(reverse("quizzes:attempt-results", args=[drill.code])),
        client.get(address(asked)),
        client.get(address(asked), headers=HTMX),
        client.post(address(asked, "choice")),
        client.get(address(asked)),
        client.post(address(asked, "choice"), {"choice": "9"}, headers=HTMX),
        client.post(address(asked, "reason"), {"reason": "0"}, headers=HTMX),
        client.get(address(factories.question(drill, 2))),
    ]


def test_before_the_choice_no_response_depends_on_a_secret(client, drill):
    before = [received(response) for response in pages_before_the_answer(client, drill)]
    for position in (1, 2, 3):
        change_secrets(factories.question(drill, position))
    after = [received(response) for response in pages_before_the_answer(client, drill)]
    assert after == before


@pytest.mark.parametrize("after", range(4), ids=["right choice", "wrong choice", "another", "a third"])
@pytest.mark.parametrize("headers", [HTMX, {}], ids=["htmx", "plain"])
def test_between_choice_and_reason_no_response_tells_whether_the_choice_was_right(client, drill, after, headers):
    asked = factories.question(drill)
    choice = factories.wrong_choice_of(asked, after=after)
    places = [address(asked), reverse("quizzes:attempt-results", args=[drill.code]), reverse("quizzes:drill-list")]

    def look() -> list[tuple[object, ...]]:
        found = [client.post(address(asked, "choice"), {"choice": choice}, headers=headers)]
        found += [client.get(place, headers=headers) for place in places]
        found.append(client.post(address(asked, "reason"), {"reason": "99"}, headers=HTMX))
        return [received(response) for response in found]

    before = look()
    change_secrets(asked, reasons_shown_for=choice)
    assert look() == before


def test_the_results_of_an_unfinished_drill_depend_on_no_secret_of_what_is_not_answered(client, drill):
    first, second, third = (factories.question(drill, position) for position in (1, 2, 3))
    factories.answered(first, factories.wrong_choice_of(first), decisive=False)
    choice = factories.locked(second, factories.wrong_choice_of(second)).choice
    place = reverse("quizzes:attempt-results", args=[drill.code])
    before = received(client.get(place))
    change_secrets(second, reasons_shown_for=choice)
    change_secrets(third)
    assert received(client.get(place)) == before


def secrets_of(content: dict, content_hash: str) -> list[str]:
    """Texts of an item that no page may show before the answer."""
    reasons = [reason for rows in content["because"] for reason in rows]
    sentences = {text.split("{")[0].split(":")[0] for text in FAULT_WORDS.values()}
    return [
        str(content["seed"]), content_hash, *(option["fault"] for option in content["options"] if option["fault"]),
        *(reason["text"] for reason in reasons), *sentences, *OUTCOMES, *(set(VERDICTS.values()) - {"Suits"}),
        "certificate", "effects", "verdict", "decisive", "misconception", "evidence", "pattern_name",
        *Source.objects.filter(slug__in={slug for slugs in content["sources"].values() for slug in slugs}).values_list(
            "citation", flat=True
        ),
    ]  # fmt: skip


def without_open_text(text: str, content: dict) -> str:
    """A response without the case and the options themselves, which may use any word."""
    shown = [
        content["vignette"],
        content["stem"],
        *(finding["text"] for finding in content["presentation"]["findings"]),
    ]
    shown += [option[name] for option in content["options"] for name in ("label", "latin")]
    for words in sorted(shown, key=len, reverse=True):
        text = text.replace(words, "").replace(words[:1].upper() + words[1:], "")
    return text


def assert_nothing_told(response: HttpResponse, content: dict, secrets: list[str]) -> None:
    """No secret stands in the body, the headers or the cookies."""
    text = without_open_text(html.unescape(response.content.decode()), content)
    text += repr(response.headers) + repr(response.cookies)
    assert not [secret for secret in secrets if secret in text], response.request["PATH_INFO"]


def test_before_the_choice_no_secret_is_written_anywhere(client, drill):
    asked = factories.question(drill)
    content = asked.item.opened
    secrets = secrets_of(content, asked.item.content_hash)
    for response in pages_before_the_answer(client, drill)[:-1]:
        assert_nothing_told(response, content, secrets)


def test_starting_a_drill_tells_no_secret(client):
    page = client.get(reverse("quizzes:drill-list")).content.decode()
    code = re.search(r'name="code"[^>]*value="([^"]*)"', page).group(1)
    sent = {"action": "mixed", "length": 5, "code": code}
    response = client.post(reverse("quizzes:attempt-start"), sent)
    asked = factories.question(people.student().attempts.get())
    assert_nothing_told(response, asked.item.opened, secrets_of(asked.item.opened, asked.item.content_hash))
    assert set(response.headers) <= {
        "Content-Type", "Location", "Content-Length", "Vary", "X-Frame-Options", "X-Content-Type-Options", "Referrer-Policy",
        "Cross-Origin-Opener-Policy", "Content-Security-Policy", "Cache-Control", "Expires",
    }  # fmt: skip


@pytest.mark.parametrize("after", range(4))
def test_between_choice_and_reason_the_reasons_stand_without_their_status(client, drill, after):
    asked = factories.question(drill)
    content, choice = asked.item.opened, factories.wrong_choice_of(asked, after=after)
    reasons = [reason["text"] for reason in factories.reasons_for(content, choice)]
    secrets = [secret for secret in secrets_of(content, asked.item.content_hash) if secret not in reasons]
    for headers in (HTMX, {}):
        response = client.post(address(asked, "choice"), {"choice": choice}, headers=headers)
        if not headers:
            response = client.get(address(asked))
        page = html.unescape(response.content.decode())
        assert all(reason in page for reason in reasons)
        for reason in reasons:
            page = page.replace(reason, "")
        assert not [secret for secret in secrets if secret in without_open_text(page, content)]
        attributes = re.findall(r'<input type="radio" name="reason" ([^>]*)>', page)
        assert attributes == [f'value="{number}" required' for number in range(len(reasons))]


def test_the_options_differ_in_nothing_but_their_names(client, drill):
    asked = factories.question(drill)
    page = client.get(address(asked)).content.decode()
    attributes = re.findall(r'<input type="radio" name="choice" ([^>]*)>', page)
    assert attributes == [f'value="{number}" required' for number in range(4)]
    marks = {mark for option in asked.item.opened["options"] for mark in option["marks"]}
    rows = re.findall(r'<label class="choice">.*?</label>', page, re.DOTALL)
    bare = {re.sub(r">[^<>]*<|value=\"\d\"|<span class=\"choice-part\">", "><", row) for row in rows}
    assert len(rows) == 4
    assert marks or len(bare) == 1


def test_neither_class_nor_monograph_marks_what_is_asked(client, maker):
    slug = maker.materia_medica.class_actions[0].slug
    drill = factories.attempt(people.student(), length=2, action=slug)
    content = factories.question(drill).item.opened
    herbs = {"-".join(option["latin"].lower().replace("×", "x").split()) for option in content["options"]}
    places = [reverse("herbs:class-detail", args=[slug]), reverse("herbs:class-index"), reverse("herbs:herb-index")]
    places += [reverse("herbs:herb-detail", args=[herb]) for herb in sorted(herbs)]
    stranger = people.client_of(people.person("neutral", "Wenna Thorpe", "student"))

    def look(browser) -> list[tuple[object, ...]]:
        return [received(browser.get(place)) for place in places]

    unasked = look(stranger)
    assert look(client) == unasked, "The pages of a student with an open drill differ from those of one without."
    factories.locked(factories.question(drill))
    assert look(client) == unasked
