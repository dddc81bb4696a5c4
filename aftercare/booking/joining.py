"""From the facts of single return visits to the visits that are joined into rounds, and back to instants."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from aftercare.booking.facts import BookingFacts
from aftercare.booking.hard import starts_of_day
from aftercare.booking.routes import QUARTER_MINUTES, DayWindow, RoundVisit
from aftercare.booking.soft import catches_light
from aftercare.booking.window import return_days

__all__ = ["agreed_visit", "open_visit", "open_windows", "utc_of_minute"]


def utc_of_minute(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """The instant at which the clock on the wall shows `minute` minutes after midnight (540 is nine)."""
    return datetime.combine(day, time(*divmod(minute, 60)), zone).astimezone(UTC)


def open_windows(facts: BookingFacts, *, in_light: bool = True) -> tuple[DayWindow, ...]:
    """The hours in which the visit can be, from its hard rules, in local minutes of each day.

    With `in_light`, a day with a photo window that can be caught is narrowed to the starts that catch it. Leave
    out of `facts.busy` what is to be joined into the same rounds: the rounds keep those apart themselves.
    """
    found: list[DayWindow] = []
    for day in return_days(facts.handed_over_on, facts.first_day, facts.last_day):
        starts = starts_of_day(facts, day)
        lit = [start for start in starts if catches_light(facts, day, start)]
        found.extend(_runs(facts, day, lit if in_light and lit else starts))
    return tuple(found)


def open_visit(
    key: Hashable, facts: BookingFacts, *, current_day: date | None = None, in_light: bool = True
) -> RoundVisit:
    """A visit that may be put on any day its facts allow; `current_day` where it is booked but may move."""
    return RoundVisit(
        key,
        facts.duration_minutes,
        open_windows(facts, in_light=in_light),
        facts.place,
        current_day=current_day,
    )


def agreed_visit(key: Hashable, facts: BookingFacts, starts_at: datetime) -> RoundVisit:
    """A visit that stays exactly where it was agreed."""
    local = starts_at.astimezone(facts.tz)
    opens = local.hour * 60 + local.minute
    window = DayWindow(local.date(), opens, opens + facts.duration_minutes)
    return RoundVisit(key, facts.duration_minutes, (window,), facts.place, agreed=True)


def _runs(facts: BookingFacts, day: date, starts: list[datetime]) -> list[DayWindow]:
    """Starts that follow each other by a quarter hour, joined into windows."""
    runs: list[DayWindow] = []
    before: datetime | None = None
    for start in starts:
        local = start.astimezone(facts.tz)
        opens = local.hour * 60 + local.minute
        window = DayWindow(day, opens, opens + facts.duration_minutes)
        if before is not None and start - before == timedelta(minutes=QUARTER_MINUTES):
            runs[-1] = replace(runs[-1], closes_minute=window.closes_minute)
        else:
            runs.append(window)
        before = start
    return runs
