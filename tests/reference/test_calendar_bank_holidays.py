"""Bank holidays and clock changes of the three legal systems against lists typed by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import pytest

from aftercare.booking.wallclock import quarter_starts, window_utc, zone_of
from jobs.calendar_days import bank_holidays
from tests.reference.calendar_tables import BANK_HOLIDAYS, CLOCK_CHANGES, days_of

LONDON = zone_of("Europe/London")


@pytest.mark.parametrize("nation", BANK_HOLIDAYS)
@pytest.mark.parametrize("year", [2026, 2027, 2028])
def test_bank_holidays_match_the_typed_list(nation, year):
    found = bank_holidays(nation, date(year, 1, 1), date(year, 12, 31))
    assert list(found) == days_of(nation, year)


def test_scotland_has_the_one_off_holiday_of_2026_and_no_easter_monday():
    found = bank_holidays("scotland", date(2026, 4, 1), date(2026, 6, 30))
    assert date(2026, 6, 15) in found
    assert date(2026, 4, 6) not in found


def test_a_substitute_is_named_and_the_weekend_day_is_left_out():
    """The trap: the library lists 10 rows for England in 2027, the official list has 8."""
    found = bank_holidays("england", date(2027, 12, 20), date(2027, 12, 31))
    assert found == {
        date(2027, 12, 27): "Christmas Day (substitute day)",
        date(2027, 12, 28): "Boxing Day (substitute day)",
    }


@pytest.mark.parametrize("year", CLOCK_CHANGES)
def test_the_hour_skipped_in_spring_is_never_offered(year):
    forward, _ = CLOCK_CHANGES[year]
    starts = list(quarter_starts(forward, LONDON))
    hours = [start.astimezone(LONDON).hour for start in starts]
    assert len(starts) == 92
    assert 1 not in hours
    assert datetime.combine(forward, time(0, 45), UTC) in starts
    assert datetime.combine(forward, time(1, 0), UTC) in starts  # 02:00 by the clock


@pytest.mark.parametrize("year", CLOCK_CHANGES)
def test_the_hour_doubled_in_autumn_is_never_offered(year):
    _, back = CLOCK_CHANGES[year]
    starts = list(quarter_starts(back, LONDON))
    hours = [start.astimezone(LONDON).hour for start in starts]
    assert len(starts) == 92
    assert 1 not in hours
    assert datetime.combine(back, time(2, 0), UTC) in starts


@pytest.mark.parametrize("year", CLOCK_CHANGES)
def test_nine_by_the_clock_moves_an_hour_in_utc_across_each_change(year):
    forward, back = CLOCK_CHANGES[year]
    one = timedelta(days=1)
    for day, hour in ((forward - one, 9), (forward + one, 8), (back - one, 8), (back + one, 9)):
        opens, _ = window_utc(day, time(9), time(17), LONDON)
        assert opens == datetime.combine(day, time(hour), UTC)
