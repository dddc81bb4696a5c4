"""What aftercare puts on the desk's pages: the photo window of a return visit, and the report on return visits."""

from __future__ import annotations

import datetime as dt
import re

import pytest
import time_machine

from aftercare.models import Handover, LightNote
from aftercare.queries.reports import returns_report
from jobs.models import Room, StepKind, VisitKind, VisitState
from tests.factories import NOW, make_client, make_commission, make_maker, make_visit, make_workshop, up_to
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def handed_over(maker, days_ago, state, visit_days_ago):
    one = make_commission(maker=maker, client=make_client(), done=up_to(StepKind.RETURN_VISIT))
    visit = make_visit(one, kind=VisitKind.RETURN, state=state, starts_at=NOW - dt.timedelta(days=visit_days_ago))
    return Handover.objects.create(
        commission=one, handed_over_at=NOW - dt.timedelta(days=days_ago), by=maker, return_visit=visit
    )


def test_return_visits_are_counted_by_quarter_as_by_hand():
    workshop, maker = make_workshop(), make_maker()
    handed_over(maker, 100, VisitState.DONE, 50)  # 30 Nov 2026, day 50: in the range of 42 to 56
    handed_over(maker, 100, VisitState.DONE, 20)  # day 80: late
    handed_over(maker, 50, VisitState.ARRANGED, -3)  # 19 Jan 2027: due since day 42
    handed_over(maker, 10, VisitState.ARRANGED, -35)  # 28 Feb: not due yet
    undone = handed_over(maker, 10, VisitState.ARRANGED, -35)
    Handover.objects.filter(pk=undone.pk).update(undone_at=NOW)
    # handovers, due by now, done, done within the range, arranged, to arrange
    assert returns_report(workshop, NOW).rows == (
        ("October to December 2026", 2, 2, 2, 1, 0, 0),
        ("January to March 2027", 2, 1, 0, 0, 2, 0),
    )


def test_the_day_of_a_return_visit_names_its_photo_window():
    make_workshop()
    maker = make_maker()
    one = make_commission(maker=maker, nickname="Mill Row", latitude_deg=52.5, longitude_deg=-1.9)
    room = Room.objects.create(commission=one, name="Study", window_facing_deg=180)
    LightNote.objects.create(room=room, noted_at=NOW - dt.timedelta(days=2), person=maker)
    make_visit(one, kind=VisitKind.RETURN, starts_at=NOW)
    page = signed_in(maker).get("/day/").content.decode().split("<main", 1)[1]
    words = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))
    found = re.search(r"(\d+):(\d+) to (\d+):(\d+) Photo window at", words)
    assert found, words
    first, last = (int(found[n]) * 60 + int(found[n + 1]) for n in (1, 3))
    # The sun of two days ago stands where it stood at nearly the same hour: the note's 10:42 lies in the window.
    assert first <= 10 * 60 + 42 <= last
