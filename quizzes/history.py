"""Everything a student has met: the filter, and rows for the list. A question without a mark shows nothing of its key."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.db.models import Q

from herbs.catalogue import MateriaMedica
from herbs.names import fold
from lessons.engine import FAMILIES

from .bank_forms import ANY, family_choices, plain_helper
from .engine import answer_words
from .models import Question, answer_of
from .presenting import item_title

LONGEST_ANSWER = timedelta(minutes=30)  # beyond that somebody went away and came back
SHORTEST_TEXT, LONGEST_TEXT = 3, 80
UNFINISHED = "unfinished"
OUTCOME_CHOICES = {
    "both-right": "Right, for the reason that decides",
    "right-for-a-wrong-reason": "Right, for another reason",
    "wrong-for-a-right-reason": "Wrong, though the reason was right",
    "both-wrong": "Wrong",
    "unsafe": "Unsafe",
    UNFINISHED: "Unfinished",
}
GRADED = Q(answer__score__isnull=False)


class HistoryForm(forms.Form):
    """What of one's history is shown. A field that makes no sense says so and filters nothing."""

    family = forms.ChoiceField(label="Kind of question", required=False)
    action = forms.ChoiceField(label="Action class", required=False)
    outcome = forms.ChoiceField(label="Outcome", required=False, choices=[(ANY, "Any"), *OUTCOME_CHOICES.items()])
    text = forms.CharField(
        label="Case or herb",
        required=False,
        min_length=SHORTEST_TEXT,
        max_length=LONGEST_TEXT,
        help_text="Herbs are looked for in questions that have their mark.",
        error_messages={
            "min_length": f"Write at least {SHORTEST_TEXT} letters of a word.",
            "max_length": f"Write no more than {LONGEST_TEXT} letters.",
        },
    )

    def __init__(self, *args: Any, classes: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, choices, sentence in (
            ("family", family_choices(), "There is no such kind of question. Choose one from the list."),
            ("action", classes, "There is no such action class. Choose one from the list."),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101
            field.choices = [(ANY, "Any"), *choices]
            field.error_messages["invalid_choice"] = sentence
        self.fields["outcome"].error_messages["invalid_choice"] = "There is no such outcome. Choose one from the list."
        self.helper: FormHelper = plain_helper()

    def condition(self, medica: MateriaMedica) -> Q:
        """The condition on questions."""
        if not self.is_bound:
            return Q()
        self.is_valid()
        data = {name: value for name, value in self.cleaned_data.items() if value}
        found = Q(**{f"item__{name}": data[name] for name in ("family", "action") if name in data})
        if outcome := data.get("outcome"):
            found &= ~GRADED if outcome == UNFINISHED else Q(answer__outcome=outcome)
        if text := data.get("text"):
            found &= text_condition(text, medica)
        return found

    @property
    def is_asking(self) -> bool:
        """Whether anything is filtered."""
        return self.is_bound and any(self.cleaned_data.get(name) for name in self.fields)


def text_condition(text: str, medica: MateriaMedica) -> Q:
    """Questions whose case or stem holds a text, or, where they have their mark, in which a herb of that name stands.

    Before the mark only what stands on the question's own page is searched, so that the search tells nothing of the key.
    """
    said = Q(item__content__stem__icontains=text) | Q(item__content__vignette__icontains=text)
    folded, herbs = fold(text), Q()
    for slug, row in medica.rows.items():
        if folded and (folded in fold(row.label) or folded in fold(row.latin)):
            herbs |= Q(item__herbs__icontains=f'"{slug}"')
    return said | (GRADED & herbs) if herbs else said


def rows_of(questions: Sequence[Question], medica: MateriaMedica) -> list[dict[str, Any]]:
    """Questions as the list shows them; they come with attempt, item and answer."""
    plurals = {term.slug: term.plural for term in medica.class_actions}
    rows = []
    for question in questions:
        item, answer = question.item.opened, answer_of(question)
        is_done = answer is not None and answer.score is not None
        rows.append(
            {
                "question": question,
                "title": item_title(item),
                "family": FAMILIES[question.item.family].TITLE,
                "action": plurals.get(question.item.action, ""),
                "answer": answer,
                "chosen": answer_words(item, answer.choice) if answer else "",
                "is_done": is_done,
                "outcome": OUTCOME_CHOICES[answer.outcome] if is_done and answer else OUTCOME_CHOICES[UNFINISHED],
                "met_at": answer.chosen_at if answer else question.shown_at,
                "time": time_words(time_taken(question)),
            }
        )
    return rows


def time_taken(question: Question) -> timedelta | None:
    """From the page first asked for to the choice; None where either is not kept, or where somebody went away in between."""
    answer = answer_of(question)
    if answer is None or question.shown_at is None:
        return None
    taken = answer.chosen_at - question.shown_at
    return taken if timedelta(0) <= taken <= LONGEST_ANSWER else None


def time_words(taken: timedelta | None) -> str:
    """A time as "42 s" or "3 min 5 s"; empty where it is not known."""
    if taken is None:
        return ""
    minutes, seconds = divmod(round(taken.total_seconds()), 60)
    return f"{minutes} min {seconds} s" if minutes else f"{seconds} s"
