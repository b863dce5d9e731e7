"""Input rules of drills."""

import uuid
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from lessons.engine import FAMILIES
from lessons.engine.trust import PROVED

LENGTHS = (
    (5, "5 questions, about 8 minutes"),
    (10, "10 questions, about 15 minutes"),
    (20, "20 questions, about half an hour"),
)
MIXED = "mixed"


class DrillForm(forms.Form):
    """Which class, how many questions. The code makes a repeated start harmless."""

    family = forms.ChoiceField(label="Kind of question", required=False)
    action = forms.ChoiceField(label="Action class")
    length = forms.TypedChoiceField(label="Length", choices=LENGTHS, coerce=int, initial=5)
    code = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, classes: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["action"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101
        field.choices = [(MIXED, "All classes, mixed"), *classes]
        field.error_messages["invalid_choice"] = "There is no such action class. Choose one from the list."
        kinds = self.fields["family"]
        assert isinstance(kinds, forms.ChoiceField)  # noqa: S101
        kinds.choices = [(name, FAMILIES[name].TITLE) for name in PROVED] + [(MIXED, "All kinds, mixed")]
        kinds.initial = PROVED[0]
        kinds.error_messages["invalid_choice"] = "There is no such kind of question. Choose one from the list."
        self.fields["length"].error_messages["invalid_choice"] = "A drill has 5, 10 or 20 questions."
        self.fields["code"].initial = uuid.uuid4
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

    def renew(self) -> None:
        """Give the form a new code and say so: the one that came is broken, or is somebody else's."""
        self.data = {**self.data, "code": str(uuid.uuid4())}
        self.add_error(None, "This form was out of date. It is renewed: press Start the drill once more.")

    def clean(self) -> dict[str, Any] | None:
        """A broken code is renewed, since nobody can mend a hidden field."""
        if self.errors.pop("code", None):
            self.renew()
        return super().clean()

    def clean_family(self) -> str:
        """The name of an item family, empty for mixed; the first one where none is said."""
        family: str = self.cleaned_data["family"] or PROVED[0]
        return "" if family == MIXED else family

    def clean_action(self) -> str:
        """The slug of a class, empty for mixed."""
        action: str = self.cleaned_data["action"]
        return "" if action == MIXED else action
