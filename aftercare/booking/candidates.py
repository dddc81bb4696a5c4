"""Every time at which a return visit could be, with points and reasons, ranked the same way each time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from aftercare.booking.facts import BookingFacts
from aftercare.booking.hard import day_refused_because, starts_of_day, starts_refused_because
from aftercare.booking.soft import catches_light, outside_points, score_start
from aftercare.booking.window import day_number, return_days

__all__ = ["Candidate", "DayRefusal", "candidate_at", "candidates", "rank", "refusals"]


@dataclass(frozen=True)
class Candidate:
    """A possible return visit: UTC start and end, local day, points (more is better), plain reasons."""

    starts_at: datetime
    ends_at: datetime
    day: date
    score: int
    reasons: tuple[str, ...]
    in_photo_window: bool = False


@dataclass(frozen=True)
class DayRefusal:
    """A day that has no candidate, and why."""

    day: date
    reason: str


def candidates(facts: BookingFacts) -> list[Candidate]:
    """Every quarter-hour start of the range that breaks no hard rule, in order of time."""
    found = []
    for day in return_days(facts.handed_over_on, facts.first_day, facts.last_day):
        for start in starts_of_day(facts, day):
            score, reasons = score_start(facts, day, start)
            end = start + timedelta(minutes=facts.duration_minutes)
            found.append(Candidate(start, end, day, score, reasons, catches_light(facts, day, start)))
    return found


def candidate_at(facts: BookingFacts, starts_at: datetime) -> Candidate | None:
    """The candidate that starts exactly then, on any day, in the range or not; None where a hard rule breaks."""
    day = starts_at.astimezone(facts.tz).date()
    if starts_at not in starts_of_day(facts, day):
        return None
    score, reasons = score_start(facts, day, starts_at)
    extra, outside = outside_points(facts.first_day, facts.last_day, day_number(facts.handed_over_on, day))
    end = starts_at + timedelta(minutes=facts.duration_minutes)
    told = (*reasons, outside) if outside else reasons
    return Candidate(starts_at, end, day, score + extra, told, catches_light(facts, day, starts_at))


def rank(options: Iterable[Candidate]) -> list[Candidate]:
    """Best first; equal points go to the earlier time, so the order never depends on how they came."""
    return sorted(options, key=lambda option: (-option.score, option.starts_at))


def refusals(facts: BookingFacts) -> tuple[DayRefusal, ...]:
    """The days of the range without a candidate, each with its reason."""
    found = []
    for day in return_days(facts.handed_over_on, facts.first_day, facts.last_day):
        reason = day_refused_because(facts, day) or starts_refused_because(facts, day)
        if reason is not None:
            found.append(DayRefusal(day, reason))
    return tuple(found)
