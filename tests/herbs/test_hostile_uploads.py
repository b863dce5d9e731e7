"""Pictures that are meant to harm, or just unlucky: each is refused with a sentence or made safe. All are made at run time."""

import io
import os
import subprocess
import sys
import zipfile

import pytest
from django.conf import settings
from PIL import Image

from herbs.images import MAX_BYTES, WIDTHS, PictureRefusedError, make_safe
from tests.herbs import images

# (name, what is sent, a part of the sentence that refuses it)
REFUSED = {
    "64 megapixels in kilobytes": ("a.png", lambda: images.bomb(8000, 8000), "8,000 by 8,000 pixels; the limits are 25 million"),
    "100 megapixels": ("a.png", lambda: images.bomb(10000, 10000), "million pixels"),
    "196 megapixels": ("a.png", lambda: images.bomb(14000, 14000), "more than 25 million pixels"),
    "20,000 pixels wide": ("a.png", lambda: images.bomb(20000, 300), "20,000 by 300 pixels; the limits are"),
    "20,000 pixels high": ("a.png", lambda: images.bomb(300, 20000), "300 by 20,000 pixels; the limits are"),
    "9 MB": ("a.jpg", lambda: images.jpeg() + b"\0" * (9 * 1024 * 1024), "larger than 8 MB"),
    "empty": ("a.jpg", lambda: b"", "The file is empty. Send a JPEG, PNG or WebP picture."),
    "SVG with a script": ("a.svg", lambda: images.SVG, "not a picture that can be read"),
    "SVG that is called PNG": ("a.png", lambda: images.SVG, "not a picture that can be read"),
    "page that is called JPEG": ("a.jpg", lambda: images.HTML, "not a picture that can be read"),
    "program": ("a.jpg", lambda: b"MZ" + os.urandom(2000), "not a picture that can be read"),
    "truncated JPEG": ("a.jpg", lambda: images.jpeg()[:2500], "broken or cut short"),
    "JPEG that ends in its header": ("a.jpg", lambda: images.jpeg()[:60], ""),
    "truncated PNG": ("a.png", lambda: images.encoded(Image.effect_noise((640, 480), 90), "PNG")[:20000], "broken or cut short"),
    "PNG called JPEG": ("a.jpg", images.png, "ending is .jpg but it holds PNG"),
    "JPEG called WebP": ("a.webp", images.jpeg, "ending is .webp but it holds JPEG"),
    "no ending": ("picture", images.jpeg, "ending is .? but it holds JPEG"),
    "two endings": ("a.jpg.php", images.jpeg, "ending is .php but it holds JPEG"),
    "moving GIF": ("a.gif", lambda: images.moving("GIF"), "not a picture that can be read"),
    "moving GIF called PNG": ("a.png", lambda: images.moving("GIF"), "not a picture that can be read"),
    "moving PNG": ("a.png", lambda: images.moving("PNG"), "The picture moves"),
    "moving WebP": ("a.webp", lambda: images.moving("WEBP"), "The picture moves"),
    "TIFF": ("a.tif", lambda: images.encoded(images.drawn(), "TIFF"), "not a picture that can be read"),
    "BMP called JPEG": ("a.jpg", lambda: images.encoded(images.drawn(), "BMP"), "not a picture that can be read"),
    "PDF": ("a.jpg", lambda: images.encoded(images.drawn(), "PDF"), "not a picture that can be read"),
    "PostScript called JPEG": ("a.jpg", lambda: images.encoded(images.drawn(), "EPS"), "not a picture that can be read"),
    "a thumbnail": ("a.png", lambda: images.png(width=120, height=90), "only 120 by 90 pixels; send at least 200"),
    "hundreds of scans": ("a.jpg", images.endless_scans, "far too many steps"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_refused_with_a_sentence(case):
    name, make, sentence = REFUSED[case]
    with pytest.raises(PictureRefusedError) as error:
        make_safe(name, make())
    said = str(error.value)
    assert sentence in said and said[0].isupper() and said.endswith("."), said


@pytest.mark.filterwarnings("default")
@pytest.mark.parametrize("case", ["64 megapixels in kilobytes", "100 megapixels", "196 megapixels"])
def test_refused_also_where_warnings_are_no_errors(case):
    name, make, _ = REFUSED[case]
    with pytest.raises(PictureRefusedError, match="million pixels"):
        make_safe(name, make())


def safe_parts(safe):
    """Every rendition, opened; nothing but pixels is in it."""
    for rendition in safe.renditions:
        image = Image.open(io.BytesIO(rendition.content))
        image.load()
        yield rendition, image


def assert_clean(safe):
    for rendition, image in safe_parts(safe):
        assert image.format == {"webp": "WEBP", "jpg": "JPEG"}[rendition.kind]
        assert image.mode == "RGB" and image.width == rendition.width <= safe.width
        assert abs(image.height - safe.height * rendition.width / safe.width) <= 1
        assert not image.getexif() and not {"exif", "xmp", "icc_profile", "comment", "photoshop"} & set(image.info)
        for trace in (b"<script", b"garden", b"Invented Camera", b"http", b"PK\x03\x04", b"scRp"):
            assert trace not in rendition.content
        assert not zipfile.is_zipfile(io.BytesIO(rendition.content))


def test_a_good_picture_comes_in_three_widths_and_two_kinds():
    safe = make_safe("leaf.JPG", images.jpeg(width=2000, height=1500))
    assert (safe.width, safe.height, safe.widths) == (2000, 1500, WIDTHS)
    assert [(r.width, r.kind) for r in safe.renditions] == [(w, k) for w in WIDTHS for k in ("webp", "jpg")]
    assert_clean(safe)


@pytest.mark.parametrize(
    "size", [(200, 200), (320, 1000), (500, 300), (1600, 900), (5000, 5000), (12000, 2000), (2000, 12000)]
)
def test_no_rendition_is_wider_than_what_was_sent(size):
    safe = make_safe("a.png", images.png(width=size[0], height=size[1]))
    assert max(safe.width, safe.height) <= 2400 and safe.widths[-1] <= min(1600, size[0])
    assert abs(safe.width / safe.height - size[0] / size[1]) < 0.02 * size[0] / size[1]
    assert_clean(safe)


def test_place_maker_and_comment_go_and_the_picture_stands_upright():
    sent = images.photograph()
    with Image.open(io.BytesIO(sent)) as before:
        assert before.getexif().get_ifd(images.GPS) and before.info["comment"], "the test picture carries what must go"
    safe = make_safe("IMG_1.jpeg", sent)
    assert (safe.width, safe.height) == (480, 640)
    assert_clean(safe)
    image = Image.open(io.BytesIO(safe.renditions[-1].content))
    # Turned clockwise, the left half is above.
    top, bottom = image.getpixel((240, 100)), image.getpixel((240, 540))
    assert top[1] > top[0] and bottom[0] > bottom[1], (top, bottom)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_turned_as_pillow_itself_does(orientation):
    from PIL import ImageChops, ImageOps

    drawn = images.drawn(400, 240)
    drawn.paste("white", (0, 0, 100, 60))
    exif = Image.Exif()
    exif[images.ORIENTATION] = orientation
    sent = images.encoded(drawn, "PNG", exif=exif)
    expected = ImageOps.exif_transpose(Image.open(io.BytesIO(sent))).convert("RGB")
    safe = make_safe("a.png", sent)
    found = Image.open(
        io.BytesIO(next(r.content for r in safe.renditions if r.width == safe.width and r.kind == "jpg"))
    )
    assert found.size == expected.size
    difference = ImageChops.difference(found, expected).resize((8, 8)).getextrema()
    assert max(high for _, high in difference) < 40


@pytest.mark.parametrize(
    ("name", "make"),
    [
        ("zip.jpg", images.zip_tail),
        ("html.jpg", lambda: images.jpeg() + images.HTML),
        ("script.png", images.scripted_png),
        ("mpo.jpg", images.several_in_one),
    ],
)
def test_what_hides_behind_or_within_a_picture_does_not_come_along(name, make):
    safe = make_safe(name, make())
    assert (safe.width, safe.height) == (640, 480)
    assert_clean(safe)


@pytest.mark.parametrize("mode", ["CMYK", "L", "P", "1", "LA", "RGBA", "I;16"])
def test_every_way_of_storing_colour_becomes_plain_colour(mode):
    if mode == "I;16":
        image = Image.frombytes("I;16", (640, 480), (b"\x00\x40" * 320 + b"\x00\xc0" * 320) * 480)
        lighter, darker = (480, 240), (160, 240)
    else:
        image = (
            images.drawn(mode=mode)
            if mode != "1"
            else images.drawn(mode="L").point(lambda v: 255 * (v > 75)).convert("1")
        )
        lighter, darker = None, None
    kind, name = ("JPEG", "a.jpg") if mode == "CMYK" else ("PNG", "a.png")
    safe = make_safe(name, images.encoded(image, kind))
    assert_clean(safe)
    found = Image.open(io.BytesIO(safe.renditions[-1].content))
    if lighter:
        assert abs(found.getpixel(lighter)[0] - 0xC0) < 12 and abs(found.getpixel(darker)[0] - 0x40) < 12
    elif mode in ("CMYK", "P", "RGBA"):
        left, right = found.getpixel((160, 240)), found.getpixel((480, 240))
        assert left[1] > left[0] and right[0] > right[1]


def test_what_is_transparent_is_white_paper():
    image = Image.new("RGBA", (400, 400), (0, 0, 0, 0))
    image.paste((47, 93, 58, 255), (100, 100, 300, 300))
    found = Image.open(io.BytesIO(make_safe("a.png", images.encoded(image, "PNG")).renditions[-1].content))
    assert min(found.getpixel((20, 20))) > 250 and max(found.getpixel((200, 200))) < 120


def test_the_same_pixels_have_the_same_digest_whatever_stands_beside_them():
    plain = images.png()
    assert make_safe("a.png", plain).digest == make_safe("b.png", images.scripted_png()).digest
    assert make_safe("a.png", plain).digest != make_safe("a.png", images.png(width=650)).digest


@pytest.mark.parametrize("seed", range(60))
def test_damaged_bytes_are_refused_with_a_sentence_or_made_safe(seed):
    import random

    chance = random.Random(seed)
    name, sent = chance.choice(
        [
            ("a.jpg", images.photograph()),
            ("a.png", images.scripted_png()),
            ("a.webp", images.encoded(images.drawn(), "WEBP")),
        ]
    )
    damaged = bytearray(sent)
    for _ in range(chance.randint(1, 30)):
        damaged[chance.randrange(len(damaged))] = chance.randrange(256)
    try:
        assert_clean(make_safe(name, bytes(damaged)))
    except PictureRefusedError as error:
        assert str(error).endswith(".")


MEASURE = """
import resource, sys
sys.path.insert(0, {root!r})
from herbs.images import PictureRefusedError, make_safe
name = sys.argv[1]
content = open(sys.argv[2], "rb").read()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    make_safe(name, content)
except PictureRefusedError:
    pass
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


@pytest.mark.parametrize(
    ("name", "make", "limit"),
    [
        ("bomb.png", lambda: images.bomb(14000, 14000), 30),
        ("bomb.png", lambda: images.bomb(8000, 8000), 30),
        ("large.png", lambda: images.encoded(Image.new("RGBA", (5000, 5000), (9, 9, 9, 99)), "PNG"), 350),
        ("large.jpg", lambda: images.encoded(Image.new("CMYK", (5000, 5000)), "JPEG"), 350),
        ("large.webp", lambda: images.encoded(Image.new("RGB", (5000, 5000)), "WEBP"), 350),
    ],
)
def test_memory_stays_bounded(tmp_path, name, make, limit):
    """In a process of its own: how far the peak rises, in megabytes."""
    path = tmp_path / name
    path.write_bytes(make())
    assert path.stat().st_size < MAX_BYTES
    code = MEASURE.format(root=str(settings.BASE_DIR))
    done = subprocess.run(
        [sys.executable, "-c", code, name, str(path)], capture_output=True, text=True, timeout=120, check=True
    )
    risen = int(done.stdout)
    assert risen < limit, f"the peak rose by {risen} MB"
