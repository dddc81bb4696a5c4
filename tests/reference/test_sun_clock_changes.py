"""Summer time in the United Kingdom begins at 01:00 UTC on the last Sunday of March and ends on the last Sunday of
October (Summer Time Order 2002, from memory); the dates below also follow from the tz database."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from aftercare.light.clocks import ClockChange, clock_changes, offset_minutes

LONDON_ZONE = ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("year", "forward", "back"),
    [
        (2026, date(2026, 3, 29), date(2026, 10, 25)),
        (2027, date(2027, 3, 28), date(2027, 10, 31)),
        (2028, date(2028, 3, 26), date(2028, 10, 29)),
    ],
)
def test_british_clock_changes(year: int, forward: date, back: date) -> None:
    found = clock_changes(LONDON_ZONE, date(year, 1, 1), date(year, 12, 31))
    assert found == [ClockChange(forward, 60), ClockChange(back, -60)]


def test_change_on_the_last_day_counts_and_on_the_first_does_not() -> None:
    assert clock_changes(LONDON_ZONE, date(2026, 10, 24), date(2026, 10, 25)) == [
        ClockChange(date(2026, 10, 25), -60)
    ]
    assert clock_changes(LONDON_ZONE, date(2026, 10, 25), date(2026, 10, 26)) == []


def test_zone_that_never_changes() -> None:
    assert clock_changes(ZoneInfo("Africa/Lagos"), date(2026, 1, 1), date(2026, 12, 31)) == []
    assert offset_minutes(ZoneInfo("Africa/Lagos"), date(2026, 5, 1)) == 60


def test_change_at_midnight_is_given_its_own_date() -> None:
    # Beirut goes forward at 00:00 on the last Sunday of March (tz database).
    assert clock_changes(ZoneInfo("Asia/Beirut"), date(2026, 3, 1), date(2026, 4, 30)) == [
        ClockChange(date(2026, 3, 29), 60)
    ]
