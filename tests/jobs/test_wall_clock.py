"""Times of day over both clock changes. Expected instants by hand from the law's dates for the United Kingdom in
2027: forward at 01:00 UTC on 28 March, back at 01:00 UTC on 31 October (Summer Time Order 2002, from memory)."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.wall_clock import at_wall_time

LONDON = ZoneInfo("Europe/London")


def utc(*parts: int) -> dt.datetime:
    return dt.datetime(*parts, tzinfo=dt.UTC)  # type: ignore[misc]


@pytest.mark.parametrize(
    ("day", "wall", "instant"),
    [
        (dt.date(2027, 3, 27), dt.time(9), utc(2027, 3, 27, 9)),
        (dt.date(2027, 3, 28), dt.time(9), utc(2027, 3, 28, 8)),
        # skipped: the first instant after the gap
        (dt.date(2027, 3, 28), dt.time(1, 0), utc(2027, 3, 28, 1)),
        (dt.date(2027, 3, 28), dt.time(1, 59), utc(2027, 3, 28, 1)),
        (dt.date(2027, 3, 28), dt.time(2, 0), utc(2027, 3, 28, 1)),
        # comes twice: the first coming
        (dt.date(2027, 10, 31), dt.time(1, 30), utc(2027, 10, 31, 0, 30)),
        (dt.date(2027, 10, 31), dt.time(9), utc(2027, 10, 31, 9)),
    ],
)
def test_a_time_on_the_wall_is_one_instant(day, wall, instant):
    assert at_wall_time(day, wall, LONDON) == instant


@given(
    st.dates(dt.date(2000, 1, 1), dt.date(2060, 12, 31)),
    st.times().map(lambda time: time.replace(second=0, microsecond=0)),
    st.sampled_from(["Europe/London", "America/New_York", "Australia/Lord_Howe", "Pacific/Apia", "UTC"]),
)
def test_the_clock_shows_that_time_or_has_just_passed_it(day, wall, name):
    """Brute force: no earlier minute of the same stretch shows the time, or a later one."""
    zone = ZoneInfo(name)
    told = dt.datetime.combine(day, wall)
    instant = at_wall_time(day, wall, zone)
    assert instant.astimezone(zone).replace(tzinfo=None) >= told
    before = (instant - dt.timedelta(minutes=1)).astimezone(zone).replace(tzinfo=None)
    assert before < told
