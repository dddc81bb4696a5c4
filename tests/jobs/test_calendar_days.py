"""Working days with their reasons, worked out by hand on a printed calendar."""

from __future__ import annotations

from datetime import date

import pytest

from jobs.calendar_days import (
    DayRange,
    add_working_days,
    closed_because,
    covering,
    date_in_words,
    days_between,
    is_working_day,
    working_days,
)

WEEK = frozenset(range(5))
CHRISTMAS = (DayRange(date(2026, 12, 24), date(2027, 1, 3), "Christmas"),)


@pytest.mark.parametrize(
    ("day", "nation", "weekdays", "reason"),
    [
        (date(2026, 12, 28), "england", WEEK, "bank holiday: Boxing Day (substitute day)"),
        (date(2026, 12, 25), "wales", WEEK, "bank holiday: Christmas Day"),
        (date(2026, 12, 26), "england", frozenset(range(6)), "holiday at the weekend: Boxing Day"),
        (date(2026, 12, 29), "england", WEEK, "workshop closed: Christmas"),
        (date(2026, 11, 7), "england", WEEK, "Saturday is not worked"),
        (date(2026, 11, 7), "england", frozenset(range(6)), None),
        (date(2026, 4, 6), "england", WEEK, "bank holiday: Easter Monday"),
        (date(2026, 4, 6), "scotland", WEEK, None),
        (date(2026, 11, 30), "scotland", WEEK, "bank holiday: Saint Andrew's Day"),
        (date(2026, 11, 30), "northern_ireland", WEEK, None),
    ],
)
def test_closed_because(day, nation, weekdays, reason):
    assert closed_because(day, nation=nation, weekdays=weekdays, closures=CHRISTMAS) == reason
    open_day = is_working_day(day, nation=nation, weekdays=weekdays, closures=CHRISTMAS)
    assert open_day is (reason is None)


def test_working_days_of_a_christmas_fortnight():
    found = working_days(date(2026, 12, 21), date(2027, 1, 6), nation="scotland", weekdays=WEEK, closures=CHRISTMAS)
    # The 4th is the substitute of Saturday 2 January, a holiday in Scotland only.
    assert [(day.month, day.day) for day in found] == [(12, 21), (12, 22), (12, 23), (1, 5), (1, 6)]


@pytest.mark.parametrize(
    ("start", "count", "expected"),
    [
        (date(2026, 12, 24), 1, date(2026, 12, 29)),
        (date(2026, 12, 29), -1, date(2026, 12, 24)),
        (date(2026, 12, 25), 0, date(2026, 12, 29)),
        (date(2026, 12, 23), 0, date(2026, 12, 23)),
        (date(2026, 12, 31), 10, date(2027, 1, 15)),  # 4 to 8 and 11 to 15 January
        (date(2028, 2, 28), 2, date(2028, 3, 1)),  # the 29th is a Tuesday
    ],
)
def test_add_working_days(start, count, expected):
    assert add_working_days(start, count, nation="england", weekdays=WEEK) == expected


def test_add_working_days_with_no_weekday_worked_names_the_remedy():
    with pytest.raises(ValueError, match="check the weekdays worked"):
        add_working_days(date(2026, 1, 1), 1, nation="england", weekdays=frozenset())


def test_unknown_nation_is_named():
    with pytest.raises(ValueError, match="'cornwall' is not known; choose one of england, wales"):
        is_working_day(date(2026, 1, 1), nation="cornwall", weekdays=WEEK)


def test_ranges_hold_both_ends_and_refuse_to_run_backwards():
    span = DayRange(date(2026, 7, 1), date(2026, 7, 3), "away")
    assert [span.covers(day) for day in days_between(date(2026, 6, 30), date(2026, 7, 4))] == [
        False, True, True, True, False,
    ]  # fmt: skip
    assert covering([span], date(2026, 7, 3)) is span
    assert covering([span], date(2026, 7, 4)) is None
    with pytest.raises(ValueError, match="put the earlier day first"):
        DayRange(date(2026, 7, 3), date(2026, 7, 1))


def test_date_in_words():
    assert date_in_words(date(2026, 11, 5)) == "Thursday 5 November 2026"
