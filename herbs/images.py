"""Uploaded pictures made safe: checked by content before decoding, turned upright, stripped, and written anew."""

import hashlib
import io
import warnings
from dataclasses import dataclass
from pathlib import PurePath

from PIL import Image, ImageOps, UnidentifiedImageError

MAX_BYTES = 8 * 1024 * 1024
MAX_PIXELS = 25_000_000
MAX_SIDE = 12_000
LEAST_SIDE = 200
WIDTHS = (320, 800, 1600)
# What may come in: Pillow's name of the format, and the endings a file of it may have.
ENDINGS = {"JPEG": {"jpg", "jpeg"}, "PNG": {"png"}, "WEBP": {"webp"}}
PLAIN = "Send a JPEG, PNG or WebP picture"


class PictureRefusedError(Exception):
    """The upload cannot be taken; the message says why and what to do."""


@dataclass(frozen=True)
class Rendition:
    """One written file: width in pixels, kind ("webp" or "jpg") and its bytes."""

    width: int
    kind: str
    content: bytes


@dataclass(frozen=True)
class SafePicture:
    """A picture written anew: its size in pixels, a digest of its pixels, and its renditions at each width."""

    width: int
    height: int
    digest: str
    widths: tuple[int, ...]
    renditions: tuple[Rendition, ...]


def make_safe(name: str, content: bytes) -> SafePicture:
    """An uploaded file as fresh WebP and JPEG at up to three widths; nothing of the file itself is kept.

    Raises PictureRefusedError for what is too large, too small, moving, broken or no picture at all.
    """
    if len(content) > MAX_BYTES:
        raise PictureRefusedError(f"The file is larger than {MAX_BYTES // 1024 // 1024} MB. Send a smaller picture.")
    with warnings.catch_warnings():
        # A picture over Pillow's own limit warns before it fails: both mean too large.
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        try:
            image = Image.open(io.BytesIO(content), formats=list(ENDINGS))
            _check_header(name, image)
            upright = ImageOps.exif_transpose(_first_frame(image))
        except (Image.DecompressionBombWarning, Image.DecompressionBombError):
            raise PictureRefusedError(f"The picture has more than {MAX_PIXELS // 1_000_000} million pixels.") from None
        except UnidentifiedImageError:
            raise PictureRefusedError(f"This is not a picture that can be read. {PLAIN}.") from None
        except (OSError, ValueError, SyntaxError, EOFError):
            # Pillow's plugins raise all of these on broken data.
            raise PictureRefusedError("The picture is broken or cut short. Save it again and send that file.") from None
    return _written(upright)


def _check_header(name: str, image: Image.Image) -> None:
    """Everything the header tells is checked before a single pixel is decoded."""
    ending = PurePath(name).suffix.lower().removeprefix(".")
    # Telephones write several pictures into one JPEG file; the first of them is the picture.
    kind = "JPEG" if image.format == "MPO" else str(image.format)
    if ending not in ENDINGS.get(kind, set()):
        raise PictureRefusedError(
            f"The file's ending is .{ending or '?'} but it holds {kind}. {PLAIN} with its own ending."
        )
    width, height = image.size
    if width * height > MAX_PIXELS or max(width, height) > MAX_SIDE:
        limit = f"{MAX_PIXELS // 1_000_000} million pixels and {MAX_SIDE:,} pixels a side"
        raise PictureRefusedError(f"The picture is {width:,} by {height:,} pixels; the limits are {limit}.")
    if min(width, height) < LEAST_SIDE:
        raise PictureRefusedError(f"The picture is only {width} by {height} pixels; send at least {LEAST_SIDE} a side.")
    if image.format != "MPO" and getattr(image, "is_animated", False):
        raise PictureRefusedError(f"The picture moves. {PLAIN} that stands still.")


def _first_frame(image: Image.Image) -> Image.Image:
    image.seek(0)
    image.load()
    return image


def _written(image: Image.Image) -> SafePicture:
    """Fresh files from the pixels alone: no metadata, profile, comment or trailing bytes can come along."""
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        paper = Image.new("RGB", image.size, "white")
        layer = image.convert("RGBA")
        paper.paste(layer, mask=layer.getchannel("A"))
        pixels = paper
    else:
        pixels = Image.new("RGB", image.size)
        pixels.paste(image.convert("RGB"))
    widths = tuple(sorted({min(width, pixels.width) for width in WIDTHS}))
    renditions = []
    for width in widths:
        height = max(1, round(pixels.height * width / pixels.width))
        scaled = pixels if width == pixels.width else pixels.resize((width, height), Image.Resampling.LANCZOS)
        for kind, options in (("webp", {"quality": 80, "method": 4}), ("jpg", {"quality": 84, "optimize": True})):
            out = io.BytesIO()
            scaled.save(out, "JPEG" if kind == "jpg" else "WEBP", **options)
            renditions.append(Rendition(width, kind, out.getvalue()))
    digest = hashlib.sha256(pixels.tobytes()).hexdigest()
    return SafePicture(pixels.width, pixels.height, digest, widths, tuple(renditions))
