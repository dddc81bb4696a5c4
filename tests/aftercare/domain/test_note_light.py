from __future__ import annotations

import datetime as dt

import pytest

from aftercare.domain.light import note_light, remove_light_note
from aftercare.models import LightNote
from jobs.models import Room
from jobs.refusal import Refusal
from tests.factories import NOW, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    make_workshop()
    commission = make_commission(maker=make_maker(), latitude_deg=52.5, longitude_deg=-1.5)
    return Room.objects.create(commission=commission, name="study")


def note(room, noted_at):
    return note_light(room=room, noted_at=noted_at, person=room.commission.maker, now=NOW, actor=None)


def test_note_light_keeps_the_hour(room):
    noted_at = NOW - dt.timedelta(days=1)
    assert LightNote.objects.get(pk=note(room, noted_at).pk).noted_at == noted_at


def test_a_light_note_at_night_is_refused(room):
    with pytest.raises(Refusal) as refusal:
        note(room, dt.datetime(2027, 3, 9, 2, 0, tzinfo=dt.UTC))
    assert refusal.value.field == "noted_at"
    assert LightNote.objects.count() == 0


def test_a_light_note_in_the_future_is_refused(room):
    with pytest.raises(Refusal, match="future"):
        note(room, NOW + dt.timedelta(minutes=1))


def test_the_same_minute_twice_is_refused(room):
    note(room, NOW - dt.timedelta(days=1))
    with pytest.raises(Refusal, match="already"):
        note(room, NOW - dt.timedelta(days=1))


def test_a_room_without_coordinates_still_keeps_its_note(room):
    room.commission.latitude_deg = room.commission.longitude_deg = None
    room.commission.save()
    assert note(room, dt.datetime(2027, 3, 9, 2, 0, tzinfo=dt.UTC)).pk


def test_remove_light_note(room):
    remove_light_note(note=note(room, NOW - dt.timedelta(days=1)), now=NOW, actor=None)
    assert LightNote.objects.count() == 0
