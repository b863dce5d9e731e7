"""Writes to the materia medica: one function for each thing a person does."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from .loading import Bundle, Fault, FaultsError, read_files
from .loading.reading import file_digest
from .models import Claim, Herb, Override, Part, Release, Source, TeachingSet, Term, Tradition, TraditionRole

Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class Loaded:
    """What a load did: whether anything changed, the data version, and how many herbs were written or removed."""

    changed: bool
    data_version: str
    written: int = 0
    removed: int = 0


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
    version = bundle.data_version()
    _store_vocabulary(bundle)
    sources = {source.slug: source for source in Source.objects.all()}
    stored = dict(Herb.objects.values_list("slug", "digest"))
    fresh = [herb for herb in bundle.herbs if stored.get(herb["slug"]) != herb["digest"]]
    gone = set(stored) - {herb["slug"] for herb in bundle.herbs}
    Herb.objects.filter(slug__in=gone).delete()
    for record in fresh:
        _store_herb(record, sources)
    _store_teaching_sets(bundle)
    # Sources that no claim cites any more may go only after the claims did.
    Source.objects.exclude(slug__in=[s["slug"] for s in bundle.sources]).delete()
    Tradition.objects.exclude(slug__in=[t["slug"] for t in bundle.traditions]).delete()
    Release.objects.create(
        file_digest=file_digest,
        data_version=version,
        loaded_at=timezone.now(),
        counts={"herbs": Herb.objects.count(), "parts": Part.objects.count(), "claims": Claim.objects.count()},
    )
    return Loaded(True, version, len(fresh), len(gone))


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


def _store_herb(record: dict[str, Any], sources: dict[str, Source]) -> None:
    fields = {key: value for key, value in record.items() if key not in ("slug", "parts")}
    herb, _ = Herb.objects.update_or_create(slug=record["slug"], defaults=fields)
    herb.parts.exclude(slug__in=[part["slug"] for part in record["parts"]]).delete()
    for number, entry in enumerate(record["parts"]):
        defaults = {key: entry[key] for key in ("name", "label", "usual_form")}
        part, _ = Part.objects.update_or_create(
            slug=entry["slug"], defaults={**defaults, "herb": herb, "position": number}
        )
        part.claims.all().delete()
        Claim.objects.bulk_create(
            Claim(part=part, position=place, **{**claim, "source": sources[claim["source"]]})
            for place, claim in enumerate(entry["claims"])
        )


def _store_teaching_sets(bundle: Bundle) -> None:
    stale = TeachingSet.objects.exclude(slug__in=[record["slug"] for record in bundle.teaching_sets])
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
