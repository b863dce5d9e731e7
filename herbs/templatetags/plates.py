"""Pictures of a herb for templates."""

from django import template
from django.db.models import QuerySet
from django.urls import reverse

from herbs.models import Herb, Picture
from herbs.pictures import pictures_of

register = template.Library()


@register.simple_tag
def plates(herb: Herb) -> QuerySet[Picture]:
    """The pictures of a herb, in the order of its parts. One query."""
    return pictures_of(herb)


@register.filter
def srcset(picture: Picture, kind: str) -> str:
    """The renditions of a kind ("webp" or "jpg") with their widths, as an image's srcset has them."""
    return ", ".join(f"{address(picture, width, kind)} {width}w" for width in picture.widths)


@register.filter
def src(picture: Picture) -> str:
    """The smallest JPEG of a picture that is at least 800 pixels wide, or the widest."""
    return address(picture, next((width for width in picture.widths if width >= 800), picture.widths[-1]), "jpg")


def address(picture: Picture, width: int, kind: str) -> str:
    """Where a rendition is served."""
    return reverse("herbs:picture-file", args=[picture.code, width, kind])
