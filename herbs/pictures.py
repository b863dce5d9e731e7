"""Pictures of parts: added, removed, and where their files lie."""

from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, models, transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone

from .images import make_safe
from .models import Herb, Part, Picture

KINDS = {"webp": "image/webp", "jpg": "image/jpeg"}


def file_name(picture: Picture, width: int, kind: str) -> str:
    """Where a rendition lies in the media storage."""
    return f"pictures/{picture.code}/{width}.{kind}"


def pictures_of(herb: Herb) -> models.QuerySet[Picture]:
    """A herb's pictures with their parts, in the order of the parts. One query."""
    return Picture.objects.filter(part__herb=herb).select_related("part").order_by("part__position", "stage", "id")


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
    except OSError:
        _forget_files(picture)
        raise
    return picture, True


def remove_picture(*, picture: Picture) -> None:
    """Remove a picture and, once that is certain, its files."""
    picture.delete()


@receiver(post_delete, sender=Picture)
def forget_files_once_certain(instance: Picture, **kwargs: Any) -> None:
    """Files go when the picture is gone for good, whether by itself or with its herb."""
    transaction.on_commit(lambda: _forget_files(instance))


def _forget_files(picture: Picture) -> None:
    for width in picture.widths:
        for kind in KINDS:
            default_storage.delete(file_name(picture, width, kind))
    # The folder of a picture on a disk; other storages have none.
    if hasattr(default_storage, "base_location"):
        default_storage.delete(f"pictures/{picture.code}")
