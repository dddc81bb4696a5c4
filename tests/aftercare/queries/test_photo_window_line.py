"""A maker without an e-mail address reads the photo window as a line on the board."""

from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.test import Client as Browser

from aftercare.domain.light import note_light
from jobs.domain.reminders import queue_reminders
from jobs.domain.visits import book_visit
from jobs.models import Message, Room, VisitKind
from tests.factories import NOW, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db
HOUR = dt.timedelta(hours=1)
SEVEN = dt.datetime.combine(NOW.date() + dt.timedelta(days=1), dt.time(7), dt.UTC)  # winter time: London's own seven


def visit_tomorrow(workshop, **place):
    maker = make_maker(email="")
    commission = make_commission(maker=maker, **{"latitude_deg": 52.5, "longitude_deg": -1.5} | place)
    room = Room.objects.create(commission=commission, name="Boot room", window_facing_deg=135)
    note_light(room=room, noted_at=NOW - dt.timedelta(days=2), now=NOW, person=maker, actor=maker)
    book_visit(
        commission=commission, kind=VisitKind.RETURN, person=maker, starts_at=SEVEN + 3 * HOUR,
        ends_at=SEVEN + 4 * HOUR, workshop=workshop, now=NOW, actor=None,
    )  # fmt: skip
    return maker


def test_the_line_is_on_the_board_from_seven_and_goes_when_read():
    workshop = make_workshop()
    maker = visit_tomorrow(workshop)
    queue_reminders(SEVEN - HOUR, workshop=workshop)
    assert not Message.objects.filter(kind="photo_window").exists()
    for minutes in (0, 1):
        queue_reminders(SEVEN + minutes * dt.timedelta(minutes=1), workshop=workshop)
    message = Message.objects.get(kind="photo_window")
    assert (message.channel, message.to_name) == ("call", maker.name)
    with time_machine.travel(SEVEN + HOUR, tick=False):
        browser = Browser()
        browser.force_login(maker)
        board = browser.get("/").content.decode()
        assert "Photo window today</b></a>" in board and f"Ring {maker.name}" not in board
        page = browser.get(f"/messages/{message.pk}/").content.decode()
        assert "A note for us" in page and "the light of the noted hour comes back between" in page
        browser.post(f"/messages/{message.pk}/call-made/", {"from": "board"})
        assert "Photo window today" not in browser.get("/").content.decode()


def test_a_day_without_a_window_puts_no_line_there():
    workshop = make_workshop()
    visit_tomorrow(workshop, latitude_deg=None, longitude_deg=None)
    queue_reminders(SEVEN + HOUR, workshop=workshop)
    assert not Message.objects.filter(kind="photo_window").exists()
