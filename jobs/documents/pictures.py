"""Photographs made ready for print: turned upright, no larger than paper needs, and without their EXIF data.

A photograph taken in somebody's home carries the place it was taken at; that must not travel in a document. Runs in
the child process, because decoding a picture is where a broken one does harm. Imports no Django.
"""

from __future__ import annotations

import io

from PIL import Image, ImageOps

from jobs.documents.fetcher import Resource

JPEG_QUALITY = 82
Image.MAX_IMAGE_PIXELS = 120_000_000


class UnreadablePicture(ValueError):
    """The bytes are no picture that Pillow can decode."""


def for_print(name: str, data: bytes, longest_px: int) -> Resource:
    """A JPEG of the same picture, its longest side at most `longest_px`. Raises `UnreadablePicture` naming it."""
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as opened:
            opened.draft("RGB", (longest_px, longest_px))  # a JPEG is then decoded at a half, quarter or eighth
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as problem:
        raise UnreadablePicture(f"the photograph {name!r} cannot be read: {problem}") from problem
    picture.thumbnail((longest_px, longest_px))
    picture.info.clear()
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=JPEG_QUALITY, optimize=False)
    return Resource(out.getvalue(), "image/jpeg")
