"""Drawings in versions, kept as uploaded; approval freezes name, day and the hash of the file."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Max

from jobs.domain.daybook import write_line
from jobs.models import Commission, DrawingVersion, Person
from jobs.pictures.intake import take_in
from jobs.refusal import Refusal

LARGEST_BYTES = 15_000_000
PDF, PNG = "application/pdf", "image/png"


def add_drawing(
    *, commission: Commission, title: str, note: str, name: str, data: bytes, now: dt.datetime, actor: Person | None
) -> DrawingVersion:
    """The next version of the drawing of that title. A PDF is kept byte for byte, a PNG is written anew."""
    title = title.strip()
    if not title:
        raise Refusal("title", "Title: say what is drawn, such as “Wardrobe elevations”.")
    kept, media_type = _checked(name, data)
    digest = hashlib.sha256(kept).hexdigest()
    path = f"drawings/{secrets.token_hex(16)}.{'pdf' if media_type == PDF else 'png'}"
    stored = ""
    try:
        with transaction.atomic():
            before = DrawingVersion.objects.filter(commission=commission, title=title)
            if before.filter(sha256=digest).exists():
                raise Refusal("file", f"“{name}” is a version that is here already, to the byte: choose the new one.")
            stored = default_storage.save(path, ContentFile(kept))
            drawing = DrawingVersion.objects.create(
                commission=commission,
                title=title,
                version=(before.aggregate(last=Max("version"))["last"] or 0) + 1,
                file=stored,
                media_type=media_type,
                sha256=digest,
                note=note.strip(),
                added_at=now,
                added_by=actor,
            )
            write_line(
                act="add_drawing", now=now, actor=actor, commission=commission, drawing=drawing.pk,
                version=drawing.version, sha256=digest,
            )  # fmt: skip
    except BaseException:
        if stored:
            default_storage.delete(stored)
        raise
    return drawing


def _checked(name: str, data: bytes) -> tuple[bytes, str]:
    if len(data) > LARGEST_BYTES:
        raise Refusal("file", f"“{name}” has more than 15 MB, which is the most. Make it smaller.")
    if data.startswith(b"%PDF-"):
        if b"%%EOF" not in data[-2048:]:
            raise Refusal("file", f"“{name}” is a PDF that breaks off before its end: save it anew.")
        return data, PDF
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return take_in(data, field="file", name=name, as_png=True).data, PNG
    raise Refusal("file", f"“{name}” is neither PDF nor PNG: save the drawing as one of the two.")


def is_latest(drawing: DrawingVersion) -> bool:
    later = DrawingVersion.objects.filter(
        commission=drawing.commission_id, title=drawing.title, version__gt=drawing.version
    )
    return not later.exists()


@transaction.atomic
def approve_drawing(*, drawing: DrawingVersion, name: str, now: dt.datetime, actor: Person | None) -> DrawingVersion:
    """The client says yes to this version. Name, instant and the hash of the file as it lies there now are frozen.

    Refused: a version that a later one has replaced, one approved already, a file that is not what was uploaded.
    """
    name = name.strip()
    if not name:
        raise Refusal("name", "Name: write the name of the person who approves.")
    if not is_latest(drawing):
        raise Refusal("", f"{drawing} has been replaced by a later version; look at that one.")
    with drawing.file.open("rb") as stored:
        digest = hashlib.file_digest(stored, "sha256").hexdigest()
    if digest != drawing.sha256:
        raise Refusal(
            "", f"The file of {drawing} is not the one that was uploaded: upload it again as a new version."
        )
    done = DrawingVersion.objects.filter(pk=drawing.pk, approved_at__isnull=True).update(
        approved_by_name=name[:120], approved_at=now, approved_sha256=digest
    )
    if not done:
        raise Refusal("", f"{drawing} has been approved already; nothing was changed.")
    drawing.refresh_from_db(fields=["approved_by_name", "approved_at", "approved_sha256"])
    write_line(
        act="approve_drawing",
        now=now,
        actor=actor,
        commission=drawing.commission,
        drawing=drawing.pk,
        version=drawing.version,
        sha256=digest,
    )
    return drawing
