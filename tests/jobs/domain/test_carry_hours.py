"""A carry is noted once: it teaches the carry and stands among the hours of whoever carried."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import CarryRecord, HourEntry, HourKind, Role
from tests.factories import make_commission, make_maker, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
TYPED = {"done_on": "2027-03-09", "minutes": "60", "trips": "20", "floors": "1"}


@pytest.fixture
def commission(freeze):
    make_workshop()
    return make_commission(maker=make_maker())


@pytest.fixture
def freeze():
    import time_machine

    from tests.factories import NOW

    with time_machine.travel(NOW, tick=False):
        yield


def record(browser, commission, **more):
    return browser.post(reverse("record_carry", args=[commission.number]), TYPED | more)


def test_the_same_minutes_stand_among_the_hours_of_each_who_carried(commission):
    mate = make_maker(name="Wilf Onslow")
    record(signed_in(commission.maker), commission, carriers=[commission.maker.pk, mate.pk])
    rows = HourEntry.objects.order_by("person").values_list("person", "kind", "minutes", "worked_on")
    assert {row[0] for row in rows} == {commission.maker.pk, mate.pk}
    assert {row[1:3] for row in rows} == {(HourKind.CARRY, 60)}
    assert {str(row[3]) for row in rows} == {"2027-03-09"}


def test_a_helper_notes_nobodys_hours_but_their_own(commission):
    helper = make_maker(name="Jo Fenn", role=Role.HELPER)
    answer = record(signed_in(helper), commission, carriers=[commission.maker.pk])
    assert answer.status_code == 422
    assert not CarryRecord.objects.exists() and not HourEntry.objects.exists()
    record(signed_in(helper), commission, carriers=[helper.pk])
    assert HourEntry.objects.get().person == helper


def test_a_day_that_is_full_refuses_the_carry_whole(commission):
    HourEntry.objects.create(
        person=commission.maker, commission=commission, kind="fit", worked_on="2027-03-09", minutes=16 * 60
    )
    HourEntry.objects.create(
        person=commission.maker, commission=commission, kind="snags", worked_on="2027-03-09", minutes=450
    )
    answer = record(signed_in(commission.maker), commission, carriers=[commission.maker.pk])
    assert answer.status_code == 422 and "more than 24 hours" in answer.content.decode()
    assert not CarryRecord.objects.exists()
