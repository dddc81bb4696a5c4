"""The doors drawn at the survey are taken over as doors on record."""

from __future__ import annotations

import re

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from aftercare.models import Door
from jobs.models import Room, RunPlan
from tests.factories import NOW, make_commission, make_maker, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
MDF_22 = {"board": "mdf", "thickness_mm": "22", "hinges_fitted": "4"}


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def room():
    make_workshop()
    room = Room.objects.create(commission=make_commission(maker=make_maker()), name="Study")
    # 801 wide: a pair of unequal leaves, then open shelves, then one door.
    RunPlan.objects.create(
        room=room, widths_mm=[801, 500, 600], doors=["LR", "", "R"], depth_mm=600, position_mm=40,
        door_bottom_mm=120, door_top_mm=2130,
    )  # fmt: skip
    return room


@pytest.fixture
def browser(room):
    return signed_in(room.commission.maker)


def url(room):
    return reverse("take_run_doors", args=[room.pk])


def words_of(answer):
    return re.sub(r"\s+", " ", answer.content.decode())


def test_the_doors_of_a_run_go_on_record_with_places_for_the_elevation(browser, room):
    """By hand: leaves 400, 401 and 600 less 3 mm of gap, 1 mm of it on the left; 2130 - 120 = 2010 high."""
    fitted = reverse("fitted", args=[room.commission.number])
    assert url(room) in words_of(browser.get(fitted))
    assert "D1 397 × 2010 mm; D2 398 × 2010 mm; D3 597 × 2010 mm." in words_of(browser.get(url(room)))
    answer = browser.post(url(room), MDF_22)
    assert answer.url == fitted
    rows = Door.objects.values_list("label", "left_mm", "width_mm", "height_mm", "bottom_mm", "hung", "position")
    assert list(rows) == [
        ("D1", 1, 397, 2010, 120, "left", 1),
        ("D2", 401, 398, 2010, 120, "right", 2),
        ("D3", 1302, 597, 2010, 120, "right", 3),
    ]
    door = Door.objects.first()
    assert (door.room, door.board, door.thickness_mm, door.hinges_fitted) == (room, "mdf", 22, 4)
    page = words_of(browser.get(fitted))
    assert "3 doors are on record." in page and url(room) not in page


def test_they_are_taken_once(browser, room):
    browser.post(url(room), MDF_22)
    answer = browser.post(url(room), MDF_22)
    assert answer.status_code == 422
    assert "Doors of this room are on record already" in words_of(answer)
    assert Door.objects.count() == 3


def test_labels_and_places_count_on_from_the_doors_of_another_room(browser, room):
    Door.objects.create(commission=room.commission, label="D7", position=9, width_mm=450, height_mm=700)
    browser.post(url(room), {"board": ""})
    assert list(room.doors.values_list("label", "position")) == [("D8", 10), ("D9", 11), ("D10", 12)]


def test_a_run_without_doors_is_not_offered_and_says_so(browser, room):
    RunPlan.objects.update(doors=["", "", ""])
    assert url(room) not in words_of(browser.get(reverse("fitted", args=[room.commission.number])))
    answer = browser.post(url(room), MDF_22)
    assert answer.status_code == 422 and "No run with doors is drawn for this room" in words_of(answer)


@pytest.mark.parametrize(("typed", "sentence"), [("300", "Thickness"), ("thick", "Thickness")])
def test_a_bad_thickness_keeps_nothing(browser, room, typed, sentence):
    answer = browser.post(url(room), MDF_22 | {"thickness_mm": typed})
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert not Door.objects.exists()


def test_signed_out_or_without_a_run(browser, room):
    assert Browser().get(url(room)).status_code == 302
    RunPlan.objects.all().delete()
    assert browser.get(url(room)).status_code == 404
