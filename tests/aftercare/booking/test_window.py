"""Days 42 to 56 after handover, counted by hand on a calendar."""

from __future__ import annotations

from datetime import date

import pytest

from aftercare.booking.window import day_number, range_problems, return_days
from jobs.calendar_days import DayRange, working_days

CASES = [
    # handed over, day 42, day 56, what is special
    (date(2026, 9, 10), date(2026, 10, 22), date(2026, 11, 5), "clocks go back inside the range"),
    (date(2026, 8, 31), date(2026, 10, 12), date(2026, 10, 26), "ends the day after the clocks go back"),
    (date(2027, 1, 31), date(2027, 3, 14), date(2027, 3, 28), "month end; ends on the day of the change"),
    (date(2028, 1, 31), date(2028, 3, 13), date(2028, 3, 27), "month end across the leap day"),
    (date(2028, 1, 18), date(2028, 2, 29), date(2028, 3, 14), "begins on the leap day"),
    (date(2028, 1, 4), date(2028, 2, 15), date(2028, 2, 29), "ends on the leap day"),
    (date(2028, 2, 29), date(2028, 4, 11), date(2028, 4, 25), "handed over on the leap day; Easter inside"),
    (date(2026, 11, 13), date(2026, 12, 25), date(2027, 1, 8), "begins on Christmas Day"),
    (date(2027, 12, 31), date(2028, 2, 11), date(2028, 2, 25), "year end"),
]


@pytest.mark.parametrize(("handed_over_on", "first", "last", "special"), CASES)
def test_return_days_42_to_56(handed_over_on, first, last, special):
    days = return_days(handed_over_on)
    assert (days[0], days[-1], len(days)) == (first, last, 15), special
    assert days[0].weekday() == days[-1].weekday() == handed_over_on.weekday()
    assert day_number(handed_over_on, first) == 42


@pytest.mark.parametrize(
    ("nation", "worked"),
    [
        # 25 Fri, 28 Mon substitute, 29 to 31 closed, 1 Jan holiday; Scotland has 4 Jan as well.
        ("england", [4, 5, 6, 7, 8]),
        ("northern_ireland", [4, 5, 6, 7, 8]),
        ("scotland", [5, 6, 7, 8]),
    ],
)
def test_working_days_of_a_range_over_christmas(nation, worked):
    days = return_days(date(2026, 11, 13))
    closures = (DayRange(date(2026, 12, 24), date(2027, 1, 1), "Christmas closure"),)
    found = working_days(days[0], days[-1], nation=nation, weekdays=range(5), closures=closures)
    assert [(day.month, day.day) for day in found] == [(1, day) for day in worked]


def test_working_days_of_a_range_over_easter_2028():
    days = return_days(date(2028, 2, 29))
    found = working_days(days[0], days[-1], nation="england", weekdays=range(5))
    # 11 to 25 April without Good Friday the 14th and Easter Monday the 17th.
    assert [day.day for day in found] == [11, 12, 13, 18, 19, 20, 21, 24, 25]


def test_a_range_of_one_day_and_the_outermost_range():
    assert return_days(date(2026, 1, 1), 1, 1) == (date(2026, 1, 2),)
    assert len(return_days(date(2026, 1, 1), 1, 365)) == 365


@pytest.mark.parametrize(
    ("first_day", "last_day", "fields"),
    [
        (0, 56, ["first_day"]),
        (42, 366, ["last_day"]),
        (-1, 400, ["first_day", "last_day"]),
        (57, 56, ["last_day"]),
        (42, 42, []),
    ],
)
def test_range_problems_name_the_field(first_day, last_day, fields):
    problems = range_problems(first_day, last_day)
    assert [field for field, _ in problems] == fields
    if fields:
        with pytest.raises(ValueError) as error:
            return_days(date(2026, 1, 1), first_day, last_day)
        assert str(error.value) == " ".join(sentence for _, sentence in problems)


def test_range_sentence_gives_the_remedy():
    assert range_problems(57, 50) == (
        (
            "last_day",
            "Last day of the return visit: day 50 comes before the first, day 57; give a last day of 57 or more.",
        ),
    )
