"""What is kept about a person: told, handed over as a file, erased."""

from typing import Any

from allauth.account.adapter import get_adapter
from crispy_forms.helper import FormHelper
from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from lessons.models import HerbNote, User
from lessons.requests import PersonRequest

from .erasure import SoleOwnerError, erase_person, owned_alone
from .models import Answer, Attempt
from .personal_data import personal_file

DAY = 24 * 60 * 60  # seconds


class EraseForm(forms.Form):
    """The user name typed, and the password: nobody erases an account by a slip, nor at a screen left alone."""

    username = forms.CharField(
        label="Your user name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    password = forms.CharField(
        label="Your password",
        max_length=500,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        self.user = user
        super().__init__(*args, **kwargs)

    def clean_username(self) -> str:
        """The person's own user name."""
        typed: str = self.cleaned_data["username"]
        if typed != self.user.username:
            raise forms.ValidationError("This is not your user name. Type it as it stands above.")
        return typed

    def clean_password(self) -> str:
        """The person's password. Wrong ones are counted as at log-in, and after a few of them none is tried for a while."""
        password: str = self.cleaned_data["password"]
        if not get_adapter().reauthenticate(self.user, password):
            raise forms.ValidationError("This is not your password. Nothing was erased; try once more.")
        return password


@require_safe
@never_cache
def account_data(request: PersonRequest) -> HttpResponse:
    """What is kept, why, for how long and who sees it."""
    return render(request, "quizzes/account_data.html", {"session_days": settings.SESSION_COOKIE_AGE // DAY})


@require_safe
@never_cache
def account_export(request: PersonRequest) -> StreamingHttpResponse:
    """Everything that is kept about the person, as a file."""
    now = timezone.now()
    response = StreamingHttpResponse(personal_file(request.user, now), content_type="application/json")
    name = f"counterpoise-my-data-{now:%Y-%m-%d}.json"
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@sensitive_post_parameters("password")
def account_erase(request: PersonRequest) -> HttpResponse:
    """Erase the account after asking for user name and password; then nobody is logged in."""
    user = request.user
    form = EraseForm(request.POST if request.method == "POST" else None, user=user)
    if request.method == "POST" and form.is_valid():
        try:
            erase_person(user=user)
        except SoleOwnerError:
            pass  # The page says which courses, and what to do first.
        else:
            logout(request)
            messages.success(request, "Your account and everything personal are erased. You are logged out.")
            return redirect("home")
    context = {
        "form": form,
        "courses": owned_alone(user),
        "drills": Attempt.objects.filter(student=user).count(),
        "answers": Answer.objects.filter(question__attempt__student=user).count(),
        "notes": HerbNote.objects.filter(user=user).count(),
    }
    return render(request, "quizzes/account_erase.html", context)
