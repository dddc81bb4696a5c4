"""Looks for a planted text in whatever the program makes, however it is wrapped up."""

from __future__ import annotations

import base64
import email
import email.policy
import gzip
import html
import io
import quopri
import re
import urllib.parse
import zlib
from collections.abc import Iterator
from functools import cache

import pikepdf


@cache
def disguises(text: str) -> set[bytes]:
    """The text as it would look in UTF-8, UTF-16, hexadecimal, base64 at each of its three offsets, addresses, HTML,
    JSON and quoted-printable."""
    plain = text.encode()
    found = {plain, text.encode("utf-16-le"), text.encode("utf-16-be"), plain.hex().encode(), plain[::-1]}
    for shift in range(3):
        coded = base64.b64encode(b"\0" * shift + plain).rstrip(b"=")
        # The first and last sign share bits with their neighbours; what lies between is the same wherever it stands.
        found.add(coded[(0, 2, 3)[shift] : -1])
    found |= {urllib.parse.quote(text, safe="").encode(), html.escape(text).encode(), quopri.encodestring(plain)}
    found.add(text.encode("unicode_escape"))
    return found


# Begins where a line of such signs does: looking from every sign of it again takes the square of its length.
BASE64 = re.compile(rb"(?<![A-Za-z0-9+/])(?:[A-Za-z0-9+/]{60,}[\r\n]+)+[A-Za-z0-9+/=]*")


def layers(made: bytes, depth: int = 3) -> Iterator[bytes]:
    """The bytes themselves, and what lies inside them: mail parts, PDF streams, gzip, base64 blocks."""
    yield made
    if depth == 0:
        return
    if made.startswith(b"%PDF"):
        for inner in pdf_streams(made):
            yield from layers(inner, depth - 1)
    if made.startswith(b"\x1f\x8b"):
        yield from layers(gzip.decompress(made), depth - 1)
    if re.match(rb"[A-Za-z-]+: ", made) and b"\n\n" in made.replace(b"\r\n", b"\n"):
        for part in email.message_from_bytes(made, policy=email.policy.default).walk():
            inner = part.get_payload(decode=True)
            if isinstance(inner, bytes):
                yield from layers(inner, depth - 1)
    for block in BASE64.findall(made):
        try:
            yield from layers(base64.b64decode(block), depth - 1)
        except ValueError:
            continue


def pdf_streams(made: bytes) -> Iterator[bytes]:
    """Every stream and string of a PDF, and its text through the fonts' own maps."""
    with pikepdf.open(io.BytesIO(made)) as pdf:
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Stream):
                try:
                    yield thing.read_bytes()
                except (pikepdf.PdfError, zlib.error):
                    yield thing.read_raw_bytes()
            else:
                yield bytes(repr(thing), "utf-8")


def holds(made: bytes | str, *texts: str) -> list[str]:
    """Those of `texts` that are in there."""
    raw = made.encode("utf-8", "surrogateescape") if isinstance(made, str) else made
    looks = {text: disguises(text) for text in texts}
    return sorted(
        {
            text
            for layer in layers(raw)
            for text, all_looks in looks.items()
            if any(look in layer for look in all_looks)
        }
    )
