"""Writes to people, courses and items."""

import hashlib
import json
from collections.abc import Sequence
from typing import Any

from django.db import transaction

from .engine import Item as OpenedItem
from .engine import axis_of, frozen
from .models import Course, Enrolment, Item, ItemReview

AS_MADE = "Approved as it was made."


def freeze_items(*, contents: Sequence[OpenedItem], **columns: Any) -> list[Item]:
    """Store opened items under the hash of their frozen content, in order; one that is already stored is not stored twice."""
    rows = [item_row(content, **columns) for content in contents]
    hashes = [row.content_hash for row in rows]
    approved = columns.get("review") == Item.Review.APPROVED
    known = set(Item.objects.filter(content_hash__in=hashes).values_list("pk", flat=True)) if approved else set()
    # In one order, so that two who store the same items at once do not wait for each other.
    Item.objects.bulk_create(sorted(rows, key=lambda row: row.content_hash), ignore_conflicts=True)
    stored = {item.content_hash: item for item in Item.objects.filter(content_hash__in=hashes)}
    if approved:
        # Every approval is a step of review, this one too: what is kept of the approved items is judged by the latest step.
        made = [item for item in stored.values() if item.pk not in known]
        ItemReview.objects.bulk_create(
            ItemReview(item=item, before=Item.Review.DRAFT, after=Item.Review.APPROVED, reason=AS_MADE) for item in made
        )
    return [stored[row.content_hash] for row in rows]


def item_row(content: OpenedItem, **columns: Any) -> Item:
    """A row, not yet saved, with the columns that lists and plans look at."""
    told, packed = content["presentation"] or {}, frozen(content)
    subject = content.get("subject") or {}
    choose = content["response"] == "choose"
    key = content["options"][content["key"]] if choose else {}
    return Item(
        content_hash=content_hash(packed),
        family=content["family"],
        action=told.get("action") or subject.get("action", ""),
        site=told.get("site", ""),
        state=told.get("state", ""),
        axis=axis_of(content),
        key_part=key.get("part", ""),
        key_position=content["key"] if choose else None,
        herbs=sorted({row["part"] for row in content["certificate"]["rows"]}),
        faults=sorted({option["fault"] for option in content["options"] if option.get("fault")}),
        skeleton=content["skeleton"],
        model=hashlib.sha256(content["difficulty"]["model"].encode()).hexdigest(),
        difficulty=content["difficulty"]["prior"],
        teaching_set=content["teaching_set"],
        data_version=content["data_version"],
        engine_version=content["engine_version"],
        content=packed,
        **columns,
    )


def content_hash(content: dict[str, Any]) -> str:
    """SHA-256 of an item's canonical JSON."""
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


class LastOwnerError(Exception):
    """A course must keep an owner."""


def change_role(*, enrolment: Enrolment, role: str) -> Enrolment:
    """Give a member another role. LastOwnerError when the course would be left without an owner."""
    with transaction.atomic():
        # The course is locked first and the role read again, so that two people at once cannot leave it without an owner.
        course = Course.objects.select_for_update().get(pk=enrolment.course_id)
        enrolment.refresh_from_db(fields=["role"])
        owners = course.enrolments.filter(role=Enrolment.Role.OWNER)
        if enrolment.role == Enrolment.Role.OWNER != role and list(owners.values_list("pk", flat=True)) == [
            enrolment.pk
        ]:
            raise LastOwnerError("The course would be left without an owner. Make somebody else an owner first.")
        enrolment.role = role
        enrolment.save(update_fields=["role"])
    return enrolment
