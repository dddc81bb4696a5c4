from __future__ import annotations

import datetime as dt
import re

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from jobs.models import (
    Channel,
    Consignment,
    ConsignmentItem,
    HourEntry,
    LoadItem,
    Message,
    ParkingPlan,
    ParkingRule,
    Piece,
    Role,
    StepKind,
    Subcontractor,
)
from tests.factories import (
    NOW,
    TODAY,
    make_access,
    make_client,
    make_commission,
    make_maker,
    make_visit,
    make_workshop,
    up_to,
)
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
URL = "/day/"


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def text_of(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode().split("<main", 1)[1]))


def fill(maker, count, *, client=None):
    """So many deliveries of today, each with everything a day can hold."""
    client = client or make_client()
    sprayer, _ = Subcontractor.objects.get_or_create(name="Bellfield Sprayshop")
    rule, _ = ParkingRule.objects.get_or_create(council="Fieldgate Council", notice_working_days=1, checked_on=TODAY)
    for number in range(count):
        one = make_commission(
            maker=maker, client=client, nickname=f"Mill Row {number}", done=up_to(StepKind.WRAP),
            latitude_deg=52.5, longitude_deg=-1.8,
        )  # fmt: skip
        make_access(one, slot_starts=dt.time(11), slot_ends=dt.time(14))
        make_visit(one, starts_at=NOW.replace(hour=11, minute=0) + dt.timedelta(minutes=15 * number))
        Piece.objects.create(commission=one, number=1, name="carcass", width_mm=600, height_mm=700, depth_mm=300)
        LoadItem.objects.create(commission=one, words="handles", needed=2, in_hand=1)
        note = Consignment.objects.create(
            commission=one, subcontractor=sprayer, number=1, sent_at=NOW - dt.timedelta(days=9), promised_on=TODAY
        )
        ConsignmentItem.objects.create(consignment=note, words="doors", count=8)
        ParkingPlan.objects.create(commission=one, rule=rule, day=TODAY + dt.timedelta(days=5))
        Message.objects.create(
            key=f"call:{number}", kind="fitting_confirmation", channel=Channel.CALL, commission=one,
            to_name=client.name, due_at=NOW - dt.timedelta(days=1), message_id=f"<{number}@example.org>",
            created_at=NOW,
        )  # fmt: skip


def test_the_day_says_what_goes_when_and_who_is_rung():
    make_workshop()
    maker = make_maker()
    fill(maker, 1)
    commission = Piece.objects.get().commission
    HourEntry.objects.create(
        person=maker, commission=commission, kind="wrap", worked_on=TODAY, started_at=NOW - dt.timedelta(hours=1)
    )
    page = text_of(signed_in(maker).get(URL))
    name = f"{commission.number} Mill Row 0"
    assert "Wednesday 10 March 2027 Today" in page
    assert f"11:00 to 12:30 Delivery {name}" in page
    assert f"Load {name} 1 piece, 0 in the van · 1 not wrapped · kit: 0 of 1 lines in the van · 1 short" in page
    assert f"From Bellfield Sprayshop {name} 8 in all · promised Wed 10 Mar" in page
    assert f"Ring Priscilla Quennell: fitting confirmed {name} since Tue 9 Mar" in page
    assert f"Ask Fieldgate Council for parking on Mon 15 Mar {name} apply by Wed 10 Mar" in page
    assert f"Robin Thorn: wrapping {name} since 9:42" in page
    assert f"Wrap {name}" in page
    # By hand: 0.02° north is 2.22 km, 0.1° east at 52.5° is 6.77 km, together 7.13 km; × 1.3 ÷ 45 km/h is 12.4 min.
    assert f"10:47 Robin Thorn leaves by now for {name} 13 min on the road" in page


def test_the_access_slot_and_the_typed_drive_decide_when_to_leave():
    from jobs.models import CarryPlan

    make_workshop()
    maker = make_maker()
    one = make_commission(maker=maker, nickname="Quay House")
    make_access(one, slot_starts=dt.time(11, 0), slot_ends=dt.time(12, 0))
    make_visit(one, starts_at=NOW.replace(hour=11, minute=30))
    CarryPlan.objects.create(commission=one, drive_minutes=40, parking_minutes=10)
    page = text_of(signed_in(maker).get(URL))
    assert "10:10 Robin Thorn leaves by now for" in page and "50 min drive and parking, as typed" in page
    assert "let in 11:00 to 12:00" in page
    assert "Make sure of the door on Wed 10 Mar" in page  # the client has not answered


def test_the_sprayer_is_asked_two_of_their_working_days_before():
    make_workshop()
    maker = make_maker()
    fill(maker, 1)
    Consignment.objects.update(promised_on=TODAY + dt.timedelta(days=2))  # Friday; two working days before is today
    page = text_of(signed_in(maker).get(URL))
    assert "Ask Bellfield Sprayshop how it stands" in page and "promised Fri 12 Mar · 8 in all" in page


def test_an_empty_day_says_so_and_leads_to_its_neighbours():
    make_workshop()
    page = signed_in().get(URL, {"on": "2027-04-05"}).content.decode()
    assert "Monday 5 April 2027" in page and "No visit is booked for this day." in page
    assert "?on=2027-04-04" in page and "?on=2027-04-06" in page and f'href="{URL}">Today' in page


@pytest.mark.parametrize("typed", ["rubbish", "2027-02-30", "9999-01-01", "0001-01-01", "'; --", "\x00", "١٢٣"])
def test_what_is_no_day_is_refused_with_a_sentence_and_today(typed):
    make_workshop()
    answer = signed_in().get(URL, {"on": typed})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert re.search(r"▲ Day: (this is no day of the calendar|give one within ten years)", page)
    assert "Wednesday 10 March 2027" in page


@pytest.mark.parametrize("count", [1, 6])
def test_the_day_takes_the_same_queries_whatever_its_size(count, django_assert_num_queries):
    make_workshop()
    maker = make_maker()
    fill(maker, count)
    browser = signed_in(maker)
    # session, person, workshop; visits; six of the plan; access, carry plans, journeys; pieces, kit; consignments,
    # closures; steps; calls; parking; coming visits and their access; timers
    with django_assert_num_queries(23):
        assert browser.get(URL).content.count(b'class="clock"') >= count


def test_a_helper_sees_the_work_and_no_client():
    make_workshop()
    maker = make_maker()
    fill(maker, 2)
    helper = make_maker(name="Sam Ashby", role=Role.HELPER)
    page = signed_in(helper).get(URL).content.decode()
    assert "Mill Row 0" in page and "Delivery" in page
    assert "Quennell" not in page and reverse("messages") not in page
    assert reverse("commission", args=[Piece.objects.first().commission.number]) + '"' not in page


def test_signed_out_and_wrong_method():
    make_workshop()
    assert Browser().get(URL).status_code == 302
    assert signed_in().post(URL).status_code == 405
