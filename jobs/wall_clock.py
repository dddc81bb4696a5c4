"""A time of day on the wall, as an instant. Pure.

The rule for clock changes: a time that is skipped in spring means the first instant after the gap; one that comes
twice in autumn means its first coming.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

MINUTE = timedelta(minutes=1)


def at_wall_time(day: date, wall: time, zone: ZoneInfo) -> datetime:
    """The instant, in UTC, at which the clock on the wall of `zone` first shows `wall`, or first has passed it."""
    told = datetime.combine(day, wall)
    instant = told.replace(tzinfo=zone, fold=0).astimezone(UTC)
    if _shown(instant, zone) == told:
        return instant
    # Skipped: with fold=1 the later offset counts (PEP 495), which lies before the gap; walk up to its end.
    instant = told.replace(tzinfo=zone, fold=1).astimezone(UTC).replace(second=0, microsecond=0)
    while _shown(instant, zone) < told:
        instant += MINUTE
    return instant


def _shown(instant: datetime, zone: ZoneInfo) -> datetime:
    return instant.astimezone(zone).replace(tzinfo=None)
