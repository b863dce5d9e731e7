"""What is said after an answer, gathered for tests: every sentence of an item, and the names of its herbs."""

import re

from herbs.engine import HERB_POLES
from lessons.engine import responses
from lessons.engine.because import BARE
from lessons.engine.qualities import inset
from lessons.engine.state_kinds import NOUNS
from quizzes.engine.feedback import chain, explain_options
from quizzes.engine.phrases import subject_name
from quizzes.engine.remember import remember

VERBS = {verb: (axis, sign) for axis, poles in HERB_POLES.items() for verb, sign in zip(poles, (1, -1), strict=True)}
VERBS |= {BARE[verb]: told for verb, told in VERBS.items()}
THINGS = {thing: (axis, sign) for axis, pair in NOUNS.items() for thing, sign in zip(pair, (1, -1), strict=True)}


def answers(item):
    """Every answer of a choice or a lean; a spread of those of an order, a matching and a place; always the right one."""
    count, right = responses.count(item), responses.right_response(item)
    step = 1 if count <= 5 else count // 4
    return sorted({*range(0, count, step), *([] if right is None else [right])})


def reasons(item, choice):
    """The reasons offered for an answer."""
    return item["because"][choice if len(item["because"]) > 1 else 0]


def everything_kept(item):
    """(answer, reason, sentence) for every reason of some answers."""
    for choice in answers(item):
        for number, reason in enumerate(reasons(item, choice)):
            yield choice, reason, remember(item, choice, number)


def labels_of(item):
    """The names of the item's herbs as they stand in a sentence, by part."""
    named = [*item["options"], *(item.get("subject") or {}).get("herbs", [])]
    if "herb" in (item.get("subject") or {}) and isinstance(item["subject"]["herb"], dict):
        named.append(item["subject"]["herb"])
    found = {option["part"]: inset(option["label"]) for option in named if "part" in option}
    rows = item["certificate"]["rows"]
    if "labels" in item["words"]:
        found |= {row["part"]: label for row, label in zip(rows, item["words"]["labels"], strict=True)}
    if item["family"] in ("what-would-have-to-change", "new-finding"):
        found[rows[0]["part"]] = subject_name(item)
    if item["family"] in ("taste-to-effect", "preparation"):
        found[rows[0]["part"]] = inset(item["words"]["herb"])
    return found


def without(text, labels):
    """The text without the names of herbs, whose forms hold words such as "cold infusion", and without what is quoted."""
    text = re.sub("“[^”]*”", "", text)
    for label in sorted(labels, key=len, reverse=True):
        text = re.sub(re.escape(label), "HERB", text, flags=re.IGNORECASE)
    return text


def texts(item):
    """Every sentence shown after an answer, whatever it was."""
    for step in chain(item):
        if "text" in step and "herb" not in step:
            yield step["text"]
    for choice in answers(item):
        yield from (option["why"] for option in explain_options(item, choice))
    yield from (kept for _, _, kept in everything_kept(item))
