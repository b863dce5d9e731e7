"""Pictures and sheets that people send, and what they take out."""

from typing import Any

from crispy_forms.layout import Column, Layout, Row
from django import forms

from herbs.models import Herb, Part, Picture
from herbs.sheets import FORMATS

from .heads import plain_helper


class PictureForm(forms.Form):
    """A picture of a part of one herb: alt text, credit and licence are required."""

    picture = forms.FileField(
        label="Picture", help_text="JPEG, PNG or WebP, up to 8 MB and 25 million pixels. Its place and camera data are removed.",
        widget=forms.FileInput(attrs={"accept": ".jpg,.jpeg,.png,.webp"}), allow_empty_file=True,
        error_messages={"required": "Choose a picture."},
    )  # fmt: skip
    part = forms.ModelChoiceField(Part.objects.none(), label="Part", to_field_name="slug", empty_label=None)
    stage = forms.ChoiceField(
        label="What it shows", choices=[("", "Choose …"), *Picture.Stage.choices],
        error_messages={"required": "Say what the picture shows."},
    )  # fmt: skip
    alt = forms.CharField(
        label="In words", max_length=250, error_messages={"required": "Describe the picture for those who cannot see it."},
        help_text="What can be seen, for readers who cannot see it: ovate leaves in pairs on a square stem.",
    )  # fmt: skip
    credit = forms.CharField(
        label="Credit", max_length=160, error_messages={"required": "Say who made the picture."},
        help_text="Who made it, and when or where it was published.",
    )  # fmt: skip
    licence = forms.ChoiceField(
        label="Licence", choices=[("", "Choose …"), *Picture.Licence.choices],
        error_messages={"required": "Choose the licence under which it may be shown."},
    )  # fmt: skip

    def __init__(self, *args: Any, herb: Herb, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        part = self.fields["part"]
        assert isinstance(part, forms.ModelChoiceField)  # noqa: S101
        part.queryset = herb.parts.all()
        for name in ("alt", "credit"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        self.helper = plain_helper(
            Layout(
                "picture",
                Row(Column("part", css_class="col-sm-6"), Column("stage", css_class="col-sm-6")),
                "alt",
                Row(Column("credit", css_class="col-sm-6"), Column("licence", css_class="col-sm-6")),
            )
        )


class UploadForm(forms.Form):
    """A sheet of claims, or the file of one herb."""

    file = forms.FileField(
        label="File", help_text="A .csv or .xlsx sheet of claims, or the .yaml file of one herb; up to 2 MB.",
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,.yaml,.yml"}), allow_empty_file=True,
        error_messages={"required": "Choose a file."},
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()


class ExportForm(forms.Form):
    """Which claims to take out, and as what."""

    herb = forms.ModelChoiceField(
        Herb.objects.none(), label="Herb", to_field_name="slug", required=False, empty_label="All herbs"
    )
    kind = forms.ChoiceField(label="As", choices=[(kind, kind.upper()) for kind in FORMATS])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        herb = self.fields["herb"]
        assert isinstance(herb, forms.ModelChoiceField)  # noqa: S101
        herb.queryset = Herb.objects.order_by("latin")
        self.helper = plain_helper(
            Layout(Row(Column("herb", css_class="col-sm-8"), Column("kind", css_class="col-sm-4")))
        )


__all__ = ["ExportForm", "PictureForm", "UploadForm"]
