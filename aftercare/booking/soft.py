"""What makes one possible time better than another: points, each with its reason in words.

The weights are judgement: light first (the visit exists for hinges and photographs, and only the hour is
free), then what the client asked for, then a shared journey, then a quiet day. They are integers so that a
rank never depends on rounding.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from aftercare.booking.facts import BookingFacts, Busy, LightWindow
from aftercare.booking.hard import travel_to
from aftercare.booking.wallclock import clock_words
from jobs.calendar_days import WEEKDAY_NAMES

__all__ = ["Points", "catches_light", "outside_points", "score_start"]

Points = tuple[int, str | None]

LIGHT_POINTS = 100
PARTLY_LIGHT_POINTS = 50
USUAL_HOUR_POINTS = 40
WEEKDAY_POINTS = 30
HOUR_POINTS = 30
ROUND_POINTS = 30
BUSY_POINTS = -8
BUSY_COUNTED = 5
OUTSIDE_POINTS = -15

PHOTOGRAPH_MINUTES = 15  # the least time in the window that is worth unpacking a camera for
NEAR_MINUTES = 60
ROUND_MINUTES = 25  # a journey this short joins two visits into one round


def score_start(facts: BookingFacts, day: date, start: datetime) -> tuple[int, tuple[str, ...]]:
    """Points of a visit that starts at `start` (UTC) on the local `day`, and reasons in order of weight."""
    parts = (
        _light(facts, day, start),
        _weekday(facts, day),
        _hour(facts, start),
        _round(facts, day),
        _load(facts, day),
    )
    return sum(points for points, _ in parts), tuple(reason for _, reason in parts if reason)


def catches_light(facts: BookingFacts, day: date, start: datetime) -> bool:
    """Whether the best moment of the photo window falls inside the visit."""
    window = facts.photo_windows.get(day)
    return window is not None and start <= window.best_at <= _end(facts, start)


def outside_points(first_day: int, last_day: int, number: int) -> Points:
    """A day outside the range agreed loses points for every day it is out."""
    out = max(first_day - number, number - last_day, 0)
    if out == 0:
        return 0, None
    side = "before" if number < first_day else "after"
    days = "1 day" if out == 1 else f"{out} days"
    return OUTSIDE_POINTS * out, f"day {number}, {days} {side} the range agreed ({first_day} to {last_day})"


def _end(facts: BookingFacts, start: datetime) -> datetime:
    return start + timedelta(minutes=facts.duration_minutes)


def _minutes(span: timedelta) -> int:
    return round(abs(span.total_seconds()) / 60)


def _light(facts: BookingFacts, day: date, start: datetime) -> Points:
    window = facts.photo_windows.get(day)
    if window is None:
        return _usual_hour(facts, start)
    end = _end(facts, start)
    hours = f"{clock_words(window.starts_at, facts.tz)} to {clock_words(window.ends_at, facts.tz)}"
    quality = max(0, min(100, round(window.score)))
    # The doors are set right first and photographed after, so the best light is wanted two thirds through.
    ideal = window.best_at - timedelta(minutes=facts.duration_minutes * 2 // 3)
    off = min(_minutes(start - ideal) // 15, 20)
    if start <= window.best_at <= end:
        whole = start <= window.starts_at and window.ends_at <= end
        best = f"the best light, near {clock_words(window.best_at, facts.tz)} in the photo window {hours},"
        words = f"the photo window {hours} falls within the visit" if whole else f"{best} falls within the visit"
        return LIGHT_POINTS * quality // 100 - off, words
    shared = min(end, window.ends_at) - max(start, window.starts_at)
    if shared >= timedelta(minutes=PHOTOGRAPH_MINUTES):
        return (
            PARTLY_LIGHT_POINTS * quality // 100 - off,
            f"{_minutes(shared)} minutes of the photo window {hours} fall within the visit",
        )
    return -off, _missed(window, start, end, hours)


def _missed(window: LightWindow, start: datetime, end: datetime, hours: str) -> str:
    if start >= window.best_at:
        gap = max(start - window.ends_at, timedelta(0))
        return f"{_minutes(gap)} min after the photo window {hours}"
    return f"{_minutes(max(window.starts_at - end, timedelta(0)))} min before the photo window {hours}"


def _usual_hour(facts: BookingFacts, start: datetime) -> Points:
    """Without a photo window the visit aims at the usual hour; four hours away nothing is left of it.

    An hour that the client asked for takes its place.
    """
    if facts.preferred is not None and facts.preferred.start is not None:
        return 0, None
    off = _off_clock(facts, start, facts.default_time)
    points = max(0, USUAL_HOUR_POINTS - off // 6)
    why = f" ({facts.no_photo_window_because})" if facts.no_photo_window_because else ""
    reason = f"no photo window{why}; near the usual hour {_clock(facts.default_time)}"
    return points, reason if off <= NEAR_MINUTES else None


def _weekday(facts: BookingFacts, day: date) -> Points:
    if facts.preferred is None or facts.preferred.weekday != day.weekday():
        return 0, None
    return WEEKDAY_POINTS, f"{WEEKDAY_NAMES[day.weekday()]}, as you asked"


def _hour(facts: BookingFacts, start: datetime) -> Points:
    if facts.preferred is None or facts.preferred.start is None:
        return 0, None
    off = _off_clock(facts, start, facts.preferred.start)
    wanted = _clock(facts.preferred.start)
    if off == 0:
        return HOUR_POINTS, f"at {wanted}, as you asked"
    reason = f"near {wanted}, as you asked" if off <= NEAR_MINUTES else None
    return max(0, HOUR_POINTS - off // 6), reason


def _round(facts: BookingFacts, day: date) -> Points:
    """A short journey from another visit of the same day; places that are not known join nothing."""
    if facts.place is None:
        return 0, None
    near = [
        (travel_to(facts, visit), visit.starts_at, visit)
        for visit in facts.busy
        if visit.place is not None and visit.starts_at.astimezone(facts.tz).date() == day
    ]
    if not near:
        return 0, None
    minutes, _, visit = min(near, key=lambda entry: entry[:2])
    if minutes > ROUND_MINUTES:
        return 0, None
    return ROUND_POINTS - minutes, f"on the same round as {_named(facts, visit)}, {minutes} min away"


def _named(facts: BookingFacts, visit: Busy) -> str:
    return visit.label or f"the visit at {clock_words(visit.starts_at, facts.tz)}"


def _load(facts: BookingFacts, day: date) -> Points:
    count = facts.load.get(day, 0)
    if count == 0 and any(facts.load.values()):
        return 0, "nothing else that day"
    return BUSY_POINTS * min(max(count, 0), BUSY_COUNTED), None


def _off_clock(facts: BookingFacts, start: datetime, wanted: time) -> int:
    local = start.astimezone(facts.tz)
    return abs(local.hour * 60 + local.minute - wanted.hour * 60 - wanted.minute)


def _clock(value: time) -> str:
    return f"{value.hour}:{value.minute:02d}"
