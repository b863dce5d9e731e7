"""Headers, cookies and markup that keep pages safe, and settings that refuse to start unsafe."""

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.conf import settings as project
from django.core.exceptions import ImproperlyConfigured
from django.urls import reverse

from config.environment import env_bool, env_int, env_list
from tests import account_pages, factories, people
from tests.factories import HTMX, address

POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "connect-src": "'self'",
    "font-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
PRODUCTION = {
    "COUNTERPOISE_PRODUCTION": "1",
    "SECRET_KEY": "a-key-for-a-test-that-is-long-enough-and-varied-0123456789-abcdefgh",
    "ALLOWED_HOSTS": "counterpoise.example",
    "EMAIL_HOST": "mail.counterpoise.example",
}


@pytest.fixture
def responses(db):
    """Every page, as an owner with a drill at every stage gets it, and every page of log-in, by name."""
    drill, owner = factories.drill_at_every_stage(people.owner()), people.owner()
    nobody, client = people.client_of(None), account_pages.confirmed(owner)
    found = {name: client.get(place) for name, place in factories.page_addresses(drill).items()}
    for position in (1, 2, 3):
        question = factories.question(drill, position)
        found[f"panel {position}"] = client.get(address(question), headers=HTMX)
    found["drill refused"] = client.post(reverse("quizzes:attempt-start"), {"action": "no-such-class", "length": "7"})
    for name, place in account_pages.addresses_before_log_in(people.student()).items():
        found[name] = nobody.get(place, follow=True)
    found["log in, refused"] = people.log_in(nobody, "x", "y")
    found["sign up, refused"] = nobody.post(reverse("account_signup"), {"email": "x", "password1": "short"})
    for name, place in account_pages.addresses_without_second_factor().items():
        found[name] = client.get(place)
    account_pages.enrol(owner)
    for name, place in account_pages.addresses_with_second_factor().items():
        found[name] = client.get(place)
    found["code of the second factor"] = nobody.get(people.log_in(nobody, owner.username).url)
    return found


def test_the_pages_looked_at_are_all_there_are(responses):
    assert {name for name, response in responses.items() if response.status_code != 200} == {"not found"}
    assert len({response.request["PATH_INFO"] for response in responses.values()}) > 40
    for name, response in responses.items():
        text = response.content.decode()
        assert text.count("<h1") == 1, name


def test_every_page_sends_exactly_the_strict_policy(responses):
    for name, response in responses.items():
        directives = [part.strip().split(" ", 1) for part in response.headers["Content-Security-Policy"].split(";")]
        assert len(directives) == len(POLICY), name
        assert dict(directives) == POLICY, name
        assert "Content-Security-Policy-Report-Only" not in response.headers


def test_every_page_forbids_guessing_of_types_and_framing(responses):
    for name, response in responses.items():
        assert response.headers["X-Content-Type-Options"] == "nosniff", name
        assert response.headers["X-Frame-Options"] == "DENY", name
        assert response.headers["Referrer-Policy"] == "same-origin", name
        assert response.headers["Cross-Origin-Opener-Policy"] == "same-origin", name


def test_redirects_and_static_files_are_guarded_too(db):
    client = people.client_of(None)
    for place in (reverse("quizzes:drill-list"), "/static/js/site.js", "/static/css/base.css"):
        response = client.get(place)
        assert response.status_code in (200, 302), place
        assert response.headers["X-Content-Type-Options"] == "nosniff", place
        response.close()


class Markup(HTMLParser):
    """Collects what the policy would block, and forms that post without a token."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.faults: list[str] = []
        self.ids: list[str] = []
        self._form: dict[str, str | None] | None = None
        self._has_token = False
        self.forms = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at one element."""
        found = dict(attrs)
        where = f"<{tag}> at line {self.getpos()[0]}"
        for name, value in attrs:
            if name == "style" or name.startswith(("on", "hx-on", "data-hx-on")):
                self.faults.append(f"{name}= on {where}")
            if (value or "").strip().lower().startswith(("javascript:", "js:")):
                self.faults.append(f"script address in {name}= on {where}")
        # A script of this type is data for a script of ours and never run.
        is_data = tag == "script" and found.get("type") == "application/json"
        if tag == "style" or (tag == "script" and not is_data and not (found.get("src") or "").startswith("/static/")):
            self.faults.append(f"inline or foreign {where}")
        if tag == "link" and not (found.get("href") or "").startswith("/static/"):
            self.faults.append(f"foreign {where}")
        if "id" in found:
            self.ids.append(found["id"] or "")
        if tag == "form":
            self._form, self._has_token = found, False
            self.forms += 1
        if tag == "input" and found.get("name") == "csrfmiddlewaretoken" and len(found.get("value") or "") == 64:
            self._has_token = True

    def handle_endtag(self, tag: str) -> None:
        """Close a form."""
        if tag == "form" and self._form is not None:
            if (self._form.get("method") or "get").lower() == "post" and not self._has_token:
                self.faults.append(f"a form without a token before line {self.getpos()[0]}")
            self._form = None


def test_no_page_has_inline_style_or_script_or_a_form_without_its_token(responses):
    forms = 0
    for name, response in responses.items():
        markup = Markup(response.content.decode())
        assert not markup.faults, f"{name}: {markup.faults}"
        forms += markup.forms
    assert forms > len(responses)


def test_no_page_uses_an_id_twice(responses):
    for name, response in responses.items():
        ids = Markup(response.content.decode()).ids
        assert len(ids) == len(set(ids)), f"{name}: {sorted({found for found in ids if ids.count(found) > 1})}"


@pytest.mark.parametrize(
    "text",
    ['<p style="color:red">', "<style></style>", "<script>x()</script>", '<a onclick="x()">', '<a href="javascript:x()">',
     '<a hx-on:click="x()">', '<script src="https://elsewhere.example/x.js"></script>', '<form method="post"></form>'],
)  # fmt: skip
def test_the_search_for_inline_code_finds_it(text):
    assert Markup(text).faults


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(db):
    people.student()
    client = people.client_of(None)
    client.get(reverse("account_login"))
    people.log_in(client, "wenna")
    session, token = client.cookies["sessionid"], client.cookies["csrftoken"]
    assert session["httponly"] is True
    assert session["samesite"] == "Lax"
    assert token["samesite"] == "Lax"
    assert session["domain"] == token["domain"] == ""


def test_logging_in_leads_to_no_other_site(db):
    people.student()
    response = people.log_in(people.client_of(None), "wenna", next="https://elsewhere.example/")
    assert (response.status_code, response.url) == (302, reverse("home"))


# ---- Settings ----


def run(code: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """Run Python in the project's folder with nothing in the environment but what is named."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", code], cwd=project.BASE_DIR, env=kept | variables,
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


LOAD = "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; from django.conf import settings; settings.DEBUG"


def without(name: str) -> dict[str, str]:
    """Production, but for one variable."""
    return {key: value for key, value in PRODUCTION.items() if key != name}


@pytest.mark.parametrize(
    ("variables", "sentence"),
    [
        (without("SECRET_KEY"), "Set SECRET_KEY to a long random text"),
        (without("ALLOWED_HOSTS"), "Set ALLOWED_HOSTS to the host names"),
        (PRODUCTION | {"ALLOWED_HOSTS": " , "}, "Set ALLOWED_HOSTS to the host names"),
        (PRODUCTION | {"SECRET_KEY": ""}, "Set SECRET_KEY to a long random text"),
        (without("EMAIL_HOST"), "Set EMAIL_HOST to a mail server"),
        (PRODUCTION | {"EMAIL_PORT": "-1"}, "EMAIL_PORT must be a whole number, not '-1'."),
        (PRODUCTION | {"TRUSTED_PROXIES": "one"}, "TRUSTED_PROXIES must be a whole number, not 'one'."),
        (PRODUCTION | {"DEBUG": "1"}, "DEBUG shows secrets to visitors"),
        (PRODUCTION | {"SECURE_SSL_REDIRECT": "perhaps"}, "SECURE_SSL_REDIRECT must be 1 or 0, not 'perhaps'."),
        ({"COUNTERPOISE_PRODUCTION": "2"}, "COUNTERPOISE_PRODUCTION must be 1 or 0, not '2'."),
        ({"DEBUG": "True "}, "DEBUG must be 1 or 0, not 'True '."),
    ],
)
def test_settings_refuse_to_start_unsafe_and_say_what_to_set(variables, sentence):
    outcome = run(LOAD, **variables)
    assert outcome.returncode != 0
    last = outcome.stderr.strip().splitlines()[-1]
    assert "ImproperlyConfigured" in last
    assert sentence in last


def test_production_settings_load_and_pass_the_deployment_check(tmp_path: Path):
    code = (
        "import os, sys; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'\n"
        "import django; django.setup()\n"
        "from django.conf import settings\n"
        "from django.core.management import call_command\n"
        "call_command('check', deploy=True, fail_level='WARNING')\n"
        "assert settings.SESSION_COOKIE_SECURE and settings.CSRF_COOKIE_SECURE and settings.SECURE_SSL_REDIRECT\n"
        "assert settings.ALLOWED_HOSTS == ['counterpoise.example'] and not settings.DEBUG\n"
    )
    outcome = run(code, **PRODUCTION, DATABASE_URL=f"sqlite:///{tmp_path}/db.sqlite3")
    assert outcome.returncode == 0, outcome.stderr
    assert "System check identified no issues" in outcome.stdout


def test_nothing_need_be_set_on_ones_own_machine():
    outcome = run(f"{LOAD}\nassert settings.DEBUG is False and settings.SECRET_KEY\nprint(settings.ALLOWED_HOSTS)")
    assert outcome.returncode == 0, outcome.stderr
    assert re.findall(r"'([^']+)'", outcome.stdout) == ["127.0.0.1", "localhost", "[::1]"]


@pytest.mark.parametrize("value", [True, False])
def test_a_switch_reads_the_usual_words(monkeypatch, value):
    for text in ("1", "true", "YES", "On") if value else ("0", "False", "no", "off", ""):
        monkeypatch.setenv("SWITCH", text)
        assert env_bool("SWITCH", not value) is value, text


@pytest.mark.parametrize("text", ["2", "maybe", " 1", "truee", "-1", "１"])
def test_a_switch_refuses_other_words_with_a_sentence(monkeypatch, text):
    monkeypatch.setenv("SWITCH", text)
    with pytest.raises(ImproperlyConfigured, match=r"^SWITCH must be 1 or 0, not '.*'\.$"):
        env_bool("SWITCH", True)


def test_a_switch_that_is_not_set_keeps_its_default(monkeypatch):
    monkeypatch.delenv("SWITCH", raising=False)
    assert env_bool("SWITCH", True) is True
    assert env_bool("SWITCH", False) is False


@pytest.mark.parametrize("proxies", [0, 1])
def test_a_visitor_s_word_on_https_and_address_is_taken_from_trusted_proxies_alone(proxies):
    code = (
        f"{LOAD}\nimport django; django.setup()\n"
        "from django.test import RequestFactory\n"
        "from allauth.account.adapter import get_adapter\n"
        "sent = {'X-Forwarded-Proto': 'https', 'X-Forwarded-For': '198.51.100.7, 192.0.2.9'}\n"
        "request = RequestFactory().get('/', headers=sent, REMOTE_ADDR='203.0.113.5')\n"
        "print(request.is_secure(), get_adapter().get_client_ip(request))\n"
    )
    outcome = run(code, **PRODUCTION, TRUSTED_PROXIES=str(proxies))
    assert outcome.stdout.split() == (["True", "192.0.2.9"] if proxies else ["False", "203.0.113.5"]), outcome.stderr


def test_a_whole_number_reads_digits_alone(monkeypatch):
    monkeypatch.setenv("NUMBER", "25")
    assert env_int("NUMBER", 7) == 25
    monkeypatch.delenv("NUMBER")
    assert env_int("NUMBER", 7) == 7
    for text in ("", "-1", "1.5", "1e3", "１", " 2", "two"):
        monkeypatch.setenv("NUMBER", text)
        with pytest.raises(ImproperlyConfigured, match=r"^NUMBER must be a whole number, not '.*'\.$"):
            env_int("NUMBER", 7)


def test_a_list_is_parted_by_commas(monkeypatch):
    monkeypatch.setenv("NAMES", " one.example, two.example ,,")
    assert env_list("NAMES", ["default"]) == ["one.example", "two.example"]
    monkeypatch.delenv("NAMES")
    assert env_list("NAMES", ["default"]) == ["default"]
