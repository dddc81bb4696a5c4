from __future__ import annotations

import datetime as dt

import pytest

from jobs.models import Consignment, LoadItem, ParkingPlan, ParkingRule, Snag, Subcontractor
from jobs.queries.consignment_page import consignment_row
from jobs.queries.kit_page import kit_page, pressing_shortages
from jobs.queries.works_board import works_lines
from tests.factories import NOW, TODAY, make_commission, make_maker, make_visit, make_workshop

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def commission(shop):
    return make_commission(maker=make_maker())


def said(shop, now=NOW):
    return [(line.words, line.is_late) for line in works_lines(shop, now)]


def test_work_out_is_asked_about_two_working_days_before_its_promise(shop, commission):
    sprayer = Subcontractor.objects.create(name="Harrow Spray Shop")
    # NOW is Wednesday 10 March 2027; two working days before Monday 15 are Thursday 11.
    Consignment.objects.create(
        commission=commission,
        subcontractor=sprayer,
        number=1,
        sent_at=NOW - 9 * DAY,
        promised_on=dt.date(2027, 3, 15),
    )
    assert said(shop) == []
    assert said(shop, NOW + DAY) == [("ask Harrow Spray Shop: promised Mon 15", False)]
    assert said(shop, NOW + 6 * DAY) == [("late from Harrow Spray Shop, promised Mon 15", True)]
    Consignment.objects.update(back_at=NOW)
    assert said(shop, NOW + 6 * DAY) == []


def test_the_sprayers_own_working_days_count_on_board_and_page(shop, commission):
    # They work on Tuesdays and Thursdays: their two days before Monday 15 March 2027 are Thursday 11 and Tuesday 9.
    sprayer = Subcontractor.objects.create(name="Harrow Spray Shop", weekdays=[1, 3])
    sent = Consignment.objects.create(
        commission=commission,
        subcontractor=sprayer,
        number=1,
        sent_at=NOW - 9 * DAY,
        promised_on=dt.date(2027, 3, 15),
    )
    assert said(shop, NOW - 2 * DAY) == []
    assert said(shop, NOW - DAY) == [("ask Harrow Spray Shop: promised Mon 15", False)]
    assert consignment_row(sent, 3, shop, NOW).ask_on == dt.date(2027, 3, 9)
    # Shut on the 9th: the page goes round it, to Thursday 4.
    sprayer.closures.create(first_day=dt.date(2027, 3, 8), last_day=dt.date(2027, 3, 10))
    assert consignment_row(sent, 3, shop, NOW).ask_on == dt.date(2027, 3, 4)


def test_a_shortage_is_shown_five_working_days_before_loading(shop, commission):
    LoadItem.objects.create(commission=commission, words="Shelf pins", needed=40, in_hand=12)
    assert said(shop, NOW + 30 * DAY) == []  # no day for loading, nothing presses
    # Wednesday 31 March 2027: five working days before are Tuesday 23, over two bank holidays (26 and 29 March):
    # 30, 25, 24, 23 are four, so it is Monday 22.
    make_visit(commission, starts_at=dt.datetime(2027, 3, 31, 8, tzinfo=dt.UTC))
    for day, shown in ((21, False), (22, True)):
        now = dt.datetime(2027, 3, day, 9, tzinfo=dt.UTC)
        words = [("short for loading on Wed 31: Shelf pins", True)] if shown else []
        assert said(shop, now) == words
        assert bool(pressing_shortages(commission, shop, now)) is shown
        assert kit_page(commission, shop, now)["is_pressing"] is shown


def test_parking_is_said_three_days_before_the_last_day_to_apply(shop, commission):
    rule = ParkingRule.objects.create(council="Ashdown", notice_working_days=10, checked_on=TODAY)
    ParkingPlan.objects.create(commission=commission, rule=rule, day=dt.date(2027, 4, 14))
    # Apply by Thursday 25 March: see test_parking_says_by_when_to_apply.
    assert said(shop, dt.datetime(2027, 3, 21, 9, tzinfo=dt.UTC)) == []
    assert said(shop, dt.datetime(2027, 3, 22, 9, tzinfo=dt.UTC)) == [
        ("parking for Wed 14 Apr: apply by Thu 25", False)
    ]
    assert said(shop, dt.datetime(2027, 3, 26, 9, tzinfo=dt.UTC))[0][1] is True


def test_overdue_snags_are_said_and_closed_commissions_are_silent(shop, commission):
    Snag.objects.create(
        commission=commission, place="Door 3", words="rubs", seen_on=TODAY - 9 * DAY, due_on=TODAY - DAY
    )
    assert said(shop) == [("snag overdue since Tue 9: Door 3", True)]
    commission.closed_on = TODAY
    commission.save()
    assert said(shop) == []


@pytest.mark.parametrize("count", [1, 4])
def test_one_query_whatever_there_is_to_see_to(shop, commission, count, django_assert_num_queries):
    for number in range(count):
        Snag.objects.create(
            commission=commission, place=f"Door {number}", words="rubs", seen_on=TODAY - 9 * DAY, due_on=TODAY - DAY
        )
    with django_assert_num_queries(1):
        assert len(works_lines(shop, NOW)) == count
