"""A helper is shown nothing that answers 403: every link and button on the pages they may open leads somewhere."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.urls import resolve, reverse

from jobs.models import (
    ClientKey,
    KitList,
    LoadItem,
    ParkingPlan,
    ParkingRule,
    Photograph,
    Piece,
    Role,
    Room,
    RoutePlace,
    Snag,
    Survey,
)
from jobs.roles import URLS, May, may
from tests.factories import NOW, TODAY, make_commission, make_maker, make_visit, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
ADDRESS = re.compile(r'(?:href|action|src)="(/[^"]*)"')
OURS = (
    "room", "room_run", "survey", "pieces", "piece", "route", "carry", "site_day", "hours", "kit", "snags",
    "photographs", "drawings", "parking", "client_keys", "add_survey", "add_photographs", "record_carry",
    "note_snag", "tell_hours", "job_board",
)  # fmt: skip


@pytest.fixture
def filled():
    """A commission with something on every sheet, so that every row draws its buttons."""
    make_workshop()
    commission = make_commission(maker=make_maker())
    room = Room.objects.create(commission=commission, name="Study")
    survey = Survey.objects.create(room=room, taken_on=TODAY)
    Survey.objects.create(room=room, taken_on=TODAY, purpose="remeasure")
    piece = Piece.objects.create(
        commission=commission,
        number=1,
        name="Case",
        room=room,
        width_mm=600,
        height_mm=900,
        depth_mm=400,
        typed_kg=45,
    )
    RoutePlace.objects.create(commission=commission, kind="door", name="Front door", width_mm=800, height_mm=2000)
    KitList.objects.create(name="Fitting kit")
    LoadItem.objects.create(commission=commission, words="Shelf pins", needed=40, in_hand=12)
    Snag.objects.create(commission=commission, place="Door 3", words="rubs", seen_on=TODAY)
    Snag.objects.create(commission=commission, place="Door 4", words="rubs", seen_on=TODAY, done_at=NOW)
    Photograph.objects.create(
        commission=commission, room=room, survey=survey, sha256="0" * 64, width_px=4, height_px=3, added_at=NOW,
        file="photographs/a.jpg", small="photographs/b.jpg",
    )  # fmt: skip
    rule = ParkingRule.objects.create(council="Ashdown", notice_working_days=10, checked_on=TODAY)
    ParkingPlan.objects.create(commission=commission, rule=rule, day=TODAY + dt.timedelta(days=40))
    ClientKey.objects.create(commission=commission, tag="K-1", count=1, received_at=NOW, holder=commission.maker)
    make_visit(commission, starts_at=NOW + dt.timedelta(days=1))
    return {"number": commission.number, "room": room.pk, "survey": survey.pk, "piece": piece.pk}


def address(name, filled):
    if name == "job_board":
        return reverse(name)
    if name in ("room", "room_run", "survey", "piece"):
        return reverse(name, args=[filled["room" if name == "room_run" else name]])
    if name == "add_survey":
        return reverse(name, args=[filled["room"], "survey"])
    return reverse(name, args=[filled["number"]])


@pytest.mark.parametrize("name", OURS)
def test_a_helper_sees_no_link_and_no_button_that_is_refused(filled, name):
    helper = make_maker(name="Jo Fenn", role=Role.HELPER)
    assert URLS[name] in (May.SITE, May.BOARD)
    answer = signed_in(helper).get(address(name, filled))
    assert answer.status_code == 200
    shown = {one.split("?")[0] for one in ADDRESS.findall(answer.content.decode())}
    refused = [
        one for one in shown if not one.startswith("/static/") and not may(helper, str(resolve(one).view_name))
    ]
    assert refused == []
