"""The hinge check as a phone tells it: the same form and the same act as on the check's own page."""

from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from aftercare.models import DoorCheck
from tests.aftercare.check_cast import ON_THE_DAY, checked_commission, handed_over, return_visit_of
from tests.jobs.phone.cast import Phone

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def on_the_day():
    with time_machine.travel(ON_THE_DAY, tick=False):
        yield


@pytest.fixture
def visit():
    commission = checked_commission()
    visit = return_visit_of(commission)
    handed_over(commission, visit)
    return visit


@pytest.fixture
def phone(visit):
    return Phone(visit.commission.maker, visit.commission)


def door_act(phone, visit, label="D1", **fields):
    door = visit.commission.doors.get(label=label)
    return phone.act("check_door", visit=visit.pk, door=door.pk, **fields)


def test_a_door_is_checked_once_however_often_it_is_told(phone, visit):
    act = door_act(phone, visit, verdict="adjusted", before_top_tenths_mm="2.5", after_top_tenths_mm="2", rubs="on")
    for _ in range(3):
        assert phone.results(act) == [("done", "Door D1 checked: Adjusted, in order now.")]
    row = DoorCheck.objects.get()
    assert (row.before_top_tenths_mm, row.after_top_tenths_mm, row.rubs) == (25, 20, True)


def test_an_older_finding_that_comes_in_late_does_not_change_the_newer(phone, visit):
    ten, five = dt.timedelta(minutes=10), dt.timedelta(minutes=5)
    assert phone.results(door_act(phone, visit, ago=five, verdict="snag", words="chipped"))[0][0] == "done"
    assert phone.results(door_act(phone, visit, ago=ten, verdict="as_fitted"))[0][0] == "overtaken"
    assert DoorCheck.objects.get().verdict == "snag"


@pytest.mark.parametrize(
    ("fields", "words"),
    [({}, "Verdict"), ({"verdict": "snag"}, "What is wrong"), ({"verdict": "watch", "bow_tenths_mm": "much"}, "Bow")],
)
def test_what_the_form_refuses_is_refused_here_in_the_same_words(phone, visit, fields, words):
    [(outcome, sentence)] = phone.results(door_act(phone, visit, **fields))
    assert outcome == "refused" and words in sentence
    assert not DoorCheck.objects.exists()


def test_the_page_offers_the_doors_on_the_day_only(phone, visit):
    address = reverse("site_phone", args=[visit.commission.number])
    assert "Check a door" in phone.browser.get(address).content.decode()
    with time_machine.travel(ON_THE_DAY - dt.timedelta(days=5), tick=False):
        assert "Check a door" not in phone.browser.get(address).content.decode()
