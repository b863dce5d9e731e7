"""Input rules of people's pages."""

from typing import Any

from crispy_forms.helper import FormHelper
from django.contrib.auth.forms import AuthenticationForm


class LogInForm(AuthenticationForm):
    """Name and password."""

    error_messages = {
        "invalid_login": "The name and the password do not belong together. Check both and try again.",
        "inactive": "This account is closed. Ask your instructor.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        # The form element and its token stand in the template.
        self.helper.form_tag = False
        self.helper.disable_csrf = True
