"""Pictures of parts: added, removed, and where their files lie."""

from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils import timezone

from .images import make_safe
from .models import Part, Picture

KINDS = {"webp": "image/webp", "jpg": "image/jpeg"}


def file_name(picture: Picture, width: int, kind: str) -> str:
    """Where a rendition lies in the media storage."""
    return f"pictures/{picture.code}/{width}.{kind}"


def add_picture(
    *, part: Part, name: str, content: bytes, stage: str, alt: str, credit: str, licence: str, by: Any
) -> tuple[Picture, bool]:
    """Add a picture, written anew; whether it is new (the same picture of the same part again is not).

    Raises PictureRefusedError.
    """
    safe = make_safe(name, content)
    picture = Picture(
        part=part, stage=stage, alt=alt, credit=credit, licence=licence, width=safe.width, height=safe.height,
        widths=list(safe.widths), digest=safe.digest, uploaded_by=by, uploaded_at=timezone.now(),
    )  # fmt: skip
    try:
        with transaction.atomic():
            picture.save()
            for rendition in safe.renditions:
                default_storage.save(
                    file_name(picture, rendition.width, rendition.kind), ContentFile(rendition.content)
                )
    except IntegrityError:
        return Picture.objects.get(part=part, digest=safe.digest), False
    return picture, True


def remove_picture(*, picture: Picture) -> None:
    """Remove a picture and, once that is certain, its files."""
    names = [file_name(picture, width, kind) for width in picture.widths for kind in KINDS]
    picture.delete()

    def forget_files() -> None:
        for name in names:
            default_storage.delete(name)

    transaction.on_commit(forget_files)
