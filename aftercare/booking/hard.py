"""The rules a return visit may never break, and why a day is ruled out, in words."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from aftercare.booking.facts import BookingFacts, Busy
from aftercare.booking.wallclock import clock_words, is_plain, quarter_starts, window_utc
from jobs.calendar_days import WEEKDAY_NAMES, closed_because, covering
from jobs.travel import travel_minutes

__all__ = ["day_refused_because", "starts_of_day", "starts_refused_because", "travel_to"]

Span = tuple[datetime, datetime]


def day_refused_because(facts: BookingFacts, day: date) -> str | None:
    """Why no visit at all can be on `day`, or None. Calendar rules first, then the people."""
    closed = closed_because(day, nation=facts.nation, weekdays=facts.weekdays, closures=facts.closures)
    if closed is not None:
        return closed
    for ranges, word in ((facts.client_away, "client away"), (facts.absences, "maker away")):
        span = covering(ranges, day)
        if span is not None:
            return f"{word}: {span.reason}" if span.reason else word
    if facts.not_before is not None and day < facts.not_before.astimezone(facts.tz).date():
        return "already past"
    return None


def starts_of_day(facts: BookingFacts, day: date) -> list[datetime]:
    """The UTC starts of `day` that break no hard rule, earliest first."""
    if day_refused_because(facts, day) is not None:
        return []
    starts = _starts_with_access(facts, day)
    return [start for start in starts if _free(facts, start)]


def starts_refused_because(facts: BookingFacts, day: date) -> str | None:
    """Why `day` has no start although the day itself would do, or None when it has one."""
    if not facts.access.get(day.weekday(), facts.default_access):
        return f"no access on {WEEKDAY_NAMES[day.weekday()]}s"
    starts = _starts_with_access(facts, day)
    if not starts:
        windows = _windows(facts, day)
        hours = " and ".join(
            f"{clock_words(opens, facts.tz)} to {clock_words(closes, facts.tz)}" for opens, closes in windows
        )
        return f"no access for {facts.duration_minutes} min on end" + (f" ({hours})" if hours else "")
    if any(_free(facts, start) for start in starts):
        return None
    return "the maker's other visits and the journeys leave no gap"


def travel_to(facts: BookingFacts, visit: Busy) -> int:
    """Minutes between this client and another visit."""
    if visit.known_minutes is not None:
        return visit.known_minutes
    return travel_minutes(
        facts.place,
        visit.place,
        speed_kmh=facts.speed_kmh,
        winding=facts.winding,
        unknown_minutes=facts.unknown_travel_minutes,
    )


def _windows(facts: BookingFacts, day: date) -> list[Span]:
    """Access of `day` within the maker's own hours, as UTC spans that are not empty."""
    opens, closes = window_utc(day, facts.earliest, facts.latest, facts.tz)
    spans = []
    for window in facts.access.get(day.weekday(), facts.default_access):
        start, end = window_utc(day, window.earliest, window.latest, facts.tz)
        if max(start, opens) < min(end, closes):
            spans.append((max(start, opens), min(end, closes)))
    return spans


def _starts_with_access(facts: BookingFacts, day: date) -> list[datetime]:
    windows = _windows(facts, day)
    length = timedelta(minutes=facts.duration_minutes)
    floor = facts.not_before
    return [
        start
        for start in quarter_starts(day, facts.tz)
        if any(opens <= start and start + length <= closes for opens, closes in windows)
        # The end is read out to the client as well, so it too must be a time that happens once.
        and is_plain((start + length).astimezone(facts.tz))
        and (floor is None or start >= floor)
    ]


def _free(facts: BookingFacts, start: datetime) -> bool:
    """Whether the visit and the journeys before and after it keep clear of every other visit."""
    end = start + timedelta(minutes=facts.duration_minutes)
    for visit in facts.busy:
        gap = timedelta(minutes=travel_to(facts, visit))
        # Added in UTC: with a zoned time, Python would add wall-clock minutes across a clock change.
        if start < visit.ends_at.astimezone(UTC) + gap and end + gap > visit.starts_at.astimezone(UTC):
            return False
    return True
