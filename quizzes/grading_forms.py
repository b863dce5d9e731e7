"""Input rules of how a course grades, and of regrades."""

import uuid
from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Column, Layout, Row
from django import forms

from .bank_forms import plain_helper
from .engine import CURRENT, LEAST_WEIGHT, PARTS, WEIGHTS
from .models import GradingScheme

WHOLE = 100
HIGHEST = 32_767  # of a version's number
STALE = "This page was out of date. Open it again."


class GradingForm(forms.Form):
    """Weights in hundredths that sum to 100, and how often the pattern is asked. ``base`` is the version that was on the page."""

    reading = forms.IntegerField(label="Pattern", min_value=0, max_value=WHOLE)
    choice = forms.IntegerField(
        label="Answer",
        min_value=1,
        max_value=WHOLE,
        error_messages={"min_value": "The answer always weighs something."},
    )
    reason = forms.IntegerField(
        label="Reason",
        min_value=1,
        max_value=WHOLE,
        error_messages={"min_value": "The reason always weighs something."},
    )
    confidence = forms.IntegerField(label="Confidence", min_value=0, max_value=WHOLE)
    asks_reading = forms.ChoiceField(
        label="The pattern is asked",
        choices=GradingScheme.Asks.choices,
        help_text="Before the answer, axis by axis, in drills and in practice.",
    )
    base = forms.IntegerField(
        min_value=0, max_value=HIGHEST, widget=forms.HiddenInput, error_messages={"required": STALE, "invalid": STALE}
    )

    def __init__(self, *args: Any, latest: GradingScheme | None, **kwargs: Any) -> None:
        holds: dict[str, Any] = dict(latest.weights if latest else WEIGHTS[CURRENT])
        holds["asks_reading"] = latest.asks_reading if latest else GradingScheme.Asks.SOME
        holds["base"] = latest.number if latest else 0
        super().__init__(*args, **{"initial": holds} | kwargs)
        self.helper = plain_helper()
        self.helper.layout = Layout(
            Row(*(Column(part, css_class="col-6 col-sm-3") for part in PARTS)), "asks_reading", "base"
        )

    def clean_confidence(self) -> int:
        """A weight so small that rounding would spoil the rule is refused."""
        weight: int = self.cleaned_data["confidence"]
        if 0 < weight < LEAST_WEIGHT:
            raise forms.ValidationError(
                f"Give confidence at least {LEAST_WEIGHT}, or 0 not to ask for it: with less, rounding would make it pay "
                f"to say more than one thinks."
            )
        return weight

    def clean(self) -> dict[str, Any]:
        """The weights sum to 100, and a pattern that is asked weighs something."""
        data = super().clean() or self.cleaned_data
        if all(part in data for part in PARTS):
            total = sum(data[part] for part in PARTS)
            if total != WHOLE:
                much = f"Add {WHOLE - total}" if total < WHOLE else f"Take away {total - WHOLE}"
                raise forms.ValidationError(f"The weights sum to {total}, and must sum to {WHOLE}. {much}.")
            if not data["reading"] and data.get("asks_reading") != GradingScheme.Asks.NEVER:
                self.add_error(
                    "reading", "A pattern that is asked weighs something. Give it a weight, or never ask for it."
                )
        return data


class RegradeForm(forms.Form):
    """A version to regrade by, and why. The code makes a repeat harmless; ``seen`` is how many marks the preview said."""

    reason = forms.CharField(
        label="Why the marks are worked out anew",
        max_length=200,
        help_text="It stands in the log, for whoever teaches here.",
    )
    version = forms.ModelChoiceField(
        queryset=GradingScheme.objects.none(),
        to_field_name="number",
        widget=forms.HiddenInput,
        error_messages={"required": STALE, "invalid_choice": "There is no such version. Choose one from the list."},
    )
    seen = forms.IntegerField(min_value=0, required=False, widget=forms.HiddenInput)
    code = forms.UUIDField(widget=forms.HiddenInput, error_messages={"required": STALE, "invalid": STALE})

    def __init__(self, *args: Any, versions: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["version"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101
        field.queryset = versions
        self.fields["code"].initial = uuid.uuid4
        self.helper = plain_helper()
        # The page fills in what was seen, anew each time it is shown.
        self.helper.layout = Layout("reason", "version", "code")


def version_among(versions: Iterable[GradingScheme], text: str) -> GradingScheme | None:
    """The version whose number a text gives; the latest where it gives none, None where there is no such version."""
    rows = list(versions)
    if not text:
        return rows[0] if rows else None
    return next((row for row in rows if str(row.number) == text), None)
