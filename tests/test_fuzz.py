"""Ten thousand requests that no page of ours would send find no address at which the site fails.

Hypothesis draws them, the same each time. Each example is one visit: a person, who may be anybody, sends twenty requests in
a row, and afterwards everything is as it was. Run apart: ``pytest -m fuzz``.
"""

import logging
import random
import re
import secrets
import traceback
from collections import Counter
from http.cookies import SimpleCookie
from urllib.parse import quote, urlencode

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLResolver, get_resolver
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from herbs.models import Herb, Part, Term
from tests import account_pages, factories, people

pytestmark = [pytest.mark.django_db, pytest.mark.fuzz]
VISITS, REQUESTS = 500, 20
# These compute for a moment, so they are asked for less often.
SLOW = {"lessons:item-samples", "lessons:teaching-set-compare"}
METHODS = ["GET"] * 6 + ["POST"] * 6 + ["HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND", "get"]

ODD_TEXT = [
    "", " ", "0", "-1", "1", "2", "3", "00", "9" * 40, "1.5", "1e9", "NaN", "None", "true", "null", "\x00", "a\x00b", "é", "²",
    "\u202e", "\ud7ff", "\U0001f33f", "a" * 3000, "<script>x()</script>", "'; --", "{{ 7 }}", "%s", "%", "../..", "..", ".", "１",
    "/", "//elsewhere.example", "https://elsewhere.example/", "javascript:x()", "\r\nX: y", "a@b", "wenna@example.org",
    "00000000-0000-4000-8000-000000000000", "{00000000-0000-4000-8000-000000000000}", "set-password", "-", "_", "mixed",
]  # fmt: skip
ODD_BYTES = [
    b"\xff\xfe",
    b"%00",
    b"\xc3",
    b"%",
    b"%zz",
    b"=&=&",
    b"--x\r\n",
    b"{",
    b"[]",
    b'{"choice": 0}',
    b"\x00" * 9,
]
TYPES = [
    "application/x-www-form-urlencoded", "application/x-www-form-urlencoded; charset=utf-16", "multipart/form-data",
    "multipart/form-data; boundary=x", "application/json", "text/plain", "text/plain; charset=no-such-charset", "",
]  # fmt: skip
HEADERS = {
    "HX-Request": ["true", "false", "\xe9"],
    "HX-Boosted": ["true", "1"],
    "HX-History-Restore-Request": ["true"],
    "HX-Current-URL": [
        "http://testserver/drills/",
        "http://[",
        "javascript:x()",
        "//elsewhere.example",
        "%ff",
        "",
        "\xe9",
    ],
    "HX-Current-URL-URI-AutoEncoded": ["true", "false"],
    "HX-Prompt": ["%E9", "x"],
    "HX-Target": ["question-panel", "\x7f"],
    "Accept": ["application/json", "*/*", "", "text/html;q=x"],
    "Accept-Language": ["de", "xx-yy-zz", "en;q=9", "," * 99],
    "X-Requested-With": ["XMLHttpRequest"],
    "Origin": ["null", "https://elsewhere.example", "http://["],
    "Referer": ["http://testserver/", "http://[", "x"],
    "Host": ["testserver", "elsewhere.example", "[", "testserver:99999", "\xe9"],
    "X-Forwarded-For": ["1.2.3.4", "not an address", ","],
    "Range": ["bytes=0-1", "bytes=-"],
    "If-Modified-Since": ["yesterday"],
    "Cookie": ["sessionid=\xe9", "csrftoken=x; messages=x", ";;="],
    "User-Agent": ["", "\xe9" * 300],
}


COURSE = re.compile(r"(?:(?<=courses/)|(?<=drills/of/))<slug:slug>")


def addresses(resolver: URLResolver, namespace: str = "", before: str = "") -> list[tuple[str, str]]:
    """(full name, pattern) of every address; what stands for a value is written ``<kind:name>``."""
    found = []
    for entry in resolver.url_patterns:
        pattern = before + re.sub(r"\(\?P<(\w+)>[^)]*\)", r"<key:\1>", str(entry.pattern)).strip("^$")
        if isinstance(entry, URLResolver):
            found += addresses(entry, f"{namespace}{entry.namespace}:" if entry.namespace else namespace, pattern)
        else:
            found.append((f"{namespace}{entry.name}", pattern))
    return [(name, COURSE.sub("<slug:course>", re.sub(r"\^|\$$", "", pattern))) for name, pattern in found]


ADDRESSES = addresses(get_resolver("config.urls"))
VALUE = re.compile(r"<(\w+):(\w+)>")
ODD_PATHS = [
    "",
    "drills",
    "drills//",
    "courses/%00/",
    "accounts/",
    "accounts/2fa",
    "static/",
    "static/../x",
    "%ff/",
    "%2e%2e/",
    ";",
    "admin/",
]

QUICK = [found for found in ADDRESSES if found[0] not in SLOW]


def draw_request(rng: random.Random) -> dict:
    """One request; values that exist are named by number and looked up later."""

    def values(of: int) -> list[tuple[bool, str, int]]:
        """(whether to take the odd text, the odd text, which of the values that exist) for each of some places."""
        return [(rng.random() < 0.2, rng.choice(ODD_TEXT), rng.randrange(100)) for _ in range(of)]

    pattern = rng.choice(ODD_PATHS)
    if rng.random() < 0.97:
        pattern = rng.choice(ADDRESSES if rng.random() < 0.2 else QUICK)[1]
    own = [header for header in HEADERS if rng.random() < (0.4 if header == "HX-Request" else 0.03)]
    return {
        "method": rng.choice(METHODS),
        "pattern": pattern,
        "values": values(len(VALUE.findall(pattern))),
        "query": [(rng.choice(QUERY), *value) for value in values(rng.choice((0, 0, 1, 2)))],
        "fields": [(rng.randrange(100), *value) for value in values(rng.randrange(9))],
        "raw": rng.choice(ODD_BYTES) if rng.random() < 0.15 else None,
        "type": rng.choice(TYPES) if rng.random() < 0.15 else TYPES[0],
        "headers": {header: rng.choice(HEADERS[header]) for header in own},
    }


QUERY = ["class", "sort", "first", "second", "next", "email", "page", "role"]


def known_values() -> dict[str, list[str]]:
    """Values that exist, by the name of a part of an address or of a field."""
    drill = factories.drill_at_every_stage(people.student())
    drills = [drill, factories.attempt(people.student(), length=1), factories.attempt(people.other_student(), length=1)]
    codes = [str(found.code) for found in drills] + [str(drill.code).upper(), drill.code.hex]
    slugs = ["contemporary-western", *Herb.objects.values_list("slug", flat=True)[:3]]
    slugs += Part.objects.values_list("slug", flat=True)[:3]
    classes = [*Term.objects.filter(kind=Term.Kind.ACTION).values_list("slug", flat=True)[:5]]
    letters = account_pages.confirmation_address(people.student()), account_pages.reset_address(people.student())
    names = ["wenna", "ottilie", "hester", "corin", "gerens", "nobody-of-this-name"]
    numbers = ["0", "1", "2", "3", "4"]
    return {
        "slug": slugs + classes, "course": [people.EVENING, people.EVENING, people.WEEKEND], "username": names,
        "code": [*codes, account_pages.code_of()], "position": numbers,
        "key": [place.rstrip("/").split("/")[-1].partition("-")[2] or "x" for place in letters] + ["set-password"],
        "uidb36": ["1", "2", "zzzzzzzzzzzzzz", letters[1].split("/")[-2].partition("-")[0]],
        "choice": numbers, "reason": numbers, "role": ["student", "assistant", "instructor", "owner", "king"],
        "action": ["mixed", *classes], "length": ["5"], "login": [*names, "wenna@example.org"],
        "password": [people.PASSWORD, "short"], "oldpassword": [people.PASSWORD], "password1": ["gravel-umber-2291"],
        "password2": ["gravel-umber-2291"], "email": ["wenna@example.org", "new-wenna@example.org", "someone@example.org"],
        "next": ["/drills/", "/accounts/2fa/"], "remember": ["on"], "action_add": ["1"], "action_remove": ["1"],
        "action_primary": ["1"], "action_send": ["1"], "class": classes, "sort": ["herb", "strength", "moisture"],
    }  # fmt: skip


def look_up(known: dict[str, list[str]], name: str, is_odd: bool, text: str, number: int) -> str:
    """A value that exists under the name, or the odd text."""
    values = known.get(name)
    return text if is_odd or not values else values[number % len(values)]


def send(client: Client, drawn: dict, known: dict[str, list[str]]):
    """Send one request; what was sent, in a line, and the response."""
    values = iter(drawn["values"])
    path = "/" + VALUE.sub(
        lambda found: quote(look_up(known, found[2], *next(values)), safe="", errors="replace"), drawn["pattern"]
    )
    query = urlencode([(name, look_up(known, name, *value)) for name, *value in drawn["query"]], errors="replace")
    fields = [
        (name := [*known][number % len(known)], look_up(known, name, is_odd, text, which))
        for number, is_odd, text, which in drawn["fields"]
    ]
    body = drawn["raw"] if drawn["raw"] is not None else urlencode(fields, errors="replace").encode()
    extra = {} if drawn["method"].upper() == "TRACE" else {"data": body, "content_type": drawn["type"]}
    response = client.generic(drawn["method"], path, QUERY_STRING=query, headers=drawn["headers"], **extra)
    if response.streaming:
        b"".join(response.streaming_content)  # closes the file
    sent = f"{drawn['method']} {path}?{query} {drawn['type']} {body[:300]!r} {drawn['headers']}"
    return sent, response


def browsers() -> list[tuple[str, SimpleCookie]]:
    """The cookies of everybody, and of an owner with a second factor who has just given the password once more."""
    found = {who: people.client_of(make()).cookies for who, make in people.EVERYBODY.items()}
    administrator = account_pages.confirmed(people.administrator())
    account_pages.enrol(people.administrator())
    return [*found.items(), ("administrator, confirmed", administrator.cookies), ("student again", found["student"])]


def test_no_request_makes_the_site_fail(monkeypatch, capsys):
    monkeypatch.setattr(secrets, "randbits", random.Random(20).getrandbits)
    monkeypatch.setattr(logging.root.manager, "disable", logging.CRITICAL)  # refusals are wanted here
    visitors, known = browsers(), known_values()
    statuses: Counter[int] = Counter()
    failures: dict[str, str] = {}

    @settings(
        max_examples=VISITS, derandomize=True, database=None, deadline=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(st.randoms(use_true_random=True))  # true to its seed, which hypothesis draws
    def visit(rng):
        who, cookies = rng.choice(visitors)
        client = Client(raise_request_exception=False)
        client.cookies.load({name: morsel.value for name, morsel in cookies.items()})
        with transaction.atomic():
            for _ in range(REQUESTS):
                sent, response = send(client, draw_request(rng), known)
                statuses[response.status_code] += 1
                if response.status_code >= 500:
                    told = traceback.format_exception(response.exc_info[1]) if response.exc_info else ["no traceback"]
                    failures.setdefault("".join(told[-2:]), f"{who}: {sent}\n{''.join(told[-4:])}")
            transaction.set_rollback(True)

    visit()
    with capsys.disabled():
        print(f"\n{statuses.total()} requests: {dict(sorted(statuses.items()))}")
    assert not failures, f"{len(failures)} ways to fail:\n\n" + "\n\n".join(failures.values())
    assert statuses.total() >= 10_000
    # The requests reach what lies behind the first refusals, or they would prove little.
    assert min(statuses[status] for status in (200, 302, 400, 404, 405)) > 100
    assert statuses[403] > 10
