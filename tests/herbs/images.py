"""Pictures made on the spot: good ones, and every kind of bad one that somebody may send."""

import io
import struct
import zipfile
import zlib

from PIL import Image, PngImagePlugin

GPS, ORIENTATION, MAKE, COMMENT = 0x8825, 0x0112, 0x010F, b"taken in the garden of the demo school"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="400" height="400"><script>alert(1)</script></svg>'
HTML = b"<html><script>alert('tail')</script></html>"


def drawn(width: int = 640, height: int = 480, mode: str = "RGB") -> Image.Image:
    """A picture whose left half is green and whose right half is brown."""
    image = Image.new("RGB", (width, height), (47, 93, 58))
    image.paste((143, 63, 31), (width // 2, 0, width, height))
    return image.convert(mode)


def encoded(image: Image.Image, kind: str, **options) -> bytes:
    """The bytes of a picture."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def jpeg(**size: int) -> bytes:
    """A plain JPEG."""
    return encoded(drawn(**size), "JPEG", quality=90)


def png(**size: int) -> bytes:
    """A plain PNG."""
    return encoded(drawn(**size), "PNG")


def photograph() -> bytes:
    """A JPEG as a telephone writes it: lying on its side, with place, maker and a comment."""
    image = drawn(640, 480)
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE] = 6, "Invented Camera"
    exif.get_ifd(GPS)[1], exif.get_ifd(GPS)[2] = "N", (50.0, 15.0, 30.0)
    exif.get_ifd(GPS)[3], exif.get_ifd(GPS)[4] = "W", (5.0, 3.0, 0.0)
    return encoded(image, "JPEG", exif=exif, comment=COMMENT, quality=90)


def chunk(kind: bytes, data: bytes) -> bytes:
    """A chunk of a PNG file."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width: int, height: int) -> bytes:
    """A grey PNG of so many pixels in a few kilobytes, written row by row without holding it in memory."""
    packer = zlib.compressobj(9)
    row = b"\x00" + b"\x00" * ((width + 7) // 8)
    data = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def scripted_png() -> bytes:
    """A PNG with scripts in its texts and in a chunk of its own."""
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", HTML.decode())
    info.add_itxt("XML:com.adobe.xmp", f"<x:xmpmeta>{HTML.decode()}</x:xmpmeta>")
    plain = encoded(drawn(), "PNG", pnginfo=info)
    return plain[:-12] + chunk(b"scRp", HTML) + plain[-12:] + HTML


def zip_tail() -> bytes:
    """A JPEG that is a ZIP archive too."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("index.html", HTML)
    return jpeg() + out.getvalue()


def moving(kind: str) -> bytes:
    """Three frames, one after the other."""
    frames = [Image.new("RGB", (320, 240), colour) for colour in ("red", "green", "blue")]
    return encoded(frames[0], kind, save_all=True, append_images=frames[1:], duration=100, loop=0)


def several_in_one() -> bytes:
    """A multi-picture JPEG: the large one first, then a small one."""
    return encoded(drawn(640, 480), "MPO", save_all=True, append_images=[drawn(320, 240)])


def endless_scans() -> bytes:
    """A progressive JPEG whose last scan comes again and again."""
    plain = encoded(drawn(), "JPEG", progressive=True)
    start = plain.rindex(b"\xff\xda")
    scan = plain[start:-2]
    return plain[:-2] + scan * 400 + plain[-2:]
