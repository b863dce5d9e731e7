"""Everything kept about a person, as one JSON file written piece by piece, so that its size needs no memory."""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model

from lessons.models import User

from .engine import FULL, answer_words, reading_signs, reasons_for
from .learning import why
from .models import Answer, Attempt, Question, Reading, RegradedAnswer
from .personal_links import ACCOUNT_WITHOUT, DRILLS, NOT_TOLD, Link, Told, links
from .presenting import open_item, pattern_read

CHUNK = 100  # rows read at once
AN_ATTEMPT = (
    "code", "kind", "title", "course__slug", "course__title", "form__code", "state", "length", "grading_version", "started_at",
    "finished_at",
)  # fmt: skip
Row = dict[str, Any]


def own_columns(model: type[Model], without: Iterable[str] = ()) -> list[str]:
    """The columns of a table that point nowhere, without its row number."""
    columns = [field.name for field in model._meta.concrete_fields if not field.is_relation and not field.primary_key]
    return [name for name in columns if name not in set(without)]


def personal_file(user: User, at: datetime) -> Iterator[str]:
    """The pieces of the file: about itself, the account, and a list for each kind of row, empty ones included."""
    about = {
        "what": "Everything that Counterpoise keeps about you.",
        "made_at": at,
        "times": "Times are in UTC.",
        "marks": f"A score is a number from 0 to {FULL}; points of its parts are named as on the page of a question.",
        "not_in_this_file": NOT_TOLD,
    }
    yield f'{{\n "about": {_json(about)},\n "account": {_json(_account(user))}'
    for link in links():
        rows = drills(user) if link.name == DRILLS else _rows(link, user)
        yield f",\n {_json(link.told.section)}: ["
        for number, row in enumerate(rows):
            yield f"{',' if number else ''}\n{_json(row)}"
        yield "]"
    # Without this last line a file was broken off on its way.
    yield ',\n "complete": true\n}\n'


def _json(value: Any) -> str:
    return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1)


def _account(user: User) -> Row:
    return {name: getattr(user, name) for name in own_columns(User, ACCOUNT_WITHOUT)}


def _rows(link: Link, user: User) -> Iterator[Row]:
    told: Told = link.told
    columns = told.columns or own_columns(link.model, told.without)
    found = link.model._base_manager.filter(**{link.field.name: user}).order_by("pk")
    for values in found.values(*columns).iterator(CHUNK):
        yield _named(values)


def _named(values: Row) -> Row:
    """A row with one underscore in the names of columns of other tables."""
    return {name.replace("__", "_"): value for name, value in values.items()}


def drills(user: User) -> Iterator[Row]:
    """Every drill and practice of a person, with its questions as they were shown and what was answered."""
    regraded = _regraded(user)
    questions = Question.objects.filter(attempt__student=user).select_related("item", "answer", "reading")
    ordered = questions.order_by("attempt_id", "position").iterator(CHUNK)
    by_attempt = groupby(ordered, key=lambda question: question.attempt_id)
    waiting: tuple[int, Iterator[Question]] | None = next(by_attempt, None)
    for values in Attempt.objects.filter(student=user).order_by("pk").values("pk", *AN_ATTEMPT).iterator(CHUNK):
        pk, asked = values.pop("pk"), []
        while waiting and waiting[0] < pk:  # a drill that somebody began or erased in the meantime
            waiting = next(by_attempt, None)
        if waiting and waiting[0] == pk:
            asked = [_question(question, regraded) for question in waiting[1]]
            waiting = next(by_attempt, None)
        yield _named(values) | {"questions": asked}


def _regraded(user: User) -> dict[int, list[Row]]:
    """Marks that were changed, by answer."""
    found: dict[int, list[Row]] = {}
    mine = RegradedAnswer.objects.filter(answer__question__attempt__student=user).order_by("pk")
    for row in mine.select_related("regrade"):
        told = {"at": row.regrade.at, "reason": row.regrade.reason, "taken_back_at": row.regrade.undone_at}
        found.setdefault(row.answer_id, []).append(told | {"before": row.before, "after": row.after})
    return found


def _question(question: Question, regraded: dict[int, list[Row]]) -> Row:
    """A question as it was shown, and what was answered. Nothing of its content before its page was opened."""
    answer, reading = _of(question, "answer", Answer), _of(question, "reading", Reading)
    told: Row = {"position": question.position, "shown_at": question.shown_at}
    if not (question.shown_at or answer or reading):
        return told
    item = question.item.opened
    told |= open_item(item)
    if question.asks_reading and reading is None and answer is None:
        told.pop("options")  # as on the page: the pattern is read before the herbs are seen
    if question.why:
        told["why_you_saw_it"] = why(question, is_answered=answer is not None and answer.reason is not None)
    if reading:
        told["pattern_read"] = {"words": pattern_read(reading_signs(reading.signs)), "read_at": reading.read_at}
    if answer:
        said = {name: getattr(answer, name) for name in own_columns(Answer, ("choice", "reason"))}
        reasons = reasons_for(item, answer.choice)
        told["answer"] = {
            "choice": answer_words(item, answer.choice),
            "reason": None if answer.reason is None else reasons[answer.reason]["text"],
            "reasons_shown": [reason["text"] for reason in reasons],
        } | said
        if answer.pk in regraded:
            told["answer"]["marks_changed"] = regraded[answer.pk]
    return told


def _of(question: Question, name: str, model: type[Model]) -> Any:
    try:
        return getattr(question, name)
    except model.DoesNotExist:  # type: ignore[attr-defined]
        return None
