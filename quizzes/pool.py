"""The items practice chooses from: the approved ones as arrays, kept from one request to the next."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from functools import lru_cache
from typing import Any

from lessons.bank import QuestionMaker
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


def approved_pool(maker: QuestionMaker) -> model.Pool:
    """The approved items of a teaching set; one short query tells whether those kept are still all of them."""
    latest = ItemReview.objects.order_by("-pk").values_list("pk", "at")[:1]
    return _approved_pool(maker, tuple(latest))


@lru_cache(maxsize=4)
def _approved_pool(maker: QuestionMaker, latest_review: tuple[tuple[int, datetime], ...]) -> model.Pool:
    teaching_set = maker.materia_medica.catalogue.teaching_set
    rows = Item.objects.approved().filter(teaching_set=teaching_set).only(*COLUMNS).order_by("id")
    return model.build_pool([pool_item(row, system_of(maker)) for row in rows.iterator(chunk_size=2000)])


def pool_item(row: Item, systems: Mapping[str, str]) -> model.PoolItem:
    """A stored item on its way into a pool."""
    return model.PoolItem(
        id=row.pk,
        difficulty=row.difficulty / UNIT,
        floor=floor_of(row.family),
        facets=facets_of(row, systems),
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


def pool_of_rows(rows: Sequence[Item], maker: QuestionMaker) -> model.Pool:
    """A pool of items that are not all stored yet: their numbers are their places in the list."""
    items = [pool_item(row, system_of(maker)) for row in rows]
    return model.build_pool([_numbered(item, number) for number, item in enumerate(items)])


def _numbered(item: model.PoolItem, number: int) -> model.PoolItem:
    fields: dict[str, Any] = {name: getattr(item, name) for name in item.__dataclass_fields__}
    return model.PoolItem(**fields | {"id": number})
