from __future__ import annotations

import io
import socket

import pytest
from PIL import Image

from jobs.documents.fetcher import AppFetcher, RefusedAddress, Resource
from jobs.documents.fonts import FONT_FILES, fonts
from jobs.documents.pictures import UnreadablePicture, for_print
from jobs.documents.printing import PAGE_ONE_PX, DocumentNotMade, print_document

GPS_IFD = 0x8825  # Exif 2.3, tag of the GPS directory
ORIENTATION = 0x0112


def test_known_name_gives_its_bytes_and_type() -> None:
    answer = AppFetcher({"font-sans": Resource(b"\x00\x01", "font/ttf")}).fetch("app:font-sans")
    assert (answer.read(), answer.content_type) == (b"\x00\x01", "font/ttf")


@pytest.mark.parametrize(
    "address",
    [
        "http://example.org/x.png",
        "https://example.org/x.png",
        "file:///etc/hostname",
        "ftp://example.org/x",
        "data:image/png;base64,AAAA",
        "APP:font-sans",
        "app:font-sans/../other",
        "app:nobody",
        "/etc/hostname",
        "",
    ],
)
def test_every_other_address_is_refused(address: str) -> None:
    with pytest.raises(RefusedAddress):
        AppFetcher({"font-sans": Resource(b"\x00", "font/ttf")}).fetch(address)


@pytest.mark.parametrize(
    "html",
    [
        '<img src="http://127.0.0.1:{port}/x.png" alt="x">',
        '<img src="file:///etc/hostname" alt="x">',
        '<img src="app:photo-9" alt="x">',
        '<link rel="attachment" href="file:///etc/hostname">',
        '<style>@import url("http://127.0.0.1:{port}/x.css");</style>',
        '<p style="background: url(http://127.0.0.1:{port}/x.png)">x</p>',
    ],
)
def test_document_that_asks_for_more_is_not_made_and_asks_nobody(html: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        listener.settimeout(0.05)
        with pytest.raises(DocumentNotMade, match="RefusedAddress"):
            print_document(html.format(port=listener.getsockname()[1]), epoch_s=0)
        with pytest.raises(TimeoutError):
            listener.accept()


def test_every_font_of_a_document_is_a_file_of_a_package() -> None:
    assert set(fonts()) == set(FONT_FILES)
    # TrueType begins with the version 1.0 as a 16.16 number (OpenType specification, offset table).
    assert all(font.data[:4] == b"\x00\x01\x00\x00" for font in fonts().values())


def jpeg(size: tuple[int, int], exif: Image.Exif | None = None) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "#8a4b12").save(out, "JPEG", exif=exif or Image.Exif())
    return out.getvalue()


def test_photograph_loses_its_place_and_is_turned_upright() -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # to be turned by a quarter, Exif 2.3
    exif.get_ifd(GPS_IFD)[2] = (52.0, 28.0, 48.0)
    data = jpeg((4000, 3000), exif)
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(GPS_IFD)[2] == (52.0, 28.0, 48.0)
    ready = Image.open(io.BytesIO(for_print("photo-1", data, PAGE_ONE_PX).data))
    assert ready.size == (PAGE_ONE_PX * 3 // 4, PAGE_ONE_PX)
    assert dict(ready.getexif()) == {}
    assert "exif" not in ready.info


def test_picture_that_cannot_be_read_is_named() -> None:
    with pytest.raises(UnreadablePicture, match="'photo-1' cannot be read"):
        for_print("photo-1", b"not a picture", 945)
    with pytest.raises(UnreadablePicture, match="'photo-2' cannot be read"):
        for_print("photo-2", jpeg((400, 300))[:600], 945)


def test_broken_photograph_stops_the_document_with_its_name() -> None:
    with pytest.raises(DocumentNotMade, match="'photo-1' cannot be read"):
        print_document("<p>x</p>", epoch_s=0, photographs={"photo-1": b"not a picture"})
