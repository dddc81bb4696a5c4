"""The day of the return visit, worked by hand on a calendar, through the act of handing over.

Without a light note every free working day is worth the same at the usual hour, ten o'clock, so the earliest free
day of the range wins. Bank holidays of England: first Monday of May, Easter Monday 29 March 2027, 27 and 28 December
2027 and 3 January 2028 for Christmas, Boxing Day and New Year on a weekend (gov.uk list, from memory).
"""

from __future__ import annotations

import datetime as dt

import pytest

from aftercare.domain.handover import hand_over
from jobs.domain.calendar import close_workshop
from jobs.models import StepKind
from tests.factories import make_commission, make_maker, make_workshop, up_to

pytestmark = pytest.mark.django_db

D = dt.date
# handed over on, closed from, closed to, expected day, expected UTC hour, what is hard about it
TABLE = [
    (D(2027, 3, 10), None, D(2027, 4, 21), 9, "day 42 is a Wednesday; summer time, so ten is nine UTC"),
    (D(2027, 3, 20), None, D(2027, 5, 4), 9, "day 42 a Saturday, then Sunday, then the May bank holiday"),
    (D(2027, 1, 31), None, D(2027, 3, 15), 10, "end of a month of 31; day 42 is Sunday 14 March"),
    (D(2028, 1, 20), None, D(2028, 3, 2), 10, "a leap day in between: 11 days to 31 January, 29, and 2"),
    (D(2027, 2, 15), None, D(2027, 3, 30), 9, "day 42 is Easter Monday, the day after clocks go forward"),
    (D(2027, 9, 20), None, D(2027, 11, 1), 10, "day 42 is the Monday after clocks go back on 31 October"),
    (D(2027, 11, 12), (D(2027, 12, 24), D(2028, 1, 3)), D(2028, 1, 4), 10, "Christmas closure: day 53 is the first"),
    (D(2027, 3, 10), (D(2027, 4, 21), D(2027, 5, 4)), D(2027, 5, 5), 9, "only day 56, the last, is left"),
    (D(2027, 3, 10), (D(2027, 4, 21), D(2027, 5, 5)), D(2027, 4, 20), 9, "none of 42 to 56: day 41 is nearest"),
]


@pytest.mark.parametrize(
    ("handed_over_on", "closed", "day", "hour_utc"), [row[:4] for row in TABLE], ids=[row[4] for row in TABLE]
)
def test_handing_over_books_the_day_worked_by_hand(handed_over_on, closed, day, hour_utc):
    workshop, maker = make_workshop(), make_maker()
    at = dt.datetime.combine(handed_over_on, dt.time(11), dt.UTC)
    commission = make_commission(maker=maker, done=up_to(StepKind.HANDOVER), done_at=at - dt.timedelta(hours=2))
    if closed:
        close_workshop(first_day=closed[0], last_day=closed[1], reason="holiday", now=at, actor=maker)
    visit = hand_over(commission=commission, at=at, workshop=workshop, now=at, actor=maker).return_visit
    assert visit.starts_at == dt.datetime.combine(day, dt.time(hour_utc), dt.UTC)


def test_what_gave_way_is_said_on_the_visit():
    workshop, maker = make_workshop(), make_maker()
    at = dt.datetime(2027, 3, 10, 11, tzinfo=dt.UTC)
    commission = make_commission(maker=maker, done=up_to(StepKind.HANDOVER), done_at=at - dt.timedelta(hours=2))
    close_workshop(first_day=D(2027, 4, 21), last_day=D(2027, 5, 5), reason="holiday", now=at, actor=maker)
    visit = hand_over(commission=commission, at=at, workshop=workshop, now=at, actor=maker).return_visit
    assert "Day 41, 1 day before the range agreed (42 to 56)." in visit.reasons
    assert "Days 42 to 56 after handover, taken as 40 to 58." in visit.reasons


def test_a_range_of_the_commissions_own_counts_first():
    workshop, maker = make_workshop(), make_maker()
    at = dt.datetime(2027, 3, 10, 11, tzinfo=dt.UTC)
    commission = make_commission(
        maker=maker, done=up_to(StepKind.HANDOVER), done_at=at - dt.timedelta(hours=2), return_first_day=14,
        return_last_day=21,
    )  # fmt: skip
    visit = hand_over(commission=commission, at=at, workshop=workshop, now=at, actor=maker).return_visit
    assert workshop.local_day(visit.starts_at) == D(2027, 3, 24)
