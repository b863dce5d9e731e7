"""Pages and fragments of one view: who gets which, what caches may do, and what happens when the session is gone."""

import json
import re

import pytest
from django.conf import settings
from django.urls import reverse

from tests import factories, people
from tests.factories import HTMX, address

pytestmark = pytest.mark.django_db
STAGES = pytest.mark.parametrize("stage", ["choosing", "reasoning", "answered"])
PAGE_REQUESTS = {
    "plain": {},
    "boosted": HTMX | {"HX-Boosted": "true"},
    "history": HTMX | {"HX-History-Restore-Request": "true"},
}


@pytest.fixture
def client(db):
    """Wenna's browser."""
    return people.client_of(people.student())


@pytest.fixture
def asked(db):
    """The first question of Wenna's drill."""
    return factories.question(factories.attempt(people.student()))


def bring_to(asked, stage):
    """Answer as far as a stage."""
    if stage == "reasoning":
        factories.locked(asked)
    elif stage == "answered":
        factories.answered(asked)


@STAGES
def test_htmx_gets_the_panel_alone(client, asked, stage):
    bring_to(asked, stage)
    text = client.get(address(asked), headers=HTMX).content.decode().strip()
    assert text.startswith('<article id="question-panel"')
    assert text.endswith("</article>")
    assert "<html" not in text
    assert "site-head" not in text


@STAGES
@pytest.mark.parametrize("headers", PAGE_REQUESTS.values(), ids=PAGE_REQUESTS)
def test_everybody_else_gets_the_page(client, asked, stage, headers):
    bring_to(asked, stage)
    text = client.get(address(asked), headers=headers).content.decode()
    assert text.startswith("<!doctype html>")
    assert text.count('id="question-panel"') == 1
    assert "site-head" in text


@STAGES
def test_the_fragment_is_the_panel_of_the_page(client, asked, stage):
    bring_to(asked, stage)
    page, fragment = (client.get(address(asked), headers=headers).content.decode() for headers in ({}, HTMX))
    panel = re.search(r'<article id="question-panel".*</article>', page, re.DOTALL).group()
    token = re.compile(r'value="\w{64}"')
    assert token.sub("", panel).split() == token.sub("", fragment).split()


@pytest.mark.parametrize("headers", [*PAGE_REQUESTS.values(), HTMX], ids=[*PAGE_REQUESTS, "htmx"])
def test_answers_vary_by_the_htmx_headers(client, asked, headers):
    vary = {name.strip() for name in client.get(address(asked), headers=headers).headers["Vary"].split(",")}
    assert {"HX-Request", "HX-History-Restore-Request", "Cookie"} <= vary


@pytest.mark.parametrize("headers", [PAGE_REQUESTS["boosted"], PAGE_REQUESTS["history"]], ids=["boosted", "history"])
@pytest.mark.parametrize("name", ["choice", "reason"])
def test_a_post_that_wants_a_page_is_redirected_to_one(client, asked, headers, name):
    response = client.post(address(asked, name), {name: 0}, headers=headers)
    assert (response.status_code, response.url) == (302, address(asked))


def test_nothing_of_a_drill_may_be_stored_by_a_cache(client):
    drill = factories.drill_at_every_stage(people.student())
    pages = [
        reverse("quizzes:drill-list"),
        reverse("quizzes:attempt-detail", args=[drill.code]),
        reverse("quizzes:attempt-results", args=[drill.code]),
        *(address(factories.question(drill, position)) for position in (1, 2, 3)),
    ]
    responses = [client.get(page, headers=headers) for page in pages for headers in ({}, HTMX)]
    for name in ("choice", "reason"):
        responses += [
            client.post(address(factories.question(drill, 1), name), headers=headers) for headers in ({}, HTMX)
        ]
    for response in responses:
        assert "no-store" in response.headers["Cache-Control"], response.request["PATH_INFO"]
        assert "private" in response.headers["Cache-Control"]


@STAGES
def test_htmx_keeps_no_copy_of_a_question_in_the_browser(client, asked, stage):
    bring_to(asked, stage)
    body = re.search(r"<body[^>]*>", client.get(address(asked)).content.decode()).group()
    assert 'hx-history="false"' in body


def test_htmx_is_told_to_do_without_inline_style_and_eval_and_to_ask_for_pages_on_a_history_miss(client):
    page = client.get(reverse("home")).content.decode()
    config = json.loads(re.search(r"""name="htmx-config" content='([^']*)'""", page).group(1))
    for switch in ("includeIndicatorStyles", "allowEval", "allowScriptTags", "historyRestoreAsHxRequest"):
        assert config[switch] is False, switch
    assert config["selfRequestsOnly"] is True


@STAGES
def test_the_panel_names_what_takes_the_focus(client, asked, stage):
    bring_to(asked, stage)
    text = client.get(address(asked), headers=HTMX).content.decode()
    assert len(re.findall(r"<h[12][^>]* data-focus[^>]*tabindex=\"-1\"", text)) == text.count("data-focus") == 1


@pytest.mark.parametrize("name", ["choice", "reason"])
def test_a_lost_session_leads_htmx_to_the_login_page_and_back_to_the_page(client, asked, name):
    client.logout()
    headers = HTMX | {"HX-Current-URL": f"http://testserver{address(asked)}"}
    response = client.post(address(asked, name), {name: 0}, headers=headers)
    assert response.status_code == 200
    assert response.headers["HX-Redirect"] == f"{reverse('account_login')}?next={address(asked)}"
    assert b"<form" not in response.content
    page = client.get(response.headers["HX-Redirect"])
    assert f'<input type="hidden" name="next" value="{address(asked)}">' in page.content.decode()
    back = people.log_in(client, "wenna", next=address(asked))
    assert (back.status_code, back.url) == (302, address(asked))


@pytest.mark.parametrize(
    "current", ["https://elsewhere.example/drills/", "//elsewhere.example/", "javascript:x()", "http://[", "", None]
)
def test_a_lost_session_never_leads_to_another_site(client, asked, current):
    client.logout()
    headers = HTMX | ({} if current is None else {"HX-Current-URL": current})
    response = client.get(address(asked), headers=headers)
    assert response.headers["HX-Redirect"] == f"{reverse('account_login')}?next=/"


def test_a_lost_session_sends_a_page_request_to_the_login_page(client, asked):
    client.logout()
    response = client.get(address(asked))
    assert (response.status_code, response.url) == (302, f"{reverse('account_login')}?next={address(asked)}")
    assert settings.LOGIN_URL == "account_login"
