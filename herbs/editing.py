"""Changes that people make to the materia medica: checked like a file, kept as history, never lost."""

from collections.abc import Callable, Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from .loading import Bundle, Fault, FaultsError
from .loading.herb_files import HerbReader
from .loading.shapes import HERB, misshapen
from .loading.writing import herb_yaml
from .loading.yaml_lines import parse
from .models import Herb, HerbEdit, Part, Release, Source, Term, Tradition
from .storing import herb_record, release, store_herb

Person = Any  # the site's user, a model of an app above


class EditConflictError(Exception):
    """Somebody else changed the herb in between. Nothing was written; ``current`` is the file as it now stands."""

    def __init__(self, current: str) -> None:
        self.current = current
        super().__init__("Somebody else changed this herb while you were editing it.")


def stored_bundle() -> Bundle:
    """The vocabulary in use, as files are checked against it. Three queries."""
    bundle = Bundle({kind: [] for kind in Term.Kind.values})
    for term in Term.objects.order_by("kind", "position"):
        bundle.terms[term.kind].append({"slug": term.slug, "name": term.name, **term.details})
    bundle.traditions = [dict(row) for row in Tradition.objects.values("slug", "name")]
    bundle.sources = [dict(row) for row in Source.objects.values("slug", "basis", "citation", "year")]
    return bundle


def read_herb(text: str, bundle: Bundle | None = None, path: str = "herb.yaml") -> dict[str, Any]:
    """The record of one herb's file. Raises FaultsError with every fault and its line."""
    document = parse(path, text.encode())
    faults: list[Fault] = list(misshapen(path, document, HERB))
    reader = HerbReader(path, bundle or stored_bundle(), faults)
    record = None if faults else reader.read(document)
    if record:
        taken = Part.objects.filter(slug__in=[part["slug"] for part in record["parts"]])
        for slug in taken.exclude(herb__slug=record["slug"]).values_list("slug", flat=True):
            faults.append(Fault(path, 1, f"The part {slug} belongs to another herb. Choose another slug."))
    if faults or record is None:
        raise FaultsError(faults)
    return record


def document_of(herb: Herb) -> str:
    """The file of a stored herb."""
    return herb_yaml(herb_record(herb))


def save_herb(
    *,
    text: str,
    by: Person | None,
    summary: str = "",
    base: str | None = None,
    kind: str = "",
    is_local: bool = True,
) -> tuple[Herb, bool]:
    """Store a herb's file as people left it; whether it changed anything (the same text again does not).

    ``base`` is the digest the editor started from, "" for a new herb; None saves over whatever stands. Raises FaultsError for
    a faulty file and EditConflictError when the herb is no longer at ``base``; nothing is written then.
    """
    record = read_herb(text)
    with transaction.atomic():
        stored = Herb.objects.for_monograph().select_for_update(of=("self",)).filter(slug=record["slug"]).first()
        if stored and stored.digest == record["digest"]:
            return stored, False
        if base is not None and base != (stored.digest if stored else ""):
            raise EditConflictError(document_of(stored) if stored else "")
        word = kind or (HerbEdit.Kind.CHANGED if stored else HerbEdit.Kind.ADDED)
        remember_shipped(record["slug"], document_of(stored) if stored else "")
        herb = store_herb(record, {s.slug: s for s in Source.objects.all()}, is_local=is_local)
        _note(record["slug"], word, herb_yaml(record), summary, by)
        _bump()
    return herb, True


def save_herbs(texts: Iterable[str], *, by: Person | None, summary: str, tell: Callable[[], None]) -> int:
    """Store several herbs' files, all or none; how many changed. Raises FaultsError."""
    changed = 0
    with transaction.atomic():
        for text in texts:
            changed += save_herb(text=text, by=by, summary=summary, kind=HerbEdit.Kind.IMPORTED)[1]
            tell()
    return changed


def remove_herb(*, slug: str, by: Person | None, summary: str = "") -> bool:
    """Remove a herb, keeping its file in the history so that it can be restored; False when there is none."""
    with transaction.atomic():
        stored = Herb.objects.for_monograph().select_for_update(of=("self",)).filter(slug=slug).first()
        if stored is None:
            return False
        remember_shipped(slug, document_of(stored))
        stored.delete()
        _note(slug, HerbEdit.Kind.REMOVED, "", summary, by)
        _bump()
    return True


def restore_edit(*, edit: HerbEdit, by: Person | None) -> tuple[Herb, bool]:
    """Bring a herb back to how an edit left it; as it was shipped, it follows later loads again.

    Raises FaultsError where today's vocabulary no longer knows its words.
    """
    return save_herb(
        text=edit.document,
        by=by,
        summary=f"as it stood at number {edit.number}",
        kind=HerbEdit.Kind.RESTORED,
        is_local=edit.kind != HerbEdit.Kind.SHIPPED,
    )


def remember_shipped(slug: str, document: str) -> None:
    """Before the first change here, keep the herb's file as it was shipped."""
    if document and not HerbEdit.objects.filter(herb_slug=slug).exists():
        _note(slug, HerbEdit.Kind.SHIPPED, document, "", None)


def _note(slug: str, kind: str, document: str, summary: str, by: Person | None) -> None:
    last = HerbEdit.objects.filter(herb_slug=slug).order_by("-number").values_list("number", flat=True).first()
    HerbEdit.objects.create(
        herb_slug=slug,
        number=(last or 0) + 1,
        kind=kind,
        document=document,
        summary=summary[:200],
        edited_by=by,
        edited_at=timezone.now(),
    )


def _bump() -> None:
    latest = Release.objects.latest()
    release(Release.Kind.EDIT, file_digest=latest.file_digest, vocabulary_digest=latest.vocabulary_digest)
