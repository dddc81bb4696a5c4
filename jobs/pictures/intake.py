"""Take a picture in: bytes from outside become a picture of our own making, or a sentence."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from jobs.refusal import Refusal

PROJECT_DIR = Path(__file__).resolve().parents[2]
LARGEST_BYTES = 15_000_000
MOST_AT_ONCE = 10
REFUSED = 3
_STAMP = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)")
# A camera that lost its battery starts again at 1970, 1980 or 2000.
FIRST_YEAR = 2005


@dataclass(frozen=True)
class Picture:
    """`data` is JPEG (PNG where asked for), `small` a JPEG of at most 480 pixels; `original` and `offset` are what
    the camera wrote as its time (EXIF DateTimeOriginal and OffsetTimeOriginal), blank where it wrote none."""

    data: bytes
    small: bytes
    width_px: int
    height_px: int
    original: str
    offset: str


def take_in(data: bytes, *, field: str, name: str, as_png: bool = False) -> Picture:
    """Raises Refusal(field) naming the file, for what is too large, no picture, or made to do harm."""
    if len(data) > LARGEST_BYTES:
        raise Refusal(field, f"“{name}” has more than 15 MB, which is the most. Make it smaller.")
    if not data:
        raise Refusal(field, f"“{name}” is an empty file: choose it again.")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "jobs.pictures.child", "png" if as_png else "jpeg"],
            input=data,
            capture_output=True,
            timeout=settings.CHILD_TIME_LIMIT_S,
            cwd=PROJECT_DIR,
            env={name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ} | {"LC_ALL": "C.UTF-8"},
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise Refusal(field, f"“{name}” takes too long to unpack; save it anew and choose it again.") from late
    if done.returncode == REFUSED:
        raise Refusal(field, f"“{name}”: {done.stderr.decode(errors='replace').strip()}")
    if done.returncode != 0:
        raise Refusal(field, f"“{name}” cannot be unpacked; save it anew as a JPEG and choose it again.")
    head, _, rest = done.stdout.partition(b"\n")
    facts = json.loads(head)
    large, small = facts.pop("sizes")
    return Picture(data=rest[:large], small=rest[large : large + small], **facts)


def camera_time(picture: Picture, zone: dt.tzinfo, now: dt.datetime) -> dt.datetime | None:
    """When it was taken, in UTC; None where the camera kept no time, or one that cannot be. Without an offset the
    camera is taken to have shown the clock of `zone`."""
    stamp = _STAMP.fullmatch(picture.original)
    if stamp is None:
        return None
    year, month, day, hour, minute, second = (int(part) for part in stamp.groups())
    try:
        taken = dt.datetime(year, month, day, hour, minute, second, tzinfo=_zone_of(picture.offset) or zone)
    except ValueError:
        return None
    in_utc = taken.astimezone(dt.UTC)
    return in_utc if year >= FIRST_YEAR and in_utc <= now else None


def _zone_of(offset: str) -> dt.tzinfo | None:
    found = _OFFSET.fullmatch(offset)
    if found is None or int(found[2]) > 14 or int(found[3]) > 59:
        return None
    away = dt.timedelta(hours=int(found[2]), minutes=int(found[3]))
    return dt.timezone(-away if found[1] == "-" else away)
