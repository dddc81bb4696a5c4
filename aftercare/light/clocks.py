"""When a zone's clocks go forward and back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo


@dataclass(frozen=True)
class ClockChange:
    """`minutes` is positive where clocks go forward (the same sun is later on the clock), negative for back."""

    day: date
    minutes: int


def clock_changes(zone: tzinfo, first_day: date, last_day: date) -> list[ClockChange]:
    """Changes between noon of the first day and noon of the last, in order; none for a zone that never changes."""
    changes = []
    before = offset_minutes(zone, first_day)
    for day in (first_day + timedelta(n) for n in range(1, (last_day - first_day).days + 1)):
        after = offset_minutes(zone, day)
        if after != before:
            # A zone that changes late in the evening has changed by midnight already.
            at_midnight = _offset_minutes(datetime.combine(day, time(0), tzinfo=zone))
            changed_on = day - timedelta(1) if at_midnight == after else day
            changes.append(ClockChange(changed_on, after - before))
        before = after
    return changes


def offset_minutes(zone: tzinfo, day: date) -> int:
    """Minutes the clock is ahead of UTC at noon of a day."""
    return _offset_minutes(datetime.combine(day, time(12), tzinfo=zone))


def _offset_minutes(moment: datetime) -> int:
    offset = moment.utcoffset()
    return 0 if offset is None else round(offset.total_seconds() / 60)
