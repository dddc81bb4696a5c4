from __future__ import annotations

import re

import pytest
import time_machine
from django.test import Client as Browser

from aftercare.models import FutureWork
from jobs.models import Consignment, ConsignmentItem, FinishRecord, Piece, Role, Room, Snag, Subcontractor
from tests.factories import NOW, TODAY, make_client, make_commission, make_maker, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
URL = "/search/"


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def record():
    """One commission of which every kind of thing bears a word of its own."""
    make_workshop()
    maker = make_maker()
    one = make_commission(
        maker=maker, number=417, nickname="Cooper Row", what="larder wall", client=make_client(name="Ottilie Marsh")
    )
    room = Room.objects.create(commission=one, name="Scullery")
    FinishRecord.objects.create(commission=one, surface="door fronts", colour="Heron grey", product="2K matt 25")
    Piece.objects.create(commission=one, number=7, name="plinth", width_mm=600, height_mm=90, depth_mm=18)
    sprayer = Subcontractor.objects.create(name="Bellfield Sprayshop")
    note = Consignment.objects.create(commission=one, subcontractor=sprayer, number=2, product="primer 9")
    ConsignmentItem.objects.create(consignment=note, words="drawer fronts", count=4)
    Snag.objects.create(commission=one, room=room, place="tall door", words="rubs at the head", seen_on=TODAY)
    FutureWork.objects.create(commission=one, what="a bench for the porch", noted_on=TODAY, noted_by=maker)
    return maker


@pytest.mark.parametrize(
    ("typed", "heading", "found"),
    [
        ("417", "Commissions", "417 Cooper Row"),
        ("cooper larder", "Commissions", "417 Cooper Row"),
        ("ottilie", "Clients", "Ottilie Marsh"),
        ("MARSH", "Clients", "Ottilie Marsh"),
        ("scull", "Rooms", "Scullery"),
        ("heron", "Finishes", "door fronts"),
        ("2k matt", "Finishes", "door fronts"),
        ("417 P07", "Pieces", "P07 plinth"),
        ("p7", "Pieces", "P07 plinth"),
        ("417/2", "Consignments", "Consignment 417/2"),
        ("drawer fronts", "Consignments", "Consignment 417/2"),
        ("rubs", "Snags", "tall door: rubs at the head"),
        ("bellfield", "Subcontractors", "Bellfield Sprayshop"),
        ("porch", "Further work spoken of", "a bench for the porch"),
    ],
)
def test_each_kind_is_found_under_its_heading(record, typed, heading, found):
    page = signed_in(record).get(URL, {"q": typed}).content.decode()
    group = re.search(rf'<h2 id="group-\d+">{heading}</h2>(.*?)</section>', page, re.S)
    assert group and f">{found}</a>" in group[1]


def test_every_word_counts_and_nothing_is_said_kindly(record):
    page = signed_in(record).get(URL, {"q": "cooper heron"}).content.decode()
    assert ">Finishes</h2>" in page and ">Commissions</h2>" not in page
    page = signed_in(record).get(URL, {"q": "heron zebra"}).content.decode()
    assert "Nothing has “heron zebra” in it." in page


@pytest.mark.parametrize("typed", ["%", "_", "%%%", "..", "", "   ", "\x00\x01", "x", "a" * 101, "a b c d e f g"])
def test_what_cannot_be_looked_for_is_refused_with_a_sentence(record, typed):
    answer = signed_in(record).get(URL, {"q": typed})
    assert answer.status_code == 422
    assert '<p class="mistake" id="q-mistake" role="alert">Search: ' in answer.content.decode()


@pytest.mark.parametrize(
    "typed",
    ["'; drop table jobs_client; --", "50%", "a_b", "<script>", "P99999999", "9" * 30, "٤١٧", "ab\u200bzz", "z\x00z"],
)
def test_odd_text_is_looked_for_as_it_is(record, typed):
    answer = signed_in(record).get(URL, {"q": typed})
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "<script>" not in page.split("<main", 1)[1].split("</main>")[0]
    assert "Cooper" not in page.split("<main", 1)[1]  # % and _ are letters like others


def test_a_helper_finds_the_work_and_no_client_and_no_money(record):
    helper = make_maker(name="Sam Ashby", role=Role.HELPER)
    browser = signed_in(helper)
    for typed in ("ottilie", "marsh", "heron", "porch", "bellfield"):
        assert "Nothing has" in browser.get(URL, {"q": typed}).content.decode()
    page = browser.get(URL, {"q": "417"}).content.decode()
    assert "/commissions/417/site-day/" in page and "Ottilie" not in page
    assert 'href="/commissions/417/"' not in page


@pytest.mark.parametrize("count", [1, 20])
def test_the_search_takes_the_same_queries_whatever_it_finds(record, count, django_assert_num_queries):
    client = make_client(name="Cooper Vane")
    for number in range(count):
        one = make_commission(maker=record, client=client, nickname="Cooper Row", number=600 + number)
        Room.objects.create(commission=one, name="Cooper room")
    browser = signed_in(record)
    with django_assert_num_queries(12):  # session, person, workshop; nine sources
        page = browser.get(URL, {"q": "cooper"}).content.decode()
    assert ("There are more. Add a word" in page) is (count == 20)


def test_the_box_is_on_every_page_and_more_lists_the_rest(record):
    browser = signed_in(record)
    assert 'role="search" class="find' in browser.get("/clients/").content.decode()
    page = browser.get("/more/").content.decode()
    for url in ("/workshop/", "/calendar-days/", "/vans/", "/kit-lists/", "/return-visits/journeys/"):
        assert f'href="{url}"' in page
    helper = signed_in(make_maker(name="Sam Ashby", role=Role.HELPER)).get("/more/").content.decode()
    assert 'href="/day/"' in helper and 'href="/clients/"' not in helper and 'href="/workshop/"' not in helper


def test_signed_out_and_wrong_method():
    make_workshop()
    for url in (URL, "/more/"):
        assert Browser().get(url).status_code == 302
        assert signed_in(make_maker()).post(url).status_code == 405
