"""Input rules of a private note on a herb."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from .models.notes import LONGEST
from .set_forms import plain_helper


class PlainTextField(forms.CharField):
    """Text of several lines. A line's end counts once, as it does in the browser, which sends two characters for it."""

    def to_python(self, value: Any) -> str:
        """The text with one character for each line's end, and without blanks around it."""
        return str(super().to_python(value) or "").replace("\r\n", "\n").replace("\r", "\n")


class NoteForm(forms.Form):
    """The text of a note, and the version that was on the page: 0 for none."""

    text = PlainTextField(
        label="Your note",
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 12}),
        help_text=f"Plain text, at most {LONGEST:,} characters. Save it empty to delete the note. "
        "Write nothing that would tell who a real person is.",
    )
    base = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)

    helper: FormHelper = plain_helper()
