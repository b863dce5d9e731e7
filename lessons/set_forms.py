"""Input rules of teaching sets: one role and place for each tradition, and overrides with their reasons."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from herbs.engine import AXES
from herbs.models import Part, TraditionRole
from herbs.teaching_sets import Document

BLANK_ROWS = 3
AXIS_CHOICES = [("", "axis"), *((axis, axis) for axis in AXES)]


def plain_helper() -> FormHelper:
    """Fields only: the page writes the form and its token."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    return helper


class SetForm(forms.Form):
    """Name, description and the revision the editor started from."""

    name = forms.CharField(max_length=80)
    description = forms.CharField(required=False, max_length=600, widget=forms.Textarea(attrs={"rows": 3}))
    base = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    helper = plain_helper()


class RoleForm(forms.Form):
    """The role of one tradition and its place in the order."""

    tradition = forms.SlugField(widget=forms.HiddenInput)
    role = forms.ChoiceField(choices=TraditionRole.Role.choices)
    place = forms.IntegerField(min_value=1, max_value=20, widget=forms.NumberInput(attrs={"min": 1, "max": 20}))


class OverrideForm(forms.Form):
    """One working value set by the school; an empty row, or one marked for removal, says nothing."""

    row = forms.CharField(label="Part", required=False, max_length=140, widget=forms.TextInput(attrs={"list": "parts"}))
    axis = forms.ChoiceField(required=False, choices=AXIS_CHOICES)
    value = forms.FloatField(
        required=False, min_value=-4, max_value=4, widget=forms.NumberInput(attrs={"step": "0.5", "min": -4, "max": 4})
    )
    reason = forms.CharField(required=False, max_length=300)
    remove = forms.BooleanField(required=False)

    def says_nothing(self) -> bool:
        """Whether the row is blank or to be removed."""
        return bool(self.cleaned_data.get("remove")) or not any(
            self.cleaned_data.get(key) not in (None, "") for key in ("row", "axis", "value", "reason")
        )


Roles = forms.formset_factory(RoleForm, extra=0)
Overrides = forms.formset_factory(OverrideForm, extra=BLANK_ROWS)


class SetEditor:
    """The three together: filled from a document, or from what was sent."""

    def __init__(self, document: Document, revision: int, data: Any = None) -> None:
        roles = [
            {"tradition": entry["tradition"], "role": entry["role"], "place": place}
            for place, entry in enumerate(document["roles"], 1)
        ]
        self.head = SetForm(
            data, initial={"name": document["name"], "description": document["description"], "base": revision}
        )
        self.roles = Roles(data, initial=roles, prefix="roles")
        self.overrides = Overrides(data, initial=document["overrides"], prefix="overrides")

    def is_valid(self) -> bool:
        """Whether every field is of its kind; what it means is checked when it is saved."""
        return all([self.head.is_valid(), self.roles.is_valid(), self.overrides.is_valid()])

    @property
    def base(self) -> int:
        """The revision the editor started from."""
        return int(self.head.cleaned_data["base"])

    def document(self) -> Document:
        """What was sent, as a document."""
        roles = sorted((form.cleaned_data for form in self.roles), key=lambda role: role["place"])
        return {
            "name": self.head.cleaned_data["name"].strip(),
            "description": self.head.cleaned_data["description"].strip(),
            "roles": [{"tradition": role["tradition"], "role": role["role"]} for role in roles],
            "overrides": [
                {key: form.cleaned_data[key] for key in ("row", "axis", "value", "reason")}
                for form in self.overrides
                if form.cleaned_data and not form.says_nothing()
            ],
        }


class CopyForm(forms.Form):
    """The name of a copy."""

    name = forms.CharField(label="Name of your copy", max_length=80)

    helper = plain_helper()


class ShareForm(forms.Form):
    """A colleague by user name."""

    username = forms.CharField(label="Colleague's user name", max_length=150)

    helper = plain_helper()


def part_choices() -> list[tuple[str, str]]:
    """Parts by slug and label, for the list of an override."""
    return list(Part.objects.order_by("label").values_list("slug", "label"))
