"""One claim as a row of fields: those that its predicate has."""

import json
from collections.abc import Mapping
from typing import Any

from crispy_forms.layout import HTML, Div, Field, Layout
from django import forms
from django.urls import reverse

from herbs.claim_lines import fields_of
from herbs.models import Claim

from .heads import plain_helper
from .words import CHOOSE, PREDICATES, SUBJECTS, Words

P = Claim.Predicate
LABELS = {
    "level": "Level", "reason": "Reason", "menstruum": "Menstruum", "alcohol": "Alcohol, % by volume", "ratio": "Ratio",
    "low": "Dose from", "high": "Dose to", "unit": "Unit", "times": "Times a day", "course": "Longest course, days",
    "age": "Age of the plant, years", "site": "Place", "form": "Form", "source": "Source", "seen": "Read or recalled",
    "note": "Note",
}  # fmt: skip
TEMPLATE = "herbs/_claim_field.html"
PLACEHOLDERS = {"ratio": "1:5"}
# What may be said of a place alone; an action is drilled at one.
PLACED = {P.DEGREE, P.ACTION}
# A change of these changes which fields a row has.
STEERING = ("predicate", "source")


class ClaimForm(forms.Form):
    """The fields of one claim, filled with its values (texts by field). Faults are put beside fields by ``blame``."""

    def __init__(self, values: Mapping[str, str], *, words: Words, prefix: str, autofocus: bool = False) -> None:
        super().__init__({f"{prefix}-{field}": value for field, value in values.items()}, prefix=prefix)
        predicate = values.get("predicate", "")
        self.fields["predicate"] = _field(
            "What is said", [*PREDICATES.items()] if predicate else [CHOOSE, *PREDICATES.items()]
        )
        names = fields_of(predicate) if predicate in P.values else ()
        needless = {name for name in ("seen", "site") if not values.get(name)}
        needless -= {"seen"} if words.is_published(values.get("source", "")) else set()
        needless -= {"site"} if predicate in PLACED else set()
        names = tuple(name for name in names if name not in needless)
        if names:
            self.fields["subject"] = _field(SUBJECTS[P(predicate)], words.choices("subject", predicate), limit=200)
        for name in names:
            label = ("Degree" if predicate == P.DEGREE else "Strength") if name == "amount" else LABELS[name]
            choices = words.choices(name, predicate)
            if choices is not None:
                choices = _with(choices, values.get(name, ""))
            self.fields[name] = _field(label, choices, placeholder=PLACEHOLDERS.get(name, ""))
        for name, field in self.fields.items():
            field.widget.attrs["aria-describedby"] = f"id_{prefix}-{name}_fault"
        self._swap_fields_on_change(prefix)
        if autofocus:
            first = next((name for name in names if not values.get(name)), "subject")
            first = "subject" if not values.get("subject") else first
            self.fields[first if names else "predicate"].widget.attrs["autofocus"] = True
        self.helper = plain_helper(_layout(predicate, names, values))
        self.helper.form_show_errors = False  # the field's own template tells them
        self.full_clean()

    def _swap_fields_on_change(self, prefix: str) -> None:
        """Another predicate or source has other fields: htmx asks for the row anew."""
        part, _, key = prefix.partition("-")
        for name in STEERING:
            if name in self.fields:
                self.fields[name].widget.attrs |= {
                    "hx-post": reverse("herbs:claim-row"),
                    "hx-trigger": "change consume",
                    "hx-target": f"#row-{prefix}",
                    "hx-swap": "outerHTML",
                    "hx-vals": json.dumps({"do": f"fields:{part}:{key}"}),
                }

    def blame(self, field: str, sentence: str) -> None:
        """Put a sentence beside a field, or to the row as a whole when it has no such field."""
        self.add_error(field if field in self.fields else None, sentence)


def _with(choices: list[Any], value: str) -> list[Any]:
    """Choices that hold a value, even one that they do not offer, such as half a degree."""
    flat = {slug for entry in choices for slug, _ in (entry[1] if isinstance(entry[1], list) else [entry])}
    return choices if value in flat else [*choices, (value, value)]


def _field(label: str, choices: list[Any] | None, *, placeholder: str = "", limit: int = 400) -> forms.CharField:
    widget: forms.Widget
    if choices is not None:
        widget = forms.Select(choices=choices)
    else:
        attrs = {"autocomplete": "off", "maxlength": str(limit)} | ({"placeholder": placeholder} if placeholder else {})
        widget = forms.TextInput(attrs=attrs)
    return forms.CharField(label=label, required=False, widget=widget)


def _layout(predicate: str, names: tuple[str, ...], values: Mapping[str, str]) -> Layout:
    """Predicate, subject, figures and source at once; making, place, form and note folded away while they are empty."""
    making = [
        name for name in names if name in ("menstruum", "alcohol", "ratio", "low", "high", "unit", "times", "course")
    ]
    further = [
        name for name in ("site", "form", "note") if name in names and not (name == "site" and predicate == P.ACTION)
    ]
    main = [name for name in names if name not in (*making, *further, "source", "seen")]
    cited = [name for name in ("source", "seen") if name in names]
    shown = ["predicate", "subject", *main, *cited] if names else ["predicate"]
    parts: list[Any] = [
        Div(
            *[Field(name, template=TEMPLATE, wrapper_class=f"field-{name}") for name in shown], css_class="claim-fields"
        )
    ]
    for title, folded in (("Making and dose", making), ("Note and limits", further)):
        if folded:
            opened = " open" if any(values.get(name) for name in folded) else ""
            parts += [
                HTML(f"<details class='more-fields'{opened}><summary>{title}</summary>"),
                Div(
                    *[Field(name, template=TEMPLATE, wrapper_class=f"field-{name}") for name in folded],
                    css_class="claim-fields",
                ),
                HTML("</details>"),
            ]
    return Layout(*parts)
