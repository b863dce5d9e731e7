"""No template carries a style, a handler or a script in its text, so that the content policy can refuse them all."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.urls import reverse

ROOT = Path(__file__).resolve().parent.parent
TEMPLATES = sorted([*(ROOT / "templates").rglob("*.html"), *ROOT.glob("*/templates/**/*.html")])
TAG = re.compile(r"{%.*?%}|{#.*?#}", re.DOTALL)
VARIABLE = re.compile(r"{{.*?}}", re.DOTALL)
EVALUATED = {"hx-vals", "hx-vars", "hx-headers", "hx-request"}
LINKS = {"href", "src", "action", "formaction", "data", "xlink:href"}


def runs(name, value):
    """Whether an attribute's value would be run: an address that is a script, or an htmx value that is one."""
    plain = re.sub(r"\s", "", value).lower()
    if name.removeprefix("data-") in EVALUATED and plain.startswith("js:"):
        return True
    return "javascript:" in plain or (name in LINKS and plain.startswith("data:text/html"))


class Policy(HTMLParser):
    """Collects what the policy forbids: (line, what)."""

    def __init__(self):
        super().__init__()
        self.faults, self.script = [], None

    def note(self, what):
        self.faults.append((self.getpos()[0], what))

    def handle_starttag(self, tag, attrs):
        if tag == "style":
            self.note("<style>")
        if tag == "base":
            self.note("<base>")
        if tag == "script":
            self.script = [self.getpos()[0], dict(attrs), ""]
        for name, value in attrs:
            if name == "style":
                self.note("style=")
            elif name.startswith("on"):
                self.note(f"{name}=")
            elif name.startswith(("hx-on", "data-hx-on")):
                self.note("hx-on")
            elif name == "srcdoc":
                self.note("srcdoc=")
            elif runs(name, value or ""):
                self.note(f"a script in {name}=")

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)

    def handle_data(self, data):
        if self.script is not None:
            self.script[2] += data

    def handle_endtag(self, tag):
        if tag == "script" and self.script is not None:
            line, attrs, text = self.script
            is_data = attrs.get("type") == "application/json"
            if not is_data and (text.strip() or "src" not in attrs):
                self.faults.append((line, "inline <script>"))
            self.script = None


def faults(text):
    """What a template's text holds against the policy: (line, what). Template tags keep their lines and say nothing."""

    def blank(found):
        return "\n" * found.group().count("\n")

    policy = Policy()
    policy.feed(VARIABLE.sub(lambda found: "x" + blank(found), TAG.sub(blank, text)))
    policy.close()
    if policy.script is not None:
        policy.faults.append((policy.script[0], "a <script> that never ends"))
    return policy.faults


def test_there_are_templates():
    assert len(TEMPLATES) >= 5


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_template_breaks_the_policy(path):
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ('<p\n  style="color: red">', [(1, "style=")]),
        ("<p STYLE=x>", [(1, "style=")]),
        ("<style>p {}</style>", [(1, "<style>")]),
        ("\n<a onclick=go()>", [(2, "onclick=")]),
        ("<img/onerror=go()>", [(1, "onerror=")]),
        ('<button hx-on:click="go()">', [(1, "hx-on")]),
        ('<button hx-on::after-request="go()">', [(1, "hx-on")]),
        ('<button data-hx-on-click="go()">', [(1, "hx-on")]),
        ("<script>go()</script>", [(1, "inline <script>")]),
        ("<script {% if a %}defer{% endif %}>\n{{ code }}\n</script>", [(1, "inline <script>")]),
        ('<script src="x.js">go()</script>', [(1, "inline <script>")]),
        ('<script src="x.js">', [(1, "a <script> that never ends")]),
        ('<a href="javascript:go()">', [(1, "a script in href=")]),
        ('<a href=" Java\tScript:go()">', [(1, "a script in href=")]),
        ('<iframe srcdoc="x"></iframe>', [(1, "srcdoc=")]),
        ("<div hx-vals='js:{a: go()}'>", [(1, "a script in hx-vals=")]),
        ('<p {% if a %}style="x"{% endif %}>', [(1, "style=")]),
    ],
)
def test_the_policy_check_sees_what_it_should(text, found):
    assert faults(text) == found


@pytest.mark.parametrize(
    "text",
    [
        "<script src=\"{% static 'js/site.js' %}\" defer></script>",
        '<script type="application/json" id="plane">{"a": 1}</script>',
        '<p class="on" data-once>The word style= and onclick= in a text.</p>',
        '{# <p style="x"> #}<link rel="stylesheet" href="{% static \'css/base.css\' %}">',
        '<div hx-headers=\'{"X-CSRFToken": "{{ csrf_token }}"}\'>',
    ],
)
def test_the_policy_check_lets_plain_markup_pass(text):
    assert faults(text) == []


def test_no_python_of_ours_marks_text_as_safe_html():
    for app in ("config", "herbs", "lessons", "quizzes"):
        for path in (ROOT / app).rglob("*.py"):
            assert not re.search(r"mark_safe|SafeString|@html_safe", path.read_text(encoding="utf-8")), path


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("home", 200),
        ("cautions", 200),
        ("account_login", 200),
        ("account_signup", 200),
        ("account_reset_password", 200),
        (None, 404),
    ],
)
def test_pages_as_sent_keep_the_policy_and_say_so(client, name, status):
    response = client.get(reverse(name) if name else "/no-such-page/")
    assert response.status_code == status
    assert faults(response.content.decode()) == []
    policy = response.headers["Content-Security-Policy"]
    assert "unsafe-inline" not in policy and "unsafe-eval" not in policy
    assert "script-src" in policy and "style-src" in policy
