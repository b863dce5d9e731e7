"""Writes to the materia medica: one function for each thing a person does."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction
from django.db.models import ProtectedError

from .loading import Bundle, Fault, FaultsError, read_files
from .loading.reading import file_digest
from .models import Herb, HerbEdit, Override, Release, Source, TeachingSet, Term, Tradition, TraditionRole
from .storing import release, store_herb

Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class Loaded:
    """What a load did: whether anything changed, the data version, how many herbs were written or removed, which were kept.

    ``kept`` names herbs that people added, changed or removed here: a load leaves them as they are.
    """

    changed: bool
    data_version: str
    written: int = 0
    removed: int = 0
    kept: tuple[str, ...] = ()


def load_materia_medica(*, folder: Path, tell: Tell | None = None) -> Loaded:
    """Read, validate and store a data folder, all or nothing. A folder already loaded is not even parsed.

    Raises FaultsError, with nothing changed, when a file has a fault.
    """
    digest = file_digest(folder) if folder.is_dir() else ""
    latest = Release.objects.order_by("-id").first()
    if latest and latest.file_digest == digest:
        return Loaded(False, latest.data_version)
    bundle = read_files(folder, tell)
    with transaction.atomic():
        return _store(bundle, digest)


def _store(bundle: Bundle, file_digest: str) -> Loaded:
    _store_vocabulary(bundle)
    sources = {source.slug: source for source in Source.objects.all()}
    kept = {*Herb.objects.filter(is_local=True).values_list("slug", flat=True), *_removed_here()}
    stored = dict(Herb.objects.values_list("slug", "digest"))
    shipped = [herb for herb in bundle.herbs if herb["slug"] not in kept]
    fresh = [herb for herb in shipped if stored.get(herb["slug"]) != herb["digest"]]
    gone = set(stored) - {herb["slug"] for herb in shipped} - kept
    Herb.objects.filter(slug__in=gone).delete()
    for record in fresh:
        store_herb(record, sources)
    _store_teaching_sets(bundle)
    # Sources that no claim cites any more may go only after the claims did; local herbs may still cite one.
    unknown = Source.objects.exclude(slug__in=[s["slug"] for s in bundle.sources]).filter(claims=None)
    unknown.delete()
    Tradition.objects.exclude(slug__in=[t["slug"] for t in bundle.traditions]).filter(sources=None).delete()
    made = release(Release.Kind.LOAD, file_digest=file_digest, vocabulary_digest=bundle.vocabulary_digest())
    return Loaded(True, made.data_version, len(fresh), len(gone), tuple(sorted(kept)))


def _removed_here() -> set[str]:
    """Herbs whose last edit removed them: a load does not bring them back."""
    last = dict(HerbEdit.objects.order_by("number").values_list("herb_slug", "kind"))
    return {slug for slug, kind in last.items() if kind == HerbEdit.Kind.REMOVED}


def _store_vocabulary(bundle: Bundle) -> None:
    for tradition in bundle.traditions:
        Tradition.objects.update_or_create(
            slug=tradition["slug"], defaults={"name": tradition.get("name", tradition["slug"])}
        )
    traditions = {tradition.slug: tradition for tradition in Tradition.objects.all()}
    for number, source in enumerate(bundle.sources):
        Source.objects.update_or_create(
            slug=source["slug"],
            defaults={
                "tradition": traditions[source["tradition"]],
                "citation": source["citation"],
                "year": source.get("year"),
                "basis": source["basis"],
                "position": number,
            },
        )
    Term.objects.all().delete()
    Term.objects.bulk_create(
        Term(
            kind=kind,
            slug=term["slug"],
            name=str(term.get("name") or term["slug"].replace("-", " ")),
            position=number,
            details={key: value for key, value in term.items() if key not in ("slug", "name")},
        )
        for kind, terms in bundle.terms.items()
        for number, term in enumerate(terms)
    )


def _store_teaching_sets(bundle: Bundle) -> None:
    slugs = [record["slug"] for record in bundle.teaching_sets]
    stale = TeachingSet.objects.exclude(slug__in=slugs).filter(is_local=False)
    try:
        stale.delete()
    except ProtectedError:
        names = ", ".join(stale.values_list("slug", flat=True))
        message = f"{names} is missing here, and courses are taught under it. Give them another teaching set first."
        raise FaultsError([Fault("teaching_sets.yaml", 1, message)]) from None
    traditions = {tradition.slug: tradition for tradition in Tradition.objects.all()}
    TeachingSet.objects.filter(is_default=True).update(is_default=False)
    for record in bundle.teaching_sets:
        teaching_set, _ = TeachingSet.objects.update_or_create(
            slug=record["slug"],
            defaults={
                "name": record["name"],
                "description": record.get("description", ""),
                "is_default": bool(record.get("is_default")),
            },
        )
        wanted = [(traditions[role["tradition"]].pk, role["role"]) for role in record["roles"]]
        if list(teaching_set.roles.values_list("tradition_id", "role")) != wanted:
            teaching_set.roles.all().delete()
            TraditionRole.objects.bulk_create(
                TraditionRole(teaching_set=teaching_set, tradition_id=tradition, role=role, position=number)
                for number, (tradition, role) in enumerate(wanted)
            )
            _raise_revision(teaching_set)
        overrides = [(o["row"], o["axis"], float(o["value"]), o["reason"]) for o in record.get("overrides") or []]
        if list(teaching_set.overrides.order_by("pk").values_list("row", "axis", "value", "reason")) != overrides:
            teaching_set.overrides.all().delete()
            Override.objects.bulk_create(
                Override(teaching_set=teaching_set, row=row, axis=axis, value=value, reason=reason)
                for row, axis, value, reason in overrides
            )
            _raise_revision(teaching_set)


def _raise_revision(teaching_set: TeachingSet) -> None:
    teaching_set.revision += 1
    teaching_set.save(update_fields=["revision"])
