"""Uploaded pictures made safe: checked by content before decoding, turned upright, stripped, and written anew."""

import hashlib
import io
import struct
from dataclasses import dataclass
from pathlib import PurePath

from PIL import Image, UnidentifiedImageError

MAX_BYTES = 8 * 1024 * 1024
MAX_PIXELS = 25_000_000
MAX_SIDE = 12_000
LEAST_SIDE = 200
WIDTHS = (320, 800, 1600)
LONGEST_SIDE = 2400  # of what is kept, however wide or high
MAX_SCANS = 150  # a progressive JPEG has some ten; thousands of them keep a processor busy for minutes
# What may come in: Pillow's name of the format, and the endings a file of it may have.
ENDINGS = {"JPEG": {"jpg", "jpeg"}, "PNG": {"png"}, "WEBP": {"webp"}}
PLAIN = "Send a JPEG, PNG or WebP picture"
TOO_MANY = f"The picture has more than {MAX_PIXELS // 1_000_000} million pixels. Send a smaller one."


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

    Raises PictureRefusedError for what is too large, too small, moving, broken or no picture at all. Decoding takes at most
    some ten bytes a pixel, 250 MB for the largest picture.
    """
    if len(content) > MAX_BYTES:
        raise PictureRefusedError(f"The file is larger than {MAX_BYTES // 1024 // 1024} MB. Send a smaller picture.")
    if not content:
        raise PictureRefusedError(f"The file is empty. {PLAIN}.")
    try:
        # Opening reads the header only; pixels are decoded once it has passed.
        with Image.open(io.BytesIO(content), formats=list(ENDINGS)) as image:
            _check_header(name, content, image)
            return _written(_on_paper(_decoded(image)))
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise PictureRefusedError(TOO_MANY) from None
    except UnidentifiedImageError:
        raise PictureRefusedError(f"This is not a picture that can be read. {PLAIN}.") from None
    except (OSError, ValueError, SyntaxError, EOFError, IndexError, KeyError, TypeError, OverflowError, struct.error):
        # Pillow's plugins raise all of these on broken data.
        raise PictureRefusedError("The picture is broken or cut short. Save it again and send that file.") from None


def _check_header(name: str, content: bytes, image: Image.Image) -> None:
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
    if kind == "JPEG" and content.count(b"\xff\xda") > MAX_SCANS:
        raise PictureRefusedError("The picture is built up in far too many steps. Save it again as a plain JPEG.")


def _decoded(image: Image.Image) -> Image.Image:
    """The picture upright and no larger than what is kept, in a mode that can be scaled well."""
    image.seek(0)
    # A JPEG is decoded at a fraction of its size where that is enough.
    image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    image.load()
    small = image
    if image.mode.startswith("I;16"):
        # Sixteen bits of grey: Pillow would cut off, not scale.
        small = image.point(lambda value: value / 256).convert("L")
    elif image.mode in ("P", "PA", "1") or "transparency" in image.info:
        small = image.convert("RGBA")
    if max(small.size) > LONGEST_SIDE:
        scale = LONGEST_SIDE / max(small.size)
        size = (max(1, round(small.width * scale)), max(1, round(small.height * scale)))
        small = small.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)
    return _turned(small, _orientation(image))


def _orientation(image: Image.Image) -> int:
    """How a camera was held (1 to 8); 1, upright, where that is not noted or cannot be read."""
    try:
        noted = image.getexif().get(0x0112)
    except (struct.error, OSError, ValueError, SyntaxError, KeyError, TypeError):
        return 1
    return noted if isinstance(noted, int) else 1


def _turned(image: Image.Image, orientation: int) -> Image.Image:
    """The picture as it is meant to be seen, by the orientation that a camera noted (1 to 8)."""
    steps = {
        2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_270, 7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }  # fmt: skip
    return image.transpose(steps[orientation]) if orientation in steps else image


def _on_paper(image: Image.Image) -> Image.Image:
    """The pixels alone on a new white sheet: no metadata, profile, comment or trailing bytes can come along."""
    sheet = Image.new("RGB", image.size, "white")
    if image.mode in ("RGBA", "LA", "PA", "RGBa", "La"):
        layer = image.convert("RGBA")
        sheet.paste(layer, mask=layer.getchannel("A"))
    else:
        sheet.paste(image.convert("RGB"))
    return sheet


def _written(pixels: Image.Image) -> SafePicture:
    widths = tuple(sorted({min(width, pixels.width) for width in WIDTHS}))
    renditions = []
    for width in widths:
        height = max(1, round(pixels.height * width / pixels.width))
        scaled = pixels if width == pixels.width else pixels.resize((width, height), Image.Resampling.LANCZOS)
        for kind, options in (("webp", {"quality": 80, "method": 4}), ("jpg", {"quality": 84, "optimize": True})):
            out = io.BytesIO()
            scaled.save(out, "JPEG" if kind == "jpg" else "WEBP", **options)
            renditions.append(Rendition(width, kind, out.getvalue()))
    digest = hashlib.sha256(f"{pixels.width}x{pixels.height}:".encode() + pixels.tobytes()).hexdigest()
    return SafePicture(pixels.width, pixels.height, digest, widths, tuple(renditions))
