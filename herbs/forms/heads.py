"""The head of a herb, and of each of its parts."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Column, Div, Layout, Row
from django import forms

from herbs.claim_lines import UNPRINTABLE, one_line
from herbs.loading.herb_files import STATUSES
from herbs.models import Herb, Part, Term

from .words import CHOOSE, Words

STATUS_LABELS = {
    "toxic": "toxic",
    "restricted": "restricted by law or to practitioners",
    "at-risk": "at risk in the wild",
}
LISTS = ("other_names", "synonyms", "old_names")


def plain_helper(layout: Layout | None = None) -> FormHelper:
    """A helper for a form whose form element, token and buttons stand in the template."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.layout = layout
    return helper


def _text(model: type[Herb] | type[Part], name: str, label: str, help_text: str = "", **attrs: str) -> forms.CharField:
    limit = getattr(model._meta.get_field(name), "max_length", None) or 200
    widget = forms.TextInput(attrs={"maxlength": str(limit), "autocomplete": "off", **attrs})
    return forms.CharField(label=label, help_text=help_text, required=False, widget=widget)


def _lines(label: str, help_text: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=False,
        widget=forms.Textarea(attrs={"rows": "2", "autocomplete": "off"}),
    )


class HeadForm(forms.Form):
    """Names, family, habit and status. Nothing is required here: the rules of the files judge the herb as a whole."""

    latin = _text(Herb, "latin", "Latin name", "The accepted binomial, without its author.", spellcheck="false")
    author = _text(Herb, "author", "Author of the name", "As botanists write it: L., Mill., Roscoe.")
    family = _text(Herb, "family", "Family", list="families")
    name = _text(Herb, "name", "English name", "The one that is used in labels.")
    habit = forms.CharField(label="Habit of growth", required=False)
    other_names = _lines("Other English names", "One on each line.")
    synonyms = _lines("Latin synonyms", "One on each line; an old name then finds the herb.")
    old_names = _lines("Names in older books", "One on each line.")
    status = forms.MultipleChoiceField(
        label="Marked as", required=False, widget=forms.CheckboxSelectMultiple,
        choices=[(word, STATUS_LABELS.get(word, word)) for word in sorted(STATUSES)],
    )  # fmt: skip
    status_note = forms.CharField(
        label="Why it is marked", required=False, widget=forms.Textarea(attrs={"rows": "2", "autocomplete": "off"})
    )

    def __init__(self, *args: Any, words: Words, more_open: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["habit"].widget = forms.Select(choices=[CHOOSE, *words.terms(Term.Kind.HABIT)])
        opened = " open" if more_open else ""
        more = "Other names, and marks for toxic, restricted or rare plants"
        self.helper = plain_helper(
            Layout(
                Row(Column("latin", css_class="col-sm-7"), Column("author", css_class="col-sm-5")),
                Row(Column("family", css_class="col-sm-7"), Column("habit", css_class="col-sm-5")),
                Row(Column("name", css_class="col-sm-7")),
                HTML(f"<details class='more-fields'{opened}><summary>{more}</summary>"),
                Row(Column("other_names", css_class="col-sm-6"), Column("synonyms", css_class="col-sm-6")),
                Row(Column("old_names", css_class="col-sm-6")),
                Div("status", "status_note"),
                HTML("</details>"),
            )
        )  # fmt: skip


class PartForm(forms.Form):
    """What a part is called and how it is usually taken; energetics belong to it."""

    part = _text(Part, "name", "Part used", "In lower case: root, leaf, flowering tops.", list="part-names")
    name = _text(Part, "name", "Name of the part, if longer", "Left empty, it is the part used.")
    label = _text(Part, "label", "Label", "Left empty, it is the English name and the part: ginger rhizome.")
    drug_name = _text(Part, "drug_name", "Name in pharmacopoeias", "Zingiberis rhizoma.", spellcheck="false")
    usual_form = forms.CharField(label="Usually taken as", required=False)

    def __init__(self, *args: Any, words: Words, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["usual_form"].widget = forms.Select(choices=[CHOOSE, *words.usual_forms])
        self.helper = plain_helper(
            Layout(
                Row(Column("part", css_class="col-sm-6"), Column("usual_form", css_class="col-sm-6")),
                HTML("<details class='more-fields'><summary>Label and further names of the part</summary>"),
                Row(Column("label", css_class="col-sm-6"), Column("name", css_class="col-sm-6")),
                Row(Column("drug_name", css_class="col-sm-6")),
                HTML("</details>"),
            )
        )


def lines_of(text: str) -> list[str]:
    """The names in a box, one on each line, blank lines left out."""
    return [name for line in text.splitlines() if (name := one_line(line))]


def paragraph(text: str) -> str:
    """A longer text as it is kept: printable, with its own line ends."""
    return UNPRINTABLE.sub("", text).replace("\r\n", "\n").replace("\r", "\n").strip()
