"""Signing up, logging in, forgotten passwords and the second factor, with the site's own settings."""

import html
import re

import pytest
from allauth.account import app_settings
from allauth.account.models import EmailAddress
from allauth.core.internal.ratelimit import parse_rates
from allauth.mfa.models import Authenticator
from django.conf import settings as project
from django.core import mail
from django.db import connection
from django.test import Client
from django.urls import reverse

from lessons.models import Enrolment, User
from tests import account_pages, people

pytestmark = pytest.mark.django_db
NEW = {
    "email": "senara@example.org", "username": "senara", "password1": "copper-meadow-7714", "password2": "copper-meadow-7714",
}  # fmt: skip


def words(response) -> str:
    """The text without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def is_logged_in(client: Client) -> bool:
    """Whether the site knows who uses the browser."""
    return client.get(reverse("account")).status_code == 200


def sign_up(client: Client, **changes: str):
    """Send the sign-up form of Senara Lyle, who does not exist."""
    return client.post(reverse("account_signup"), NEW | changes)


def link_in(letter: mail.EmailMessage) -> str:
    """The path of the only address of the site in a letter."""
    (found,) = set(re.findall(r"http://testserver(/accounts/\S+)", letter.body))
    return found


# ---- Signing up ----


def test_signing_up_sends_a_letter_and_logs_nobody_in():
    client = Client()
    response = sign_up(client)
    assert (response.status_code, response.url) == (302, reverse("account_email_verification_sent"))
    (letter,) = mail.outbox
    assert letter.to == ["senara@example.org"]
    assert letter.subject.startswith("Counterpoise: ")
    assert link_in(letter).startswith("/accounts/confirm-email/")
    assert not EmailAddress.objects.get().verified
    assert not is_logged_in(client)


def test_log_in_is_refused_until_the_address_is_verified():
    sign_up(Client())
    client = Client()
    response = people.log_in(client, "senara", NEW["password1"])
    assert (response.status_code, response.url) == (302, reverse("account_email_verification_sent"))
    assert not is_logged_in(client)

    place = link_in(mail.outbox[0])
    assert client.get(place).status_code == 200
    assert not EmailAddress.objects.get().verified, (
        "Opening the letter's address must change nothing: mail scanners open it."
    )
    client.post(place)
    assert EmailAddress.objects.get().verified
    assert people.log_in(other := Client(), "senara", NEW["password1"]).url == reverse("home")
    assert is_logged_in(other)


def test_a_letter_that_was_changed_verifies_nothing():
    sign_up(Client())
    place = link_in(mail.outbox[0])
    changed = place[:-4] + ("abc" if place[-4:-1] != "abc" else "abd") + "/"
    assert Client().post(changed).status_code == 404
    assert not EmailAddress.objects.get().verified


def test_a_new_account_has_no_rights_and_no_course():
    sign_up(Client())
    user = User.objects.get()
    assert not user.is_staff and not user.is_superuser and not user.is_invented
    assert not Enrolment.objects.exists() and not user.administered_schools.exists()
    assert "You are in no course yet." in words(people.client_of(user).get(reverse("account")))


def test_rights_cannot_be_had_by_adding_fields_to_the_form():
    sign_up(Client(), is_staff="1", is_superuser="1", role="owner", is_invented="1", display_name="Somebody else")
    user = User.objects.get()
    assert (user.is_staff, user.is_superuser, user.is_invented, user.display_name) == (False, False, False, "")


def test_signing_up_does_not_tell_that_an_address_is_known():
    people.student()
    mail.outbox.clear()
    response = sign_up(Client(), email="wenna@example.org")
    assert (response.status_code, response.url) == (302, reverse("account_email_verification_sent"))
    assert User.objects.count() == 1
    (letter,) = mail.outbox
    assert letter.to == ["wenna@example.org"]


@pytest.mark.parametrize("password", ["short-1", "1234567890123", "password1234", "senara@example.org"])
def test_a_password_that_is_easily_guessed_is_refused(password):
    response = sign_up(Client(), password1=password, password2=password)
    assert response.status_code == 200
    assert not User.objects.exists()
    assert not mail.outbox


def test_two_passwords_that_differ_are_refused():
    assert sign_up(Client(), password2="copper-meadow-7715").status_code == 200
    assert not User.objects.exists()


# ---- Logging in and out ----


@pytest.mark.parametrize("name", ["wenna", "WENNA", "wenna@example.org"])
def test_either_name_or_address_logs_in(name):
    people.student()
    client = Client()
    assert people.log_in(client, name).url == reverse("home")
    assert is_logged_in(client)


@pytest.mark.parametrize(("name", "password"), [("wenna", "not this one"), ("nobody", people.PASSWORD), ("wenna", "")])
def test_a_wrong_name_or_password_logs_nobody_in(name, password):
    people.student()
    client = Client()
    assert people.log_in(client, name, password).status_code == 200
    assert not is_logged_in(client)


def test_the_answer_does_not_tell_whether_the_name_or_the_password_was_wrong():
    people.student()
    first, second = people.log_in(Client(), "wenna", "not this one"), people.log_in(Client(), "nobody", "not this one")
    token = re.compile(r'value="\w{64}"|X-CSRFToken": "\w{64}"|value="(wenna|nobody)"')
    assert token.sub("", first.content.decode()) == token.sub("", second.content.decode())


def test_an_account_that_was_closed_cannot_log_in():
    user = people.student()
    user.is_active = False
    user.save()
    client = Client()
    assert people.log_in(client, "wenna").url == reverse("account_inactive")
    assert not is_logged_in(client)


@pytest.mark.parametrize("fields", [{}, {"remember": "on"}])
def test_the_session_outlives_the_browser_only_when_asked_to(fields):
    people.student()
    client = Client()
    people.log_in(client, "wenna", **fields)
    assert bool(client.cookies["sessionid"]["max-age"]) is bool(fields)


def test_logging_out_needs_a_post():
    client = people.client_of(people.student())
    assert client.get(reverse("account_logout")).status_code == 200
    assert is_logged_in(client)
    client.post(reverse("account_logout"))
    assert not is_logged_in(client)


# ---- Too many attempts ----


def per_account() -> int:
    """How many wrong passwords one account may be tried with before a rest."""
    (rate,) = [rate for rate in parse_rates(app_settings.RATE_LIMITS["login_failed"]) if rate.per == "key"]
    return rate.amount


def test_after_a_few_wrong_passwords_even_the_right_one_is_refused_for_a_while():
    people.student()
    people.other_student()
    assert per_account() <= 5
    for _ in range(per_account()):
        assert "not correct" in words(people.log_in(Client(), "wenna", "not this one"))
    client = Client()
    response = people.log_in(client, "wenna")
    assert "Too many failed login attempts." in words(response)
    assert not is_logged_in(client)
    people.log_in(client, "corin")
    assert is_logged_in(client), "One account under attack must not lock out the others of the same school."


def test_attempts_are_counted_where_every_worker_sees_them():
    people.student()
    table = project.CACHES["default"]["LOCATION"]
    assert project.CACHES["default"]["BACKEND"].endswith("DatabaseCache")

    def rows() -> int:
        with connection.cursor() as cursor:
            cursor.execute(f'SELECT count(*) FROM "{table}"')  # noqa: S608  (the name is the site's own)
            return cursor.fetchone()[0]

    before = rows()
    for _ in range(per_account()):
        people.log_in(Client(), "wenna", "not this one")
    assert rows() > before
    with connection.cursor() as cursor:
        cursor.execute(f'DELETE FROM "{table}"')  # noqa: S608
    people.log_in(client := Client(), "wenna")
    assert is_logged_in(client), "The refusals were counted in some other place."


def test_an_address_of_the_net_is_slowed_down_too(settings):
    settings.ACCOUNT_RATE_LIMITS = project.ACCOUNT_RATE_LIMITS | {"login": "3/m/ip"}
    statuses = [people.log_in(Client(), f"nobody-{number}", "x").status_code for number in range(4)]
    assert statuses == [200, 200, 200, 429]


def test_who_is_slowed_down_is_told_what_to_do_on_a_whole_page(settings):
    settings.ACCOUNT_RATE_LIMITS = project.ACCOUNT_RATE_LIMITS | {"login": "1/m/ip"}
    people.log_in(Client(), "nobody", "x")
    response = people.log_in(Client(), "nobody", "x")
    assert response.status_code == 429
    assert response.content.decode().startswith("<!doctype html>")
    assert re.search(r"[Ww]ait|later", words(response))
    assert 'href="/"' in response.content.decode()


def test_the_site_limits_each_way_in():
    limits = app_settings.RATE_LIMITS
    for action in ("login", "login_failed", "signup", "reset_password", "reset_password_from_key", "reauthenticate"):
        assert parse_rates(limits[action]), action


# ---- A forgotten password ----


def test_a_letter_lets_a_forgotten_password_be_set_anew_once():
    people.student()
    client = Client()
    response = client.post(reverse("account_reset_password"), {"email": "wenna@example.org"})
    assert (response.status_code, response.url) == (302, reverse("account_reset_password_done"))
    (letter,) = mail.outbox
    assert letter.to == ["wenna@example.org"]
    place = link_in(letter)

    form = client.get(place)
    assert form.status_code == 302, "The key must not stand in the address of the page with the form."
    new = "velvet-quarry-3308"
    assert client.post(form.url, {"password1": new, "password2": new}).status_code == 302
    assert people.log_in(Client(), "wenna").status_code == 200
    assert people.log_in(Client(), "wenna", new).status_code == 302

    again = Client().get(place, follow=True)
    assert "password1" not in again.content.decode(), "The letter can be used a second time."


def test_an_address_that_nobody_has_gets_the_same_answer():
    people.student()
    known, unknown = (
        Client().post(reverse("account_reset_password"), {"email": f"{name}@example.org"})
        for name in ("wenna", "nobody")
    )
    assert (known.status_code, known.url) == (unknown.status_code, unknown.url)
    assert not any(
        "/password/reset/key/" in letter.body for letter in mail.outbox if letter.to == ["nobody@example.org"]
    )


def test_a_new_password_ends_the_sessions_that_the_old_one_began():
    user = people.student()
    elsewhere, client = people.client_of(user), Client()
    form = client.get(account_pages.reset_address(user))
    client.post(form.url, {"password1": "velvet-quarry-3308", "password2": "velvet-quarry-3308"})
    assert not is_logged_in(elsewhere)


# ---- The second factor ----


def test_a_second_factor_is_enrolled_with_a_code():
    user = people.student()
    client = account_pages.confirmed(user)
    page = client.get(reverse("mfa_activate_totp")).content.decode()
    secret = re.search(r'id="authenticator_secret"[^>]*value="([A-Z2-7]+)"', page).group(1)
    refused = client.post(reverse("mfa_activate_totp"), {"code": account_pages.wrong_code(secret)})
    assert refused.status_code == 200
    assert not Authenticator.objects.exists()
    accepted = client.post(reverse("mfa_activate_totp"), {"code": account_pages.code_of(secret)})
    assert (accepted.status_code, accepted.url) == (302, reverse("mfa_view_recovery_codes"))
    kinds = Authenticator.objects.filter(user=user).values_list("type", flat=True)
    assert set(kinds) == {Authenticator.Type.TOTP, Authenticator.Type.RECOVERY_CODES}


def test_enrolling_needs_the_password_once_more():
    client = people.client_of(people.student())
    response = client.get(reverse("mfa_activate_totp"))
    assert response.url.startswith(reverse("account_reauthenticate"))


@pytest.fixture
def asked_for_a_code() -> Client:
    """A browser in which Wenna, who has a second factor, has given her password."""
    account_pages.enrol(people.student())
    client = Client()
    response = people.log_in(client, "wenna")
    assert (response.status_code, response.url) == (302, reverse("mfa_authenticate"))
    return client


def give(client: Client, code: str):
    """Send a code of the second factor."""
    return client.post(reverse("mfa_authenticate"), {"code": code})


def test_the_password_alone_does_not_log_in_who_has_a_second_factor(asked_for_a_code):
    assert asked_for_a_code.get(reverse("mfa_authenticate")).status_code == 200
    assert not is_logged_in(asked_for_a_code)
    assert asked_for_a_code.get(reverse("quizzes:drill-list")).status_code == 302


def test_the_code_logs_in(asked_for_a_code):
    assert give(asked_for_a_code, account_pages.code_of()).url == reverse("home")
    assert is_logged_in(asked_for_a_code)


@pytest.mark.parametrize("code", [None, "", "12345", "abcdef", "１２３４５６"])
def test_a_wrong_code_is_refused(asked_for_a_code, code):
    response = give(asked_for_a_code, account_pages.wrong_code() if code is None else code)
    assert response.status_code == 200
    assert not is_logged_in(asked_for_a_code)


def test_a_code_works_once(asked_for_a_code):
    code = account_pages.code_of()
    give(asked_for_a_code, code)
    people.log_in(thief := Client(), "wenna")
    assert give(thief, code).status_code == 200
    assert not is_logged_in(thief)


def test_codes_cannot_be_tried_without_end(asked_for_a_code):
    for _ in range(per_account()):
        give(asked_for_a_code, account_pages.wrong_code())
    give(asked_for_a_code, account_pages.code_of())
    assert not is_logged_in(asked_for_a_code), "Even the right code must be refused by now."


def test_a_recovery_code_stands_in_for_a_lost_phone_once(asked_for_a_code):
    codes = Authenticator.objects.get(type=Authenticator.Type.RECOVERY_CODES).wrap()
    code = codes.get_unused_codes()[0]
    assert give(asked_for_a_code, code).url == reverse("home")
    people.log_in(second := Client(), "wenna")
    assert give(second, code).status_code == 200
    assert not is_logged_in(second)


def test_the_second_factor_is_optional_and_can_be_given_up():
    user = account_pages.enrol(people.student())
    client = account_pages.confirmed(user)
    client.post(reverse("mfa_deactivate_totp"))
    assert not Authenticator.objects.filter(type=Authenticator.Type.TOTP).exists()
    assert people.log_in(Client(), "wenna").url == reverse("home")
