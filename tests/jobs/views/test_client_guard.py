"""Every address of the client page: other visitors are refused, reading writes nothing."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.domain.links import exchange_link, revoke_link
from jobs.models import (
    ClientAway,
    ClientSession,
    Declaration,
    LinkScope,
    Room,
    SlotOffer,
)
from tests.factories import make_client
from tests.jobs.client_cast import (
    DAY,
    OPEN_TO_ALL,
    counts,
    full,
    make_cast,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


def test_without_a_standing_cookie_every_address_is_shut(cast):
    found = full(cast)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"))
    strangers = {"none": Browser(), "wrong": Browser(), "run out": Browser(), "taken back": Browser()}
    strangers["wrong"].cookies[settings.CLIENT_COOKIE_NAME] = cast.token
    session, cookie = exchange_link(token=cast.token, now=cast.now)
    ClientSession.objects.filter(pk=session.pk).update(expires_at=cast.now - DAY)
    strangers["run out"].cookies[settings.CLIENT_COOKIE_NAME] = cookie
    strangers["taken back"] = other.browser
    revoke_link(link=other.link, now=other.now, actor=None)
    before = counts()
    for who, browser in strangers.items():
        for name in sorted(set(found) - OPEN_TO_ALL):
            for method in ("get", "head", "post"):
                answer = getattr(browser, method)(found[name])
                assert answer.status_code == 403, (who, name, method)
                assert cast.commission.what not in answer.content.decode()
    assert counts() == before


def test_another_clients_cookie_finds_nothing_of_this_one(cast):
    found = full(cast)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"), what="linen press")
    answer = other.browser.get(found["client_done"])
    assert answer.status_code == 404 and "There is nothing here" in answer.content.decode()
    for name in ("client_undo", "client_pick", "client_away_remove"):
        assert other.browser.post(found[name]).status_code == 404, name
    page = other.browser.get(reverse("client_page")).content.decode()
    assert "linen press" in page and cast.commission.what not in page and "van is free" not in page
    assert SlotOffer.objects.filter(taken_at__isnull=True).count() == 1 and ClientAway.objects.count() == 1


def test_a_link_for_looking_sees_the_page_and_answers_nothing():
    cast = make_cast(scope=LinkScope.VIEW)
    Room.objects.create(commission=cast.commission, name="Hall").surveys.create(taken_on=cast.now.date())
    page = cast.browser.get(reverse("client_page"))
    assert page.status_code == 200 and reverse("client_declare") not in page.content.decode()
    for name in ("client_declare", "client_access", "client_away"):
        for method in ("get", "post"):
            answer = getattr(cast.browser, method)(reverse(name))
            assert answer.status_code == 403 and "looking only" in answer.content.decode()
    assert not Declaration.objects.exists()


def test_the_wrong_method_is_refused(cast):
    found = full(cast)
    reading = {"client_page", "client_done", "client_link_asked", "client_left"}
    acting = {"client_undo", "client_away_remove", "client_pick", "client_leave", "client_new_link"}
    for name in (reading | acting) & set(found):
        for method in ("put", "delete", "patch", *(["post"] if name in reading else ["get", "head"])):
            assert getattr(cast.browser, method)(found[name]).status_code == 405, (name, method)
    for name in set(found) - reading - acting:
        assert cast.browser.delete(found[name]).status_code in (403, 405), name


def test_reading_writes_nothing(cast):
    found = full(cast)
    seen = 0
    for name, address in found.items():
        for method in ("get", "head"):
            with CaptureQueriesContext(connection) as caught:
                answer = getattr(cast.browser, method)(address)
            wrote = [one["sql"] for one in caught.captured_queries if not one["sql"].lstrip().startswith("SELECT")]
            assert not wrote, (name, method, wrote)
            seen += answer.status_code == 200
    assert seen >= 12
    cast.link.refresh_from_db()
    assert cast.link.use_count == 1
