"""Writes to the item bank: every one may be repeated harmlessly, and none changes an item that was ever frozen."""

from uuid import UUID

from django.db import transaction

from .bank import QuestionMaker
from .engine import Constraints, NoValidItemError, audit
from .engine import Item as OpenedItem
from .models import Item, ItemReview, User
from .services import freeze_items

Review = Item.Review
# From which states a review may lead to which. A retired item stays retired: students met it, and its marks stand.
STEPS = {Review.DRAFT: {Review.APPROVED, Review.RETIRED}, Review.APPROVED: {Review.DRAFT, Review.RETIRED}}
EDITED = "Its wording was edited; see the new wording."
REVISED = "The materia medica was revised, and its key is no longer proved."
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
        if after == Review.APPROVED and (flaws := audit(row.opened)):
            raise ReviewError(f"It cannot be approved while a guideline is broken: {' '.join(flaws)}")
        ItemReview.objects.create(item=row, by=by, before=row.review, after=after, reason=reason)
        row.review, row.review_reason = after, reason
        row.save(update_fields=["review", "review_reason"])
    item.review, item.review_reason = after, reason
    return True


def edit_wording(*, item: Item, stem: str, vignette: str, by: User) -> Item:
    """A new draft with other words and the same proof; the item itself is retired. ReviewError when the words do not pass.

    Every finding must still stand in the vignette as it was worded, because the findings alone determine the pattern.
    """
    opened = item.opened
    words = {"stem": " ".join(stem.split()), "vignette": " ".join(vignette.split())}
    if words == {name: opened[name] for name in words}:
        return item
    if item.review == Review.RETIRED:
        raise ReviewError("This item is retired. Make a sibling of it instead.")
    told = opened["presentation"]
    lost = (
        [f["text"] for f in told["findings"] if f["text"] not in words["vignette"]]
        if told and opened["vignette"]
        else []
    )
    if lost:
        raise ReviewError(f"Keep the findings as they are worded; these are missing: {'; '.join(lost)}.")
    edited = opened | words
    if flaws := audit(edited):
        raise ReviewError(" ".join(flaws))
    with transaction.atomic():
        fresh = freeze_items(contents=[edited], review=Review.DRAFT, earlier=item, sibling_of=item.sibling_of)[0]
        review_item(item=item, after=Review.RETIRED, reason=EDITED, by=by)
    return fresh


def retire_for_data(*, item: Item) -> bool:
    """Retire an item whose proof no longer holds; False when it was retired already."""
    return item.review in STEPS and review_item(item=item, after=Review.RETIRED, reason=REVISED, by=None)
