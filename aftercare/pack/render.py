"""The PDF of a pack, made by the press of `jobs.documents`."""

from __future__ import annotations

from django.template.loader import render_to_string

from aftercare.pack.contents import PackContents
from jobs.documents.printing import Document as PackFile
from jobs.documents.printing import DocumentNotMade as PackNotMade
from jobs.documents.printing import print_document

__all__ = ["PackFile", "PackNotMade", "pack_html", "print_document", "render_pack"]


def pack_html(contents: PackContents) -> str:
    """The document as HTML, everything from the record escaped."""
    return render_to_string("pdf/pack.html", {"pack": contents})


def render_pack(contents: PackContents) -> PackFile:
    """The same contents give the same bytes on one machine with one set of libraries. Raises `PackNotMade`."""
    return print_document(
        pack_html(contents),
        epoch_s=int(contents.issued_at.timestamp()),
        photographs={photograph.name: photograph.data for photograph in contents.photographs},
    )
