"""Changes that people make to the materia medica: checked like a file, kept as history, never lost."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from .loading import Bundle, Fault, FaultsError
from .loading.herb_files import HerbReader
from .loading.shapes import HERB, misshapen
from .loading.writing import herb_yaml
from .loading.yaml_lines import parse
from .models import Claim, Herb, HerbEdit, Part, Picture, Release, Source, Term, Tradition
from .storing import herb_record, release, store_herb

Person = Any  # the site's user, a model of an app above


class EditConflictError(Exception):
    """Somebody else changed the herb in between. Nothing was written; ``current`` is the file as it now stands.

    ``digest`` is what to start from in order to save over it; both are empty where the herb was removed.
    """

    def __init__(self, current: str, digest: str = "") -> None:
        self.current, self.digest = current, digest
        super().__init__("Somebody else changed this herb while you were editing it.")


def stored_bundle() -> Bundle:
    """The vocabulary in use, as files are checked against it. Three queries."""
    bundle = Bundle({kind: [] for kind in Term.Kind.values})
    for term in Term.objects.order_by("kind", "position"):
        bundle.terms[term.kind].append({"slug": term.slug, "name": term.name, **term.details})
    bundle.traditions = [dict(row) for row in Tradition.objects.values("slug", "name")]
    sources = Source.objects.values("slug", "basis", "citation", "year", tradition_slug=models.F("tradition__slug"))
    bundle.sources = [{**row, "tradition": row["tradition_slug"]} for row in sources]
    return bundle


def check_herb(document: Any, bundle: Bundle, path: str = "herb.yaml") -> tuple[dict[str, Any] | None, list[Fault]]:
    """The record of a herb's parsed file, and every fault at the line of the entry it is in; the record is None with faults.

    One query.
    """
    faults: list[Fault] = list(misshapen(path, document, HERB))
    reader = HerbReader(path, bundle, faults)
    record = None if faults else reader.read(document)
    if record:
        faults += _beyond_the_file(path, document, record)
    return (None if faults else record), faults


def read_herb(text: str, bundle: Bundle | None = None, path: str = "herb.yaml") -> dict[str, Any]:
    """The record of one herb's file. Raises FaultsError with every fault and its line."""
    record, faults = check_herb(parse(path, text.encode()), bundle or stored_bundle(), path)
    if record is None:
        raise FaultsError(faults)
    return record


def _beyond_the_file(path: str, document: Any, record: dict[str, Any]) -> Iterator[Fault]:
    """What a file's own rules do not see: texts longer than their columns, claims without a text, parts of another herb."""
    line = getattr(document, "line", 1)
    for message in _overlong(Herb, record):
        yield Fault(path, line, message)
    lines: dict[str, int] = {}
    entries = [entry for entry in document.get("parts") or [] if entry.get("part")]
    for entry, part in zip(entries, record["parts"], strict=True):
        lines[part["slug"]] = getattr(entry, "line", line)
        for message in _overlong(Part, part):
            yield Fault(path, lines[part["slug"]], message)
        for claim in entry.get("claims") or []:
            named = [predicate for predicate in Claim.Predicate.values if predicate in claim]
            if named and not str(claim[named[0]]).strip():
                yield Fault(path, getattr(claim, "line", line), f"This claim of {named[0]} says nothing.")
    taken = Part.objects.filter(slug__in=lines).exclude(herb__slug=record["slug"])
    for slug in taken.values_list("slug", flat=True):
        yield Fault(path, lines[slug], f"The part {slug} belongs to another herb. Choose another slug.")


def _overlong(model: type[models.Model], record: dict[str, Any]) -> Iterator[str]:
    for field in model._meta.fields:
        value = record.get(field.name)
        limit = getattr(field, "max_length", None)
        if limit and isinstance(value, str) and len(value) > limit:
            yield f"{field.name} may have at most {limit} characters; this has {len(value)}."


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
    a faulty file, or one without a part that has pictures, and EditConflictError when the herb is no longer at ``base``;
    nothing is written then.
    """
    record = read_herb(text)
    with transaction.atomic():
        take_turns()
        herb, changed = _store(record, by=by, summary=summary, base=base, kind=kind, is_local=is_local)
        if changed:
            _bump()
    return herb, changed


def save_herbs(
    texts: Iterable[str], *, by: Person | None, summary: str, tell: Callable[[], None] = lambda: None
) -> int:
    """Store several herbs' files, all or none, as one release; how many changed. Raises FaultsError."""
    bundle = stored_bundle()
    changed = 0
    with transaction.atomic():
        take_turns()
        for text in texts:
            changed += _store(read_herb(text, bundle), by=by, summary=summary, kind=HerbEdit.Kind.IMPORTED)[1]
            tell()
        if changed:
            _bump()
    return changed


def _store(
    record: dict[str, Any],
    *,
    by: Person | None,
    summary: str,
    kind: str,
    base: str | None = None,
    is_local: bool = True,
) -> tuple[Herb, bool]:
    stored = Herb.objects.for_monograph().select_for_update(of=("self",)).filter(slug=record["slug"]).first()
    if stored and stored.digest == record["digest"]:
        if stored.is_local and not is_local:
            # As it was shipped already, but until now kept from loads.
            Herb.objects.filter(pk=stored.pk).update(is_local=False)
        return stored, False
    if base is not None and base != (stored.digest if stored else ""):
        raise EditConflictError(document_of(stored), stored.digest) if stored else EditConflictError("")
    if stored:
        _keep_pictures(record)
        remember_shipped(stored)
    word = kind or (HerbEdit.Kind.CHANGED if stored else HerbEdit.Kind.ADDED)
    herb = store_herb(record, {s.slug: s for s in Source.objects.all()}, is_local=is_local)
    _note(record["slug"], word, herb_yaml(record), summary, by)
    return herb, True


def _keep_pictures(record: dict[str, Any]) -> None:
    """A part that has pictures does not go unnoticed: they could not be brought back."""
    kept = [part["slug"] for part in record["parts"]]
    lost = Picture.objects.filter(part__herb__slug=record["slug"]).exclude(part__slug__in=kept)
    parts = sorted(set(lost.values_list("part__label", flat=True)))
    if parts:
        raise FaultsError(
            [
                Fault("herb.yaml", 1, f"{label} has pictures. Remove them first, or keep the part.")
                for label in map(_sentence_case, parts)
            ]
        )


def _sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]


def remove_herb(*, slug: str, by: Person | None, summary: str = "") -> bool:
    """Remove a herb with its pictures, keeping its file in the history so that it can be restored; False when there is none."""
    with transaction.atomic():
        take_turns()
        stored = Herb.objects.for_monograph().select_for_update(of=("self",)).filter(slug=slug).first()
        if stored is None:
            return False
        remember_shipped(stored)
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


def remember_shipped(stored: Herb) -> None:
    """Before a change here, keep the herb's file as the last load left it, unless the history ends with it anyway."""
    if stored.is_local:
        return
    document = document_of(stored)
    last = HerbEdit.objects.filter(herb_slug=stored.slug).order_by("-number").values_list("document", flat=True).first()
    if last != document:
        _note(stored.slug, HerbEdit.Kind.SHIPPED, document, "", None)


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


def take_turns() -> None:
    """Let writers wait for each other until this transaction ends: else each would reckon a data version without the other."""
    Release.objects.select_for_update().order_by("-id").first()


def _bump() -> None:
    latest = Release.objects.latest()
    release(Release.Kind.EDIT, file_digest=latest.file_digest, vocabulary_digest=latest.vocabulary_digest)
