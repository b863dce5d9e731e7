"""Audit of the writing: the guidelines of Haladyna, Downing & Rodriguez (2002) that a machine can check.

T. M. Haladyna, S. M. Downing and M. C. Rodriguez, A review of multiple-choice item-writing guidelines for classroom
assessment, Applied Measurement in Education 15(3), 309-334. Guidelines are told in our own words. Each check is named by the
guideline's number there and returns a sentence for an instructor when an item breaks it, else None.

What a machine cannot see, and who has to:

| guideline | checked here | left to a person |
|---|---|---|
| 1 specific content | family, way of answering and subject are named | whether the family tests what the course wants |
| 2 important content | something decides the answer | whether it matters in practice |
| 3 novel material | options do not repeat the vignette | whether the class has met the case before |
| 4 independence | names and skeletons across a form | hints by sense alone |
| 5 specificity | trivia and catch-all questions by their wording | the right grain for the course |
| 7 tricks | doubled negatives | intent to mislead |
| 8 vocabulary | raw names, monsters of words | what these students have been taught |
| 12 grammar | articles, pronouns with verbs | the rest of grammar; spelling |
| 16 window dressing | padding and length of the stem | findings that bear on nothing: some are meant to |
| 20 place of the key | over a form, where one option is chosen | |
| 21 order of options | figures | orders of sense: options without figures are shuffled by the seed |
| 28c grammar | article and kind of phrase of the key | finer mismatches |
| 28e pairs | herbs of one genus, options sharing words | taste-to-effect and name-the-state pair the key |
|    |    | with its contrary by their rule, which is the error they teach |
| 28f absurd options | herbs off the list, impossible figures | |
| 29, 30 distractors | each has a fault of the known ones | how many choose it: item statistics tell |
| 31 humour | marks, emoji, set phrases | wit |
"""

from collections.abc import Sequence
from types import ModuleType
from typing import NamedTuple

from . import clues, content, layout, options, stem
from .clues import clang
from .form import FORM_CHECKS
from .options import uneven
from .text import Check, Item, ItemText

PREFIX = "guideline_"


class Flaw(NamedTuple):
    """One guideline that an item breaks: its number, the check's name, and a sentence for an instructor."""

    guideline: int
    name: str
    sentence: str


class FormFlaw(NamedTuple):
    """One guideline that a form breaks, and the position of the item where it shows, counted from 0."""

    position: int
    flaw: Flaw


def _checks(*modules: ModuleType) -> tuple[Check, ...]:
    found = {name: check for module in modules for name, check in vars(module).items() if name.startswith(PREFIX)}
    return tuple(found[name] for name in sorted(found))


def _number(name: str) -> int:
    return int(name.removeprefix(PREFIX)[:2])


CHECKS: tuple[Check, ...] = _checks(content, layout, stem, options, clues)
_NAMED: tuple[tuple[str, Check], ...] = tuple((check.__name__, check) for check in CHECKS)


def flaws(item: Item) -> list[Flaw]:
    """Every guideline the item breaks, in the order of their numbers; empty for a clean item."""
    text = ItemText(item)
    return [Flaw(_number(name), name, sentence) for name, check in _NAMED if (sentence := check(text))]


def audit(item: Item) -> list[str]:
    """Every guideline the item breaks, as sentences; empty for a clean item."""
    return [flaw.sentence for flaw in flaws(item)]


def audit_form(items: Sequence[Item]) -> list[FormFlaw]:
    """Every guideline that the items break as one form, beside those that each breaks alone."""
    texts = [ItemText(item) for item in items]
    return [
        FormFlaw(position, Flaw(_number(check.__name__), check.__name__, sentence))
        for check in FORM_CHECKS
        for position, sentence in check(texts)
    ]


__all__ = ["CHECKS", "FORM_CHECKS", "Flaw", "FormFlaw", "audit", "audit_form", "clang", "flaws", "uneven"]
