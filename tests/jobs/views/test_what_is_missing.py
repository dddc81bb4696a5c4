from __future__ import annotations

import datetime as dt
import re
from html import unescape

import pytest
import time_machine
from django.template.loader import get_template
from django.urls import reverse

from jobs.models import DrawingVersion, FinishRecord, Piece, Room, StepKind, VisitKind
from jobs.queries.missing import missing_now_and_later
from jobs.registries import page_sections
from tests.factories import (
    NOW,
    make_access,
    make_client,
    make_commission,
    make_maker,
    make_visit,
    make_workshop,
    up_to,
)
from tests.jobs.views.cast import cast, signed_in
from tests.jobs.views.test_commissions import page_queries

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def missing_of(commission, workshop):
    found = missing_now_and_later(commission, workshop, NOW, commission.steps.all())
    return [one.words for one in found.now], [one.words for one in found.later]


def test_an_empty_record_says_everything_in_the_order_of_the_work():
    workshop, maker = make_workshop(), make_maker()
    commission = make_commission(maker=maker, client=make_client(email="", phone="", address=""))
    now, later = missing_of(commission, workshop)
    assert now == [
        "No e-mail of the client: each message becomes a call to make.",
        "No telephone number of the client.",
        "No address of the site.",
        "No coordinates of the site: no travel times, and no photo window.",
        "No room yet: add the room, and which way its window faces.",
        "No drawing yet.",
    ]
    assert later[:3] == [
        "No contract recorded.",
        "No stage payments are agreed.",
        "No finish recorded: the handover pack will say “not recorded”.",
    ]
    assert "No access arrangement: who lets us in, and when?" in later
    assert "No door is entered: nothing to check at the return visit." in later


def test_what_is_near_comes_first_and_goes_when_it_is_mended():
    workshop, maker = make_workshop(), make_maker()
    commission = make_commission(
        maker=maker, done=up_to(StepKind.WRAP), latitude_deg=52.5, longitude_deg=-1.9, nickname="Mill Row"
    )
    room = Room.objects.create(commission=commission, name="Study")
    Piece.objects.create(commission=commission, number=3, name="plinth", width_mm=600, height_mm=90, depth_mm=18)
    FinishRecord.objects.create(commission=commission, surface="doors", product="2K", colour="grey")
    DrawingVersion.objects.create(commission=commission, title="Elevation", version=2, added_at=NOW, file="x.pdf")
    now, later = missing_of(commission, workshop)
    assert "No weight of P03: lifters and loads cannot be worked out." in now
    assert "No access arrangement: who lets us in, and when?" in now
    assert "No parking is planned: may the van stand there?" in now
    assert "Study: nobody noted which way the window faces." in now
    assert any(words.endswith("is not approved by the client.") for words in now)
    assert "Finish of doors: batch, date, touch-up and where the tin is not recorded." in later
    assert "Study: no light note. When did the room look best?" in later
    room.window_facing_deg = 90
    room.save()
    make_access(commission, opener_phone="")
    make_visit(commission, kind=VisitKind.FITTING, starts_at=NOW + dt.timedelta(days=3))
    now, _ = missing_of(commission, workshop)
    assert "Study: nobody noted which way the window faces." not in now
    assert "No telephone number of Wilfred Marchbanks, who lets us in." in now
    assert "No delivery or fitting is booked." not in now


def test_once_fitted_nobody_asks_for_drawings_and_loads_any_more():
    workshop, maker = make_workshop(), make_maker()
    now, later = missing_of(make_commission(maker=maker, done=up_to(StepKind.SNAGS)), workshop)
    asked = " ".join(now + later)
    assert "No drawing" not in asked and "No piece" not in asked and "who lets us in" not in asked
    assert "No finish recorded" not in asked and "No door is entered" in asked and "No contract recorded." in asked


def test_a_closed_commission_asks_for_nothing():
    workshop, maker = make_workshop(), make_maker()
    assert missing_of(make_commission(maker=maker, closed_on=NOW.date()), workshop) == ([], [])


def test_every_line_leads_to_a_page_that_opens():
    _, _, commission, browser = cast()
    Room.objects.create(commission=commission, name="Study")
    Piece.objects.create(commission=commission, number=3, name="plinth", width_mm=600, height_mm=90, depth_mm=18)
    page = browser.get(commission.get_absolute_url()).content.decode()
    panel = re.search(r'<section class="panel missing".*?</section>', page, re.S)[0]
    links = [unescape(url) for url in re.findall(r'<a href="([^"]+)"', panel)]
    assert len(links) > 10
    for url in set(links):
        assert browser.get(url).status_code == 200, url


def test_the_contents_name_every_part_and_lead_to_it():
    _, _, commission, browser = cast()
    page = browser.get(commission.get_absolute_url()).content.decode()
    contents = re.search(r'<nav class="contents.*?</nav>', page, re.S)[0]
    for anchor in re.findall(r'href="#([^"]+)"', contents):
        assert f'id="{anchor}"' in page, anchor
    for name, section in page_sections.named():
        assert section.title, f"give the page section {name!r} a title for the table of contents"
        assert get_template(section.template)


def test_parts_behind_us_are_folded_and_work_done_is_one_line():
    make_workshop()
    maker = make_maker()
    browser = signed_in(maker)
    fresh = browser.get(make_commission(maker=maker).get_absolute_url()).content.decode()
    assert 'class="behind"' not in fresh and "steps done</summary>" not in fresh
    late = make_commission(maker=maker, done=up_to(StepKind.FIT))
    page = browser.get(late.get_absolute_url()).content.decode()
    for anchor in ("part-survey", "part-pieces", "part-way-in", "part-daybook"):
        assert f'<details class="behind" id="{anchor}">' in page
    assert "16 steps done</summary>" in page
    still = re.search(r'aria-label="Steps still to do".*?</table>', page, re.S)[0]
    assert still.count('<th scope="row">') == 4
    assert reverse("arrange_access", args=[late.number]) in page


def test_the_page_takes_the_same_queries_for_one_room_and_six():
    _, _, commission, browser = cast()
    counted = []
    for count in (1, 5):
        for number in range(count):
            Room.objects.create(commission=commission, name=f"Room {count} {number}")
            Piece.objects.create(
                commission=commission, number=count * 10 + number, name="x", width_mm=9, height_mm=9, depth_mm=9
            )
        counted.append(page_queries(browser, commission.get_absolute_url()))
    assert counted[0] == counted[1]
