"""Calendars to subscribe to. ETag and 304 by RFC 9110 8.8.3 and 13.1.2; what is in a feed is read by vobject."""

from __future__ import annotations

import datetime as dt
import re

import pytest
import time_machine
import vobject
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from config.logs import without_tokens
from jobs.domain.calendar import note_absence
from jobs.domain.clients import add_client_away
from jobs.domain.feeds import make_feed, revoke_feed
from jobs.models import DaybookLine, Feed, Person, VisitKind
from jobs.refusal import Refusal
from tests.factories import (
    NOW,
    make_access,
    make_client,
    make_commission,
    make_helper,
    make_maker,
    make_visit,
    make_workshop,
)

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def maker():
    make_workshop()
    return make_maker()


@pytest.fixture
def visits(maker):
    client = make_client()
    commission = make_commission(maker=maker, client=client)
    make_access(commission, notes="Alarm 4711, key behind the shed")
    other = make_commission(
        maker=maker, client=make_client(name="Nell Tarrant", address="2 Kiln Row"), nickname="Kiln"
    )
    return [
        make_visit(commission, kind=VisitKind.FITTING, starts_at=NOW + DAY),
        make_visit(other, starts_at=NOW + 2 * DAY),
        make_visit(other, starts_at=NOW + 3 * DAY, state="cancelled"),
        make_visit(commission, starts_at=NOW + 4 * DAY, person=make_helper()),
    ]


def address(maker, **owner):
    _, token = make_feed(now=NOW, actor=maker, **owner)
    return f"/feeds/{token}/visits/"


def events(answer):
    calendar = vobject.readOne(answer.content.decode())
    return sorted(event.summary.value for event in calendar.contents.get("vevent", []))


def test_a_maker_reads_where_to_go_and_a_client_their_own_visits_alone(maker, visits):
    commission = visits[0].commission
    number, kiln = commission.number, visits[1].commission.number
    own = Browser().get(address(maker, person=maker))
    assert own["Content-Type"] == "text/calendar; charset=utf-8"
    assert events(own) == sorted([f"Fitting: {number} Tannery", f"Delivery: {kiln} Kiln"])
    theirs = Browser().get(address(maker, client=commission.client))
    assert events(theirs) == ["Delivery: boot room", "Fitting: boot room"]
    helper = Browser().get(address(maker, person=Person.objects.get(name="Sam Ashby")))
    assert events(helper) == [f"Delivery: {number} Tannery"]


def test_no_feed_holds_a_code_an_absence_or_a_day_away(maker, visits):
    client = visits[0].commission.client
    add_client_away(client=client, first_day=NOW.date() + DAY, last_day=NOW.date() + 5 * DAY, now=NOW, actor=maker)
    note_absence(
        person=maker,
        first_day=NOW.date() + DAY,
        last_day=NOW.date() + 5 * DAY,
        reason="hospital",
        now=NOW,
        actor=maker,
    )
    for owner in ({"person": maker}, {"client": client}):
        answer = Browser().get(address(maker, **owner))
        text = answer.content.decode().replace("\r\n ", "")
        for words in ("4711", "shed", "hospital", "away", "ATTENDEE", "ORGANIZER", "METHOD"):
            assert words not in text
        assert len(events(answer)) == 2


def test_an_unchanged_feed_answers_304_and_a_changed_one_does_not(maker, visits):
    path = address(maker, person=maker)
    first = Browser().get(path)
    assert re.fullmatch(r'"[0-9a-f]{32}"', first["ETag"])
    again = Browser().get(path, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    # A cache on the way may have made the tag weak; it still matches (RFC 9110 8.8.3.2).
    assert Browser().get(path, headers={"If-None-Match": f"W/{first['ETag']}"}).status_code == 304
    visits[0].starts_at += dt.timedelta(hours=1)
    visits[0].ends_at += dt.timedelta(hours=1)
    visits[0].save()
    assert Browser().get(path, headers={"If-None-Match": first["ETag"]}).status_code == 200


@pytest.mark.parametrize("method", ["get", "head"])
def test_reading_a_feed_takes_three_queries_and_writes_nothing(maker, visits, method):
    path = address(maker, person=maker)
    with CaptureQueriesContext(
        connection,
    ) as asked:
        answer = getattr(Browser(), method)(path)
    assert answer.status_code == 200
    assert len(asked) == 3
    assert all(query["sql"].startswith("SELECT") for query in asked)


def test_the_secret_is_kept_as_a_hash_alone_and_left_out_of_the_logs(maker):
    _, token = make_feed(now=NOW, actor=maker, person=maker)
    assert len(token) >= 43
    assert all(token not in str(row) for row in [*Feed.objects.values(), *DaybookLine.objects.values()])
    assert token not in without_tokens(f'"GET /feeds/{token}/visits/ HTTP/1.1" 200')


def test_a_wrong_a_revoked_and_a_leavers_address_open_nothing(maker, visits):
    feed, token = make_feed(now=NOW, actor=maker, person=maker)
    revoke_feed(feed=feed, now=NOW, actor=maker)
    leaver = make_helper(name="Gone")
    gone = address(maker, person=leaver)
    Person.objects.filter(pk=leaver.pk).update(is_active=False)
    for path in (f"/feeds/{token}/visits/", gone, f"/feeds/{'x' * 43}/visits/"):
        answer = Browser().get(path)
        assert answer.status_code == 404
        assert b"BEGIN" not in answer.content
    assert Browser().post(address(maker, person=maker)).status_code == 405
    with pytest.raises(Refusal, match="taken back already"):
        revoke_feed(feed=feed, now=NOW, actor=maker)


def test_the_screen_makes_an_address_shows_it_once_and_takes_it_back(maker):
    browser = Browser()
    browser.force_login(maker, backend="allauth.account.auth_backends.AuthenticationBackend")
    page = browser.post("/feeds/", {"person": maker.pk}).content.decode()
    path = re.search(r"http://localhost:8000(/feeds/[\w-]{43}/visits/)", page)[1]
    assert Browser().get(path).status_code == 200
    assert path not in browser.get("/feeds/").content.decode()
    assert browser.post(f"/feeds/{Feed.objects.get().pk}/take-back/").status_code == 302
    assert Browser().get(path).status_code == 404


@pytest.mark.parametrize("both", [True, False])
def test_an_address_is_of_exactly_one_owner(maker, both):
    browser = Browser()
    browser.force_login(maker, backend="allauth.account.auth_backends.AuthenticationBackend")
    answer = browser.post("/feeds/", {"person": maker.pk, "client": make_client().pk} if both else {})
    assert answer.status_code == 422 and "choose one of them" in answer.content.decode()
    assert not Feed.objects.exists()


@pytest.mark.parametrize("count", [1, 4])
def test_the_list_takes_the_same_queries_whatever_its_length(maker, count, django_assert_num_queries):
    browser = Browser()
    browser.force_login(maker, backend="allauth.account.auth_backends.AuthenticationBackend")
    for _ in range(count):
        make_feed(now=NOW, actor=maker, client=make_client())
    with django_assert_num_queries(6):
        browser.get("/feeds/")
