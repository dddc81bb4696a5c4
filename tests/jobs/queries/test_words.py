from __future__ import annotations

import datetime as dt

import pytest

from jobs.queries.words import say_clock, say_day, say_half_days, say_range, say_slack

TODAY = dt.date(2027, 3, 10)  # a Wednesday by any calendar


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (dt.date(2027, 3, 12), "Fri 12"),
        (dt.date(2027, 4, 1), "Thu 1 Apr"),
        (dt.date(2026, 12, 31), "Thu 31 Dec"),
        (dt.date(2028, 1, 6), "Thu 6 Jan 2028"),
        (dt.date(2028, 3, 10), "Fri 10 Mar 2028"),
    ],
)
def test_say_day_names_month_and_year_only_where_needed(day, words):
    assert say_day(day, TODAY) == words


def test_say_range_says_one_day_once():
    assert say_range(TODAY, TODAY, TODAY) == "Wed 10"
    assert say_range(TODAY, dt.date(2027, 4, 1), TODAY) == "Wed 10 to Thu 1 Apr"


def test_say_clock_is_as_spoken():
    assert say_clock(dt.time(8, 5)) == "8:05"


@pytest.mark.parametrize(
    ("half_days", "words"),
    [(0, "0 days"), (1, "half a day"), (2, "1 day"), (3, "1½ days"), (4, "2 days"), (-5, "2½ days")],
)
def test_say_half_days(half_days, words):
    assert say_half_days(half_days) == words


@pytest.mark.parametrize(
    ("half_days", "words"),
    [
        (None, "no date promised"),
        (0, "no time to spare"),
        (4, "2 days to spare"),
        (1, "half a day to spare"),
        (-2, "1 day short"),
    ],
)
def test_say_slack(half_days, words):
    assert say_slack(half_days) == words
