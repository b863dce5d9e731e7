"""The pages of log-in, letters and the second factor: their addresses, and how a test gets there."""

import time

from allauth.account.forms import default_token_generator
from allauth.account.models import EmailAddress, EmailConfirmationHMAC
from allauth.account.utils import user_pk_to_url_str
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, format_hotp_value, hotp_value
from django.test import Client
from django.urls import reverse

from lessons.models import User
from tests import people

SECRET = "JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP"  # a shared secret of the second factor, in base 32
PERIOD = 30  # seconds that a code lasts (RFC 6238)


def code_of(secret: str = SECRET, steps: int = 0) -> str:
    """The six digits that a phone shows now (RFC 6238), or some periods later."""
    return format_hotp_value(hotp_value(secret, int(time.time()) // PERIOD + steps))


def wrong_code(secret: str = SECRET) -> str:
    """Six digits that no phone shows now, nor near now."""
    near = {code_of(secret, steps) for steps in range(-2, 3)}
    return next(code for code in ("000000", "111111", "222222", "333333", "444444", "555555") if code not in near)


def enrol(user: User) -> User:
    """Give somebody a second factor with SECRET, and recovery codes."""
    TOTP.activate(user, SECRET)
    RecoveryCodes.activate(user)
    return user


def confirmed(user: User) -> Client:
    """A browser in which somebody has just given the password once more, as changes to the second factor ask for."""
    client = people.client_of(user)
    response = client.post(reverse("account_reauthenticate"), {"password": people.PASSWORD})
    assert (response.status_code, response.url) == (302, "/")
    return client


def confirmation_address(user: User) -> str:
    """The address in a letter that verifies another e-mail address of somebody."""
    address = EmailAddress.objects.get_or_create(user=user, email=f"new-{user.username}@example.org")[0]
    return reverse("account_confirm_email", args=[EmailConfirmationHMAC.create(address).key])


def reset_address(user: User) -> str:
    """The address in a letter that lets somebody set a new password."""
    key = default_token_generator.make_token(user)
    return reverse("account_reset_password_from_key", args=[user_pk_to_url_str(user), key])


def addresses_before_log_in(user: User) -> dict[str, str]:
    """Every page of log-in, by name, for a browser in which nobody is logged in; letters are those to ``user``."""
    return {
        "log in": reverse("account_login") + "?next=/drills/",
        "sign up": reverse("account_signup"),
        "inactive account": reverse("account_inactive"),
        "letter sent": reverse("account_email_verification_sent"),
        "verify an address": confirmation_address(user),
        "verify, stale letter": reverse("account_confirm_email", args=["stale"]),
        "forgotten password": reverse("account_reset_password"),
        "forgotten password, letter sent": reverse("account_reset_password_done"),
        "new password": reset_address(user),
        "new password, stale letter": reverse("account_reset_password_from_key", args=["1", "stale-key"]),
        "new password set": reverse("account_reset_password_from_key_done"),
    }


def addresses_without_second_factor() -> dict[str, str]:
    """Every page of one's own log-in, by name, for somebody who has just given the password once more."""
    return {
        "e-mail addresses": reverse("account_email"),
        "change the password": reverse("account_change_password"),
        "log out": reverse("account_logout"),
        "password again": reverse("account_reauthenticate"),
        "second factor, none yet": reverse("mfa_index"),
        "second factor, enrol": reverse("mfa_activate_totp"),
    }


def addresses_with_second_factor() -> dict[str, str]:
    """The further pages of somebody who has a second factor and has just given the password once more."""
    return {
        "second factor": reverse("mfa_index"),
        "code again": reverse("mfa_reauthenticate"),
        "second factor, give up": reverse("mfa_deactivate_totp"),
        "recovery codes": reverse("mfa_view_recovery_codes"),
        "recovery codes, new": reverse("mfa_generate_recovery_codes"),
    }
