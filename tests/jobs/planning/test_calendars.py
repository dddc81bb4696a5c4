"""Dates to slots and back, masks, and somebody else's working days; figures from a 2026 wall calendar."""

from __future__ import annotations

from datetime import date

import pytest

from jobs.planning.calendars import (
    AFTERNOON,
    HalfDayAxis,
    calendar_of_open_days,
    calendar_without_days,
    first_open,
    last_open,
    open_run,
    say_date,
    span_mask,
    subcontractor_with_days,
)

# Friday 1 May to Tuesday 12 May 2026; Monday 4 May is the early May bank holiday in England
AXIS = HalfDayAxis.between(date(2026, 5, 1), date(2026, 5, 12), closed=[date(2026, 5, 4)])


def test_axis_has_two_slots_a_working_day() -> None:
    assert AXIS.slot_count == 14
    assert AXIS.date_of(2) == AXIS.date_of(3) == date(2026, 5, 5)
    assert AXIS.say(3) == "Tuesday 5 May, afternoon"
    assert AXIS.say(14) == "after Tuesday 12 May"


@pytest.mark.parametrize(
    ("day", "half", "slot"),
    [
        (date(2026, 5, 1), AFTERNOON, 1),
        (date(2026, 5, 2), AFTERNOON, 2),  # a Saturday: the next working morning
        (date(2026, 5, 4), 0, 2),
        (date(2026, 5, 12), AFTERNOON, 13),
        (date(2026, 6, 1), 0, 14),
        (date(2026, 1, 1), 0, 0),
    ],
)
def test_slot_on_or_after(day: date, half: int, slot: int) -> None:
    assert AXIS.slot_on_or_after(day, half) == slot


def test_done_by_the_evening_of_a_day_ends_before_the_next_working_day() -> None:
    assert AXIS.slot_after(date(2026, 5, 1)) == 2
    assert AXIS.slot_after(date(2026, 5, 5)) == 4


@pytest.mark.parametrize("length", [1, 2, 3, 5, 8])
def test_open_run_equals_counting(length: int) -> None:
    mask = 0b1110111110011111111011
    counted = [s for s in range(22) if all(mask >> (s + n) & 1 for n in range(length))]
    assert [s for s in range(22) if open_run(mask, length) >> s & 1] == counted


def test_first_and_last_open() -> None:
    mask = 0b101100
    assert [first_open(mask, s) for s in (0, 3, 4, 6)] == [2, 3, 5, None]
    assert [last_open(mask, s) for s in (9, 4, 2, 1, -1)] == [5, 3, 2, None, None]
    assert (span_mask(2, 5), span_mask(5, 2), span_mask(-3, 2)) == (0b11100, 0, 0b11)


def test_calendars_from_open_and_from_closed_days_agree() -> None:
    closed = [date(2026, 5, 6), date(2026, 5, 7)]
    open_days = [day for day in AXIS.days if day not in closed]
    a = calendar_of_open_days("a", "a", AXIS, open_days)
    b = calendar_without_days("a", "a", AXIS, closed)
    assert a == b
    assert not a.is_open(AXIS.slot_on_or_after(date(2026, 5, 6)))
    assert AXIS.mask_of_half_days([(date(2026, 5, 5), AFTERNOON)]) == 1 << 3


def test_a_subcontractor_works_while_we_are_shut_and_rests_while_we_work() -> None:
    # They work on our closed Monday 4 May and are shut on the 6th; left on Friday 1 May for three days: 4, 5, 7
    theirs = subcontractor_with_days("s", "the shop", AXIS, closed_days=[date(2026, 5, 6)])
    assert AXIS.date_of(theirs.ready_slot(0, 3)) == date(2026, 5, 8)
    assert theirs.ready_slot(1, 3) == theirs.ready_slot(0, 3)
    assert theirs.ready_slot(0, 99) == AXIS.slot_count
    for lead in range(8):
        table = tuple(theirs.ready_slot(slot, lead) for slot in range(AXIS.slot_count))
        assert theirs.ready_table(lead) == table


def test_dates_are_said_without_a_locale() -> None:
    assert say_date(date(2026, 5, 7)) == "Thursday 7 May"
