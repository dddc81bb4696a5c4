"""When a photograph was taken, read from what the camera wrote into it; the picture itself is kept where asked."""

from __future__ import annotations

import datetime as dt
from typing import BinaryIO, cast
from zoneinfo import ZoneInfo

from django.core.files.uploadedfile import UploadedFile

from aftercare.light.errors import LightError
from aftercare.light.exif import capture_time
from jobs.domain.photographs import add_photographs
from jobs.models import Person, PhotographPurpose, Room
from jobs.pictures.intake import LARGEST_BYTES
from jobs.refusal import Refusal

# Numbers of the EXIF standard (2.31): the part that holds the shot, its time, and that time's distance from UTC.
SHOT, TIME, OFFSET = 0x8769, 0x9003, 0x9011
REMEDY = "type the time in instead"


def time_of_photograph(file: BinaryIO, size_bytes: int, zone: ZoneInfo, now: dt.datetime) -> dt.datetime:
    """Aware, on the workshop's clock. Refused beside "photograph": no picture, no time in it, or a wrong one."""
    from PIL import Image
    from pillow_heif import register_heif_opener

    if size_bytes > LARGEST_BYTES:
        raise Refusal("photograph", f"This file is over 15 MB: send the camera's own picture, or {REMEDY}.")
    register_heif_opener()
    try:
        with Image.open(file) as picture:  # reads the head of the file only: no pixel is unpacked
            shot = picture.getexif().get_ifd(SHOT)
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as fault:
        words = f"This file cannot be read as a photograph: choose another, or {REMEDY}."
        raise Refusal("photograph", words) from fault
    try:
        return capture_time(_text(shot.get(TIME)), _text(shot.get(OFFSET)), zone, now)
    except LightError as fault:
        raise Refusal("photograph", fault.sentence) from fault


def read_photograph(
    *, room: Room, file: UploadedFile, is_kept: bool, zone: ZoneInfo, now: dt.datetime, actor: Person | None
) -> dt.datetime:
    """The time of a photograph; where `is_kept`, the picture too, for the room. Refused: nothing is kept."""
    taken_at = time_of_photograph(cast(BinaryIO, file), file.size or 0, zone, now)
    if is_kept:
        file.seek(0)
        try:
            add_photographs(
                commission=room.commission,
                files=[(file.name or "photograph", file.read(LARGEST_BYTES + 1))],
                purpose=PhotographPurpose.WORK,
                words=f"The light in the {room.name.lower()}",
                room=room,
                zone=zone,
                now=now,
                actor=actor,
            )
        except Refusal as refusal:
            raise Refusal("photograph", f"{refusal.sentence} Or do not keep it: its time can be read.") from refusal
    return taken_at


def _text(value: object) -> str | None:
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return value if isinstance(value, str) else None
