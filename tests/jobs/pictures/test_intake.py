"""What comes in as a picture: the four kinds, the place taken out, and the attacks."""

from __future__ import annotations

import datetime as dt
import io
import os
import struct
import zlib
from zoneinfo import ZoneInfo

import pytest
from PIL import Image
from pillow_heif import from_pillow

from jobs.pictures.intake import LARGEST_BYTES, Picture, camera_time, take_in
from jobs.refusal import Refusal
from tests.factories import NOW

LONDON = ZoneInfo("Europe/London")
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
ORIENTATION, TAKEN, OFFSET, MAKER_NOTE = 0x0112, 0x9003, 0x9011, 0x927C


def camera_exif(orientation=1, taken="2026:09:10 11:15:00", offset="+01:00") -> Image.Exif:
    """As a telephone writes it, with the place: 52°28' N, 1°54' W."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[0x010F] = "Owner of 7 Tannery Lane"
    exif.get_ifd(EXIF_IFD).update({TAKEN: taken, OFFSET: offset, MAKER_NOTE: b"serial 12345"})
    exif.get_ifd(GPS_IFD).update({1: "N", 2: (52.0, 28.0, 0.0), 3: "W", 4: (1.0, 54.0, 0.0)})
    return exif


def picture(kind: str, size=(120, 80), **options) -> bytes:
    out = io.BytesIO()
    base = Image.new("RGB", size, (200, 30, 30))
    base.paste((30, 30, 200), (0, 0, size[0] // 2, size[1]))
    if kind == "HEIF":
        from_pillow(base).save(out, exif=camera_exif().tobytes(), **options)
    else:
        base.save(out, kind, exif=camera_exif().tobytes(), **options)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_each_kind_comes_out_as_a_jpeg_with_its_time_and_without_its_place(kind):
    data = picture(kind)
    assert b"Tannery" in data  # the place and the owner are really in what comes in
    taken = take_in(data, field="pictures", name="a")
    assert (taken.original, taken.offset) == ("2026:09:10 11:15:00", "+01:00")
    for made in (taken.data, taken.small):
        with Image.open(io.BytesIO(made)) as again:
            assert (again.format, again.size) == ("JPEG", (120, 80))
            assert not dict(again.getexif())
            assert set(again.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        assert b"Tannery" not in made and b"Exif" not in made and b"serial" not in made


def test_it_is_turned_upright():
    data = io.BytesIO()
    Image.new("RGB", (120, 80)).save(data, "JPEG", exif=camera_exif(orientation=6).tobytes())
    taken = take_in(data.getvalue(), field="pictures", name="a")
    assert (taken.width_px, taken.height_px) == (80, 120)


def test_a_large_one_is_made_smaller_and_a_small_copy_comes_with_it():
    data = io.BytesIO()
    Image.new("RGB", (5000, 4000)).save(data, "JPEG")
    taken = take_in(data.getvalue(), field="pictures", name="a")
    assert (taken.width_px, taken.height_px) == (2560, 2048)
    with Image.open(io.BytesIO(taken.small)) as small:
        assert small.size == (480, 384)


def test_what_is_transparent_becomes_white():
    data = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(data, "PNG")
    with Image.open(io.BytesIO(take_in(data.getvalue(), field="f", name="a").data)) as made:
        assert made.getpixel((10, 10)) == (255, 255, 255)


def test_a_drawing_stays_a_png_of_its_own_size():
    data = io.BytesIO()
    Image.new("RGB", (3000, 200)).save(data, "PNG", pnginfo=None)
    taken = take_in(data.getvalue(), field="file", name="a", as_png=True)
    with Image.open(io.BytesIO(taken.data)) as made:
        assert (made.format, made.size) == ("PNG", (3000, 200))


def png_that_says(width: int, height: int, body: bytes = b"") -> bytes:
    """A PNG (ISO/IEC 15948) whose head promises a size, with `body` as its whole data."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def refusal(data: bytes) -> str:
    with pytest.raises(Refusal) as refused:
        take_in(data, field="pictures", name="a.jpg")
    assert refused.value.field == "pictures"
    return refused.value.sentence


def test_a_decompression_bomb_is_refused_before_it_is_unpacked():
    packed = zlib.compress(bytes(10_000_000), 9)
    for width, height in ((50_000, 50_000), (5001, 5000), (2_000_000_000, 1)):
        bomb = png_that_says(width, height, packed)
        assert len(bomb) < 20_000
        assert "more than 25 megapixels" in refusal(bomb)


def test_exactly_25_megapixels_are_still_taken():
    out = io.BytesIO()
    Image.new("L", (5000, 5000)).save(out, "PNG")
    assert take_in(out.getvalue(), field="f", name="a").width_px == 2560


def test_a_text_chunk_that_unpacks_to_a_gigabyte_is_refused():
    text = b"Comment\x00\x00" + zlib.compress(bytes(200_000_000), 9)
    start = png_that_says(4, 4, zlib.compress(bytes(4 * 13)))
    chunk = struct.pack(">I", len(text)) + b"zTXt" + text + struct.pack(">I", zlib.crc32(b"zTXt" + text))
    assert "no picture that can be read" in refusal(start[:33] + chunk + start[33:])


@pytest.mark.parametrize(
    "data",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"GIF89a" + bytes(50),
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n(/etc/hostname) run\n",
        b"%PDF-1.7\n",
        b"MZ" + bytes(200),
        b"\xff\xd8\xff\xe0" + bytes(40),
        os.urandom(5000),
        "ceci n’est pas une image".encode(),
    ],
)
def test_what_is_no_picture_of_the_four_kinds_is_refused(data):
    assert "no picture that can be read: choose a JPEG, PNG, WebP or HEIC file" in refusal(data)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_one_that_breaks_off_is_refused(kind):
    data = picture(kind, size=(800, 600))
    assert "a.jpg" in refusal(data[: len(data) // 3])


def test_script_after_the_picture_does_not_travel():
    taken = take_in(picture("JPEG") + b"<script>alert(1)</script>", field="f", name="a")
    assert b"<script>" not in taken.data


def test_too_many_bytes_and_none_are_refused():
    assert "has more than 15 MB, which is the most" in refusal(bytes(LARGEST_BYTES + 1))
    assert "is an empty file" in refusal(b"")


def shown(original: str, offset: str = "") -> dt.datetime | None:
    return camera_time(Picture(b"", b"", 1, 1, original, offset), LONDON, NOW)


@pytest.mark.parametrize(
    ("original", "offset", "utc"),
    [
        ("2026:09:10 11:15:00", "", dt.datetime(2026, 9, 10, 10, 15, tzinfo=dt.UTC)),  # summer time in London
        ("2026:12:10 11:15:00", "", dt.datetime(2026, 12, 10, 11, 15, tzinfo=dt.UTC)),
        ("2026:09:10 11:15:00", "+02:00", dt.datetime(2026, 9, 10, 9, 15, tzinfo=dt.UTC)),
        ("2026:09:10 11:15:00", "-05:30", dt.datetime(2026, 9, 10, 16, 45, tzinfo=dt.UTC)),
        ("2026:09:10 11:15:00", "   :  ", dt.datetime(2026, 9, 10, 10, 15, tzinfo=dt.UTC)),
        ("", "", None),
        ("0000:00:00 00:00:00", "", None),
        ("2026:02:30 11:15:00", "", None),
        ("1980:01:01 00:00:00", "", None),  # a camera whose battery ran out
        ("2099:01:01 00:00:00", "", None),
        ("last Tuesday", "", None),
    ],
)
def test_the_cameras_time_is_taken_where_it_can_be_believed(original, offset, utc):
    assert shown(original, offset) == utc
