"""Local wall time and UTC: quarter hours that exist exactly once, windows that hold over a clock change."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

__all__ = ["clock_words", "is_plain", "quarter_starts", "window_utc", "zone_of"]

QUARTER_MINUTES = 15
QUARTERS_A_DAY = 24 * 60 // QUARTER_MINUTES


@lru_cache(maxsize=64)
def zone_of(name: str) -> ZoneInfo:
    """The zone of an IANA name; ValueError with a sentence when there is none of that name."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError(f"Time zone: {name!r} is not known; give one like Europe/London.") from error


def is_plain(local: datetime) -> bool:
    """Whether a local time happens exactly once: neither skipped in spring nor doubled in autumn."""
    return local.replace(fold=0).utcoffset() == local.replace(fold=1).utcoffset()


def quarter_starts(day: date, zone: ZoneInfo) -> Iterator[datetime]:
    """The quarter hours of a local day in UTC, without those skipped or doubled by a clock change."""
    for number in range(QUARTERS_A_DAY):
        hour, quarter = divmod(number, 60 // QUARTER_MINUTES)
        local = datetime.combine(day, time(hour, quarter * QUARTER_MINUTES), zone)
        if is_plain(local):
            yield local.astimezone(UTC)


@lru_cache(maxsize=4096)
def window_utc(day: date, earliest: time, latest: time, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """A local window of a day as UTC instants.

    At a doubled bound the narrower reading counts. A bound that is skipped lies where the clocks jump: the window
    opens with the jump, or closes on the last minute before it.
    """
    opens, skipped = _readings(datetime.combine(day, earliest, zone))
    closes, close_skipped = _readings(datetime.combine(day, latest, zone))
    return (
        _jump(opens, zone) if skipped else max(opens),
        _jump(closes, zone) - timedelta(minutes=1) if close_skipped else min(closes),
    )


def _readings(local: datetime) -> tuple[list[datetime], bool]:
    """The instants a local time may mean, and whether it is skipped, so that it means none of them."""
    instants = [local.replace(fold=fold).astimezone(UTC) for fold in (0, 1)]
    wall = instants[0].astimezone(local.tzinfo).replace(tzinfo=None, fold=0)
    return instants, wall != local.replace(tzinfo=None, fold=0)


def _jump(readings: list[datetime], zone: ZoneInfo) -> datetime:
    """The first minute after the clocks went forward; the readings of a skipped time lie on both sides of it."""
    instant, after = min(readings), max(readings).astimezone(zone).utcoffset()
    while instant.astimezone(zone).utcoffset() != after:
        instant += timedelta(minutes=1)
    return instant


def clock_words(instant: datetime, zone: ZoneInfo) -> str:
    """ "9:05": the local time of an instant, to the nearest minute, as it is read out."""
    local = (instant + timedelta(seconds=30)).astimezone(zone)
    return f"{local.hour}:{local.minute:02d}"
