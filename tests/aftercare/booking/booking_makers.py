"""Made-up facts for return visits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from aftercare.booking.facts import BookingFacts

HANDED_OVER = date(2026, 9, 10)  # a Thursday; day 42 is 22 October, day 56 is 5 November


@dataclass(frozen=True)
class MadeWindow:
    """A photo window that any light will do for."""

    starts_at: datetime
    best_at: datetime
    ends_at: datetime
    score: float = 80


def window_at(day: date, hour: int, minute: int, score: float = 80) -> MadeWindow:
    """A window from 27 minutes before to 8 minutes after a UTC time."""
    best = datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)
    return MadeWindow(best - timedelta(minutes=27), best, best + timedelta(minutes=8), score)


def made_facts(**changes: object) -> BookingFacts:
    return BookingFacts(**({"handed_over_on": HANDED_OVER} | changes))
