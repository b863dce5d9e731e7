"""The items practice chooses from: the approved ones as arrays, kept from one request to the next."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from django.db.models import Max

from lessons.engine import FAMILIES
from lessons.models import Item, ItemReview

from .engine import learner as model
from .learning import UNIT, facets_of, floor_of, system_of

COLUMNS = (
    "id",
    "family",
    "action",
    "site",
    "axis",
    "key_part",
    "herbs",
    "faults",
    "model",
    "difficulty",
    "teaching_set",
)
# What reasons offer in nearly every item of these families, whatever its options are.
BY_REASONS = {
    "name-for-reason": frozenset(FAMILIES) - {"caution", "preparation", "taste-to-effect", "name-the-state"},
}


def approved_pool(teaching_set: str) -> model.Pool:
    """The approved items of a teaching set; two short queries tell whether those kept are still all of them."""
    approved = Item.objects.approved()
    latest = approved.order_by("-id").values_list("id", "content_hash").first()
    reviewed = ItemReview.objects.aggregate(last=Max("id"))["last"]
    return _approved_pool(teaching_set, latest, reviewed)


@lru_cache(maxsize=4)
def _approved_pool(teaching_set: str, latest: tuple[int, str] | None, reviewed: int | None) -> model.Pool:
    rows = Item.objects.approved().filter(teaching_set=teaching_set).only(*COLUMNS).order_by("id")
    return model.build_pool([pool_item(row) for row in rows.iterator(chunk_size=2000)])


def pool_item(row: Item) -> model.PoolItem:
    """A stored item on its way into a pool."""
    return model.PoolItem(
        id=row.pk,
        difficulty=row.difficulty / UNIT,
        floor=floor_of(row.family),
        facets=facets_of(row, system_of(row.teaching_set)),
        key_part=row.key_part,
        parts=tuple(row.herbs),
        offers=offers_of(row.family, row.faults),
        family=row.family,
        model=row.model,
    )


def offers_of(family: str, faults: Iterable[str]) -> int:
    """Bits of the confusions that an item with these faults offers."""
    slugs = {model.confusion_of_fault(family, fault) for fault in faults}
    slugs |= {slug for slug, families in BY_REASONS.items() if family in families}
    return sum(model.BIT[slug] for slug in slugs if slug)


def pool_of_rows(rows: Sequence[Item]) -> model.Pool:
    """A pool of items that are not all stored yet: their numbers are their places in the list."""
    items = [pool_item(row) for row in rows]
    return model.build_pool([_numbered(item, number) for number, item in enumerate(items)])


def _numbered(item: model.PoolItem, number: int) -> model.PoolItem:
    fields: dict[str, Any] = {name: getattr(item, name) for name in item.__dataclass_fields__}
    return model.PoolItem(**fields | {"id": number})
