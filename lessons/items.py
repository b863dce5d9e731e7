"""Writes to the item bank: every one may be repeated harmlessly, and none changes an item that was ever frozen."""

import re
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from django.db import transaction

from .bank import QuestionMaker
from .engine import FAMILIES, Constraints, NoValidItemError, audit, recheck
from .engine import Item as OpenedItem
from .engine.audit.text import numbers
from .models import Item, ItemReview, User
from .services import freeze_items

Review = Item.Review
# From which states a review may lead to which. A retired item stays retired: students met it, and its marks stand.
STEPS = {Review.DRAFT: {Review.APPROVED, Review.RETIRED}, Review.APPROVED: {Review.DRAFT, Review.RETIRED}}
EDITED = "Its wording was edited; see the new wording."
REVISED = "The materia medica was revised, and its key is no longer proved."
# Words of the sentences of a case that a caution could turn on.
TURNS_ON = re.compile(
    r"medicine|illness|allerg|pregnan|breastfe|operation|driv|ultraviolet|treat|specialist|doctor", re.IGNORECASE
)
TRIES = 5  # seeds tried for each item asked for


class ReviewError(Exception):
    """A review or an edit that cannot be made; the text says why and what to do."""


def seed_of(code: UUID, number: int = 0) -> int:
    """A seed that nobody can guess and that the same request meets again."""
    return (code.int >> 66) + number


def bank_drafts(
    *,
    maker: QuestionMaker,
    family: str,
    constraints: Constraints,
    count: int,
    code: UUID,
    sibling_of: Item | None = None,
) -> list[Item]:
    """Make items and put them into the bank as drafts. NoValidItemError when none can be proved within the constraints.

    The same code makes the same items, so that a repeat adds nothing.
    """
    contents: list[OpenedItem] = []
    for number in range(count * TRIES):
        try:
            item = maker.make(family, seed_of(code, number), constraints)
        except NoValidItemError:
            if not contents:
                raise
            break
        if all(item["skeleton"] != other["skeleton"] for other in contents):
            contents.append(item)
        if len(contents) == count:
            break
    return freeze_items(contents=contents, review=Review.DRAFT, sibling_of=sibling_of)


def make_sibling(*, item: Item, maker: QuestionMaker, code: UUID) -> Item:
    """Another item of the same family, class, site and state, as a draft. NoValidItemError when there is no other."""
    constraints = Constraints(item.action or None, item.site or None, item.state or None)
    for number in range(TRIES):
        found = maker.make(item.family, seed_of(code, number), constraints)
        stored = freeze_items(contents=[found], review=Review.DRAFT, sibling_of=item)[0]
        if stored.pk != item.pk:
            return stored
    raise NoValidItemError("There is no other question of this kind, class, place and state.")


def review_item(*, item: Item, after: str, reason: str, by: User | None) -> bool:
    """Approve, retire or take back an item; False when it was in that state already. ReviewError for a step that is not open."""
    reason = reason.strip()
    if after == Review.RETIRED and not reason:
        raise ReviewError("Say in a few words why the item is retired.")
    with transaction.atomic():
        row = Item.objects.select_for_update().get(pk=item.pk)
        if row.review == after:
            return False
        if after not in STEPS.get(Review(row.review), set()):
            raise ReviewError(f"An item that is {row.get_review_display()} cannot become {Review(after).label}.")
        if after == Review.APPROVED:
            _check_approvable(row.opened)
        ItemReview.objects.create(item=row, by=by, before=row.review, after=after, reason=reason)
        row.review, row.review_reason = after, reason
        row.save(update_fields=["review", "review_reason"])
    item.review, item.review_reason = after, reason
    return True


def _check_approvable(opened: OpenedItem) -> None:
    if FAMILIES[opened["family"]].PANEL:
        raise ReviewError("It has no key of its own: a panel has to answer before students meet it. It stays a draft.")
    if flaws := audit(opened):
        raise ReviewError(f"It cannot be approved while a guideline is broken: {' '.join(flaws)}")
    if wrong := recheck(opened):
        raise ReviewError(f"It cannot be approved while its proof does not hold: {' '.join(wrong)}")


def edit_wording(*, item: Item, stem: str, vignette: str, by: User) -> Item:
    """A new draft with other words and the same proof; the item itself is retired. ReviewError when the words do not pass.

    Every finding must still stand in the vignette as it was worded, because the findings alone determine the pattern, and so must
    what is said of illness and medicines, because cautions turn on it; and in the question every figure and name that the key
    rests on. The same words sent twice make one draft.
    """
    opened = item.opened
    words = {"stem": " ".join(stem.split()), "vignette": " ".join(vignette.split())}
    if words == {name: opened[name] for name in words}:
        return item
    if item.review == Review.RETIRED:
        same = [edit for edit in item.edits.all() if words == {name: edit.opened[name] for name in words}]
        if same:
            return same[0]
        raise ReviewError("This item is retired. Make a sibling of it instead.")
    if lost := [text for text in _must_stand(opened) if text not in words["vignette"]]:
        raise ReviewError(
            f"Keep the findings, and what cautions turn on, as they are worded; these are missing: {'; '.join(lost)}."
        )
    if dropped := _dropped(opened, words["stem"]):
        raise ReviewError(f"The key rests on these words of the question; keep them: {'; '.join(dropped)}.")
    edited = opened | words
    if flaws := audit(edited):
        raise ReviewError(" ".join(flaws))
    with transaction.atomic():
        fresh = freeze_items(contents=[edited], review=Review.DRAFT, earlier=item, sibling_of=item.sibling_of)[0]
        if fresh.review not in STEPS:
            raise ReviewError("An item with these very words was retired. Choose other words.")
        review_item(item=item, after=Review.RETIRED, reason=EDITED, by=by)
    return fresh


def _must_stand(opened: OpenedItem) -> list[str]:
    """What a case must go on saying word for word: its findings, and the sentences that a caution of an herb could turn on."""
    if not opened["vignette"]:
        return []
    sentences = [sentence for sentence in opened["vignette"].split(". ") if TURNS_ON.search(sentence)]
    return [*(finding["text"] for finding in opened["presentation"]["findings"]), *sentences]


def _dropped(opened: OpenedItem, stem: str) -> list[str]:
    """The names that a new question lacks and the old one has, of those the item holds; and its figures, if they differ."""
    asked, now = opened["stem"].lower(), stem.lower()
    told = {text for text in _texts([opened.get("subject"), opened["words"]]) if text and text.lower() in asked}
    lost = [text for text in told if text.lower() not in now]
    figures = numbers(opened["stem"])
    if sorted(figures) != sorted(numbers(stem)):
        lost.append(f"the figures {', '.join(f'{figure:g}' for figure in figures)}")
    return sorted(text for text in lost if not any(text != other and text in other for other in lost))


def _texts(value: Any) -> Iterator[str]:
    """Every text within plain values."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)


def retire_for_data(*, item: Item) -> bool:
    """Retire an item whose proof no longer holds; False when it was retired already."""
    return item.review in STEPS and review_item(item=item, after=Review.RETIRED, reason=REVISED, by=None)
