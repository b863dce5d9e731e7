"""Teaching sets that people make: copied, changed with reasons, shared; every saved state is kept."""

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from .engine import AXES
from .models import Override, Part, TeachingSet, TeachingSetRevision, Tradition, TraditionRole

Document = dict[str, Any]


class InvalidSetError(Exception):
    """The teaching set cannot be saved so; ``sentences`` say what to mend."""

    def __init__(self, sentences: list[str]) -> None:
        self.sentences = sentences
        super().__init__(" ".join(sentences))


class SetConflictError(Exception):
    """Somebody saved the teaching set in between; nothing was written."""


def set_document(row: TeachingSet) -> Document:
    """A stored teaching set in the shape of its entry in teaching_sets.yaml. Two queries unless prefetched."""
    return {
        "name": row.name,
        "description": row.description,
        "roles": [
            {"tradition": role.tradition.slug, "role": role.role} for role in row.roles.select_related("tradition")
        ],
        "overrides": [
            {"row": o.row, "axis": o.axis, "value": o.value, "reason": o.reason} for o in row.overrides.order_by("pk")
        ],
    }


def checked(document: Document) -> Document:
    """The document, if a teaching set may be saved so. Raises InvalidSetError with every fault."""
    said = []
    if not document["name"].strip():
        said.append("Give the teaching set a name.")
    known = set(Tradition.objects.values_list("slug", flat=True))
    if {entry["tradition"] for entry in document["roles"]} != known or len(document["roles"]) != len(known):
        said.append("Give every tradition one role.")
    if not any(entry["role"] == TraditionRole.Role.DECIDES for entry in document["roles"]):
        said.append("At least one tradition must decide.")
    parts = set(Part.objects.values_list("slug", flat=True))
    seen = set()
    for entry in document["overrides"]:
        place = f"{entry['row']}, {entry['axis']}"
        if not any(entry["row"] == slug or entry["row"].startswith(f"{slug}-") for slug in parts):
            said.append(f"There is no part {entry['row']!r}.")
        if entry["axis"] not in AXES:
            said.append(f"Choose an axis for {entry['row']}.")
        if not isinstance(entry["value"], int | float) or not -4 <= entry["value"] <= 4:
            said.append(f"The value of {place} must be a number from \u22124 to +4.")
        if not str(entry["reason"]).strip():
            said.append(f"Give the reason for {place}.")
        if (entry["row"], entry["axis"]) in seen:
            said.append(f"{place} stands twice.")
        seen.add((entry["row"], entry["axis"]))
    if said:
        raise InvalidSetError(said)
    return document


def copy_set(*, original: TeachingSet, name: str, by: Any) -> TeachingSet:
    """A copy of one's own to change. Raises InvalidSetError for an empty name."""
    document = checked({**set_document(original), "name": name.strip()[:80]})
    with transaction.atomic():
        base = slugify(name)[:36] or "teaching-set"
        slug, number = base, 1
        # "compare" is an address of its own.
        while slug == "compare" or TeachingSet.objects.filter(slug=slug).exists():
            number += 1
            slug = f"{base}-{number}"
        made = TeachingSet.objects.create(
            slug=slug,
            name=document["name"],
            description=original.description,
            is_local=True,
            owner=by,
            copied_from=original,
        )
        _write(made, document, by)
    return made


def save_set(*, teaching_set: TeachingSet, document: Document, base: int, by: Any) -> bool:
    """Save a changed teaching set as its next revision; False when nothing differs from what is stored.

    ``base`` is the revision the editor started from. Raises InvalidSetError and SetConflictError.
    """
    checked(document)
    with transaction.atomic():
        row = TeachingSet.objects.select_for_update().get(pk=teaching_set.pk)
        if set_document(row) == document:
            return False
        if row.revision != base:
            raise SetConflictError
        row.name, row.description = document["name"], document["description"]
        row.revision += 1
        row.save(update_fields=["name", "description", "revision"])
        _write(row, document, by)
    return True


def _write(row: TeachingSet, document: Document, by: Any) -> None:
    traditions = {tradition.slug: tradition for tradition in Tradition.objects.all()}
    row.roles.all().delete()
    TraditionRole.objects.bulk_create(
        TraditionRole(teaching_set=row, tradition=traditions[entry["tradition"]], role=entry["role"], position=place)
        for place, entry in enumerate(document["roles"])
    )
    row.overrides.all().delete()
    Override.objects.bulk_create(Override(teaching_set=row, **entry) for entry in document["overrides"])
    TeachingSetRevision.objects.create(
        teaching_set=row, revision=row.revision, document=document, saved_by=by, saved_at=timezone.now()
    )


def differences(first: Document, second: Document) -> list[str]:
    """What differs between two documents, a sentence each."""
    said = []
    for key, word in (("name", "name"), ("description", "description")):
        if first[key] != second[key]:
            said.append(f"The {word} differs.")
    before = {entry["tradition"]: entry["role"] for entry in first["roles"]}
    names = dict(Tradition.objects.values_list("slug", "name"))
    roles = dict(TraditionRole.Role.choices)
    for entry in second["roles"]:
        was = before.get(entry["tradition"])
        if was != entry["role"]:
            said.append(
                f"{names[entry['tradition']]}: {roles[entry['role']]} instead of {roles.get(was or '', 'nothing')}."
            )
    order = [[entry["tradition"] for entry in document["roles"]] for document in (first, second)]
    if order[0] != order[1] and sorted(order[0]) == sorted(order[1]):
        said.append(f"The order is {', '.join(names[slug] for slug in order[1])}.")
    old = {(o["row"], o["axis"]): o for o in first["overrides"]}
    new = {(o["row"], o["axis"]): o for o in second["overrides"]}
    for row, axis in sorted(old.keys() | new.keys()):
        was_set, is_set = old.get((row, axis)), new.get((row, axis))
        if is_set is None:
            said.append(f"{row}, {axis}: no longer set apart.")
        elif was_set is None:
            said.append(f"{row}, {axis}: set to {_figure(is_set)}. {is_set['reason']}")
        elif was_set != is_set:
            said.append(f"{row}, {axis}: {_figure(is_set)} instead of {_figure(was_set)}. {is_set['reason']}")
    return said


def _figure(override: dict[str, Any]) -> str:
    return f"{override['value']:+g}".replace("-", "\u2212")
