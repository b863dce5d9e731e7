"""Records to rows and back: what a load and an edit have in common."""

from typing import Any

from django.utils import timezone

from .loading.records import data_version
from .models import Claim, Herb, Part, Release, SearchName, Source
from .names import fold

CLAIM_FIELDS = ("predicate", "subject", "amount", "level", "reason", "form", "site", "seen", "note", "details")


def store_herb(record: dict[str, Any], sources: dict[str, Source], *, is_local: bool = False) -> Herb:
    """Write a herb's record, as ``HerbReader.read`` gives it, over whatever was stored; parts keep their rows."""
    fields = {key: value for key, value in record.items() if key not in ("slug", "parts")}
    herb, _ = Herb.objects.update_or_create(slug=record["slug"], defaults={**fields, "is_local": is_local})
    herb.parts.exclude(slug__in=[part["slug"] for part in record["parts"]]).delete()
    for number, entry in enumerate(record["parts"]):
        defaults = {key: entry[key] for key in ("name", "label", "drug_name", "usual_form")}
        part, _ = Part.objects.update_or_create(
            slug=entry["slug"], defaults={**defaults, "herb": herb, "position": number}
        )
        part.claims.all().delete()
        Claim.objects.bulk_create(
            Claim(part=part, position=place, **{**claim, "source": sources[claim["source"]]})
            for place, claim in enumerate(entry["claims"])
        )
    _store_names(herb, record)
    return herb


def _store_names(herb: Herb, record: dict[str, Any]) -> None:
    kind = SearchName.Kind
    names = [(kind.ACCEPTED, record["latin"]), (kind.COMMON, record["name"])]
    names += [(kind.COMMON, name) for name in record["other_names"]]
    names += [(kind.PART, part["label"]) for part in record["parts"]]
    names += [(kind.SYNONYM, name) for name in record["synonyms"]]
    names += [(kind.OLD, name) for name in record["old_names"]]
    names += [(kind.DRUG, part["drug_name"]) for part in record["parts"] if part["drug_name"]]
    seen: dict[str, SearchName] = {}
    for word, name in names:
        folded = fold(name)[:160]
        if folded and folded not in seen:
            seen[folded] = SearchName(herb=herb, kind=word, name=name[:160], folded=folded)
    herb.search_names.all().delete()
    SearchName.objects.bulk_create(seen.values())


def release(kind: str, *, file_digest: str, vocabulary_digest: str) -> Release:
    """The release row that says what the materia medica is now; to be made in the transaction that changed it."""
    digests = list(Herb.objects.values_list("digest", flat=True))
    counts = {"herbs": len(digests), "parts": Part.objects.count(), "claims": Claim.objects.count()}
    return Release.objects.create(
        kind=kind,
        file_digest=file_digest,
        vocabulary_digest=vocabulary_digest,
        data_version=data_version(vocabulary_digest, digests),
        loaded_at=timezone.now(),
        counts=counts,
    )


def herb_record(herb: Herb) -> dict[str, Any]:
    """The record of a stored herb: what reading its file would give. Four queries; fewer when prefetched for a monograph."""
    parts = []
    for part in herb.parts.all():
        claims = [
            {**{field: getattr(claim, field) for field in CLAIM_FIELDS}, "source": claim.source.slug}
            for claim in part.claims.all()
        ]
        parts.append(
            {
                "slug": part.slug, "name": part.name, "label": part.label, "drug_name": part.drug_name,
                "usual_form": part.usual_form, "claims": claims,
            }
        )  # fmt: skip
    head = (
        "slug",
        "latin",
        "author",
        "family",
        "name",
        "other_names",
        "synonyms",
        "habit",
        "status",
        "status_note",
        "old_names",
    )
    return {**{field: getattr(herb, field) for field in head}, "parts": parts, "digest": herb.digest}
