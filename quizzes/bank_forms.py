"""Input rules of the item bank."""

import uuid
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from lessons.engine import FAMILIES
from lessons.models import Item

AT_MOST = 20
ANY = ""


def plain_helper() -> FormHelper:
    """Layout only: the form element and its token stand in the template."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    return helper


def family_choices() -> list[tuple[str, str]]:
    """Families by name, with their titles."""
    return [(name, module.TITLE) for name, module in FAMILIES.items()]


class FilterForm(forms.Form):
    """What of the bank is shown; nonsense is the same as anything."""

    review = forms.ChoiceField(
        label="Review",
        required=False,
        choices=[(ANY, "Any"), *[(s.value, s.label.capitalize()) for s in Item.Review if s != Item.Review.GENERATED]],
    )
    family = forms.ChoiceField(label="Kind of question", required=False)
    action = forms.ChoiceField(label="Action class", required=False)

    def __init__(self, *args: Any, classes: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, choices in (("family", family_choices()), ("action", classes)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101
            field.choices = [(ANY, "Any"), *choices]
        self.helper = plain_helper()

    def lookups(self) -> dict[str, str]:
        """What to filter by."""
        if not self.is_bound:
            return {}
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


class MakeForm(forms.Form):
    """How many drafts of which family and class. The code makes a repeat harmless."""

    family = forms.ChoiceField(label="Kind of question")
    action = forms.ChoiceField(label="Action class", required=False)
    count = forms.IntegerField(label="How many", min_value=1, max_value=AT_MOST, initial=5)
    code = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, classes: list[tuple[str, str]], **kwargs: Any) -> None:
        # The filter of the same page has fields of the same names.
        super().__init__(*args, **{"auto_id": "make_%s"} | kwargs)
        for name, choices in (("family", family_choices()), ("action", [(ANY, "Any class"), *classes])):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101
            field.choices = choices
        self.fields["code"].initial = uuid.uuid4
        stale = "This form was out of date. Open the page again."
        self.fields["code"].error_messages = {"required": stale, "invalid": stale}
        self.helper = plain_helper()


class ReviewForm(forms.Form):
    """The next state of an item, with a reason where it is retired."""

    after = forms.ChoiceField(choices=[(s.value, s.label) for s in Item.Review if s != Item.Review.GENERATED])
    reason = forms.CharField(label="Reason", max_length=200, required=False)


class WordingForm(forms.Form):
    """The words of an item."""

    stem = forms.CharField(label="Question", max_length=300)
    vignette = forms.CharField(label="Case", max_length=900, widget=forms.Textarea(attrs={"rows": 7}))

    def __init__(self, *args: Any, has_vignette: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_vignette:
            del self.fields["vignette"]
        self.helper = plain_helper()
