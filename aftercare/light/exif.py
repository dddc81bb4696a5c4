"""The time a photograph was taken, from what the camera wrote into it (EXIF 2.31, tags 0x9003 and 0x9011)."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo

from aftercare.light.errors import LightError

FIELD = "photograph"
_STAMP = re.compile(r"(\d{4}):(\d{2}):(\d{2}) (\d{2}):(\d{2}):(\d{2})(?:\.\d+)?")
_OFFSET = re.compile(r"([+-])(\d{2}):(\d{2})")
# A camera that lost its battery starts again at 1970, 1980 or 2000; no room of a living commission is that old.
_FIRST_YEAR = 2005
_REMEDY = "type the time in instead"


def capture_time(original: str | None, offset: str | None, zone: tzinfo, now: datetime) -> datetime:
    """Aware capture time on the zone's clock.

    `original` is DateTimeOriginal ("2026:09:10 11:15:00"), `offset` OffsetTimeOriginal ("+01:00") or None, in
    which case the camera is taken to have shown the zone's clock. Raises LightError("photograph") where there is
    no time or the camera's clock is plainly wrong: unset, unreadable, before 2005 or after `now`.
    """
    written = _numbers(original)
    away = _offset(offset)
    try:
        taken_at = datetime(*written, tzinfo=zone if away is None else timezone(away))
    except ValueError:
        raise LightError(FIELD, f"The camera wrote a date that does not exist, {original!r}: {_REMEDY}.") from None
    if taken_at.year < _FIRST_YEAR:
        raise LightError(FIELD, f"The camera's clock stood at {taken_at.year}, so it was not set: {_REMEDY}.")
    if away is None and taken_at.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != taken_at.replace(
        tzinfo=None
    ):
        raise LightError(FIELD, f"The clocks skipped {taken_at:%H:%M} that night, so the camera is wrong: {_REMEDY}.")
    if taken_at > now:
        raise LightError(FIELD, f"The camera's clock is ahead of ours, at {taken_at:%H:%M on %d %B %Y}: {_REMEDY}.")
    return taken_at.astimezone(zone)


def _numbers(original: str | None) -> tuple[int, int, int, int, int, int]:
    text = (original or "").strip("\x00 ")
    if not text.strip(": 0"):
        # Blank, or the "0000:00:00 00:00:00" of a camera whose clock was never set.
        raise LightError(FIELD, f"The photograph carries no time: {_REMEDY}.")
    found = _STAMP.fullmatch(text)
    if found is None:
        raise LightError(FIELD, f"The photograph's time {text!r} cannot be read: {_REMEDY}.")
    year, month, day, hour, minute, second = (int(part) for part in found.groups())
    return year, month, day, hour, minute, second


def _offset(offset: str | None) -> timedelta | None:
    """None where the camera wrote none, or dashes and blanks as the standard has it for "unknown"."""
    text = (offset or "").strip("\x00 ")
    if text == "Z":
        return timedelta(0)
    found = _OFFSET.fullmatch(text)
    if found is None or int(found[2]) > 14 or int(found[3]) > 59:
        return None
    away = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return -away if found[1] == "-" else away
