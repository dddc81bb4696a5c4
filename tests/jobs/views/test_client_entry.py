"""In and out of the client page by its link (OWASP ASVS 5.0 V7 and V14.2.1 as the reference quotes them)."""

from __future__ import annotations

import datetime as dt
import io
import logging
import re

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from config.logs import MaskTokens
from jobs.domain.links import make_link, revoke_link
from jobs.domain.visits import book_visit
from jobs.models import (
    ClientDecision,
    ClientLink,
    ClientSession,
    Message,
    Room,
    SlotOffer,
    Survey,
)
from jobs.registries import erasers
from tests.jobs.client_cast import (
    DAY,
    full,
    make_cast,
    quarter,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


def test_the_entry_page_is_the_same_for_every_token_and_asks_the_database_nothing_of_it(cast):
    pages = []
    for token in (cast.token, "x" * 43, "y"):
        with CaptureQueriesContext(
            connection,
        ) as caught:
            answer = Browser().get(reverse("client_entry", args=[token]))
        assert not any("clientlink" in one["sql"] for one in caught.captured_queries)
        body = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.content.decode()).replace(token, "TOKEN")
        pages.append((answer.status_code, body))
    assert pages[0] == pages[1] and pages[0][0] == 200
    assert cast.commission.client.name not in pages[0][1]


def test_the_button_exchanges_the_link_for_a_cookie_and_a_clean_address(cast):
    browser = Browser()
    answer = browser.post(reverse("client_entry", args=[cast.token]))
    assert (answer.status_code, answer["Location"]) == (302, "/your-furniture/")
    cookie = answer.cookies[settings.CLIENT_COOKIE_NAME]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"]) == (True, "Lax", "/")
    assert cookie.value != cast.token
    assert browser.get("/your-furniture/").status_code == 200


def test_over_https_the_cookie_is_secure(cast, settings):
    settings.SESSION_COOKIE_SECURE = True
    answer = Browser().post(reverse("client_entry", args=[cast.token]))
    assert answer.cookies[settings.CLIENT_COOKIE_NAME]["secure"] is True


def test_run_out_taken_back_and_unknown_links_get_the_same_kind_page(cast):
    _, old_token = make_link(commission=cast.commission, now=cast.now - 100 * DAY, actor=None)
    back, back_token = make_link(commission=cast.commission, now=cast.now, actor=None)
    revoke_link(link=back, now=cast.now, actor=None)
    bodies = set()
    for token in (old_token, back_token, "x" * 43):
        answer = Browser().post(reverse("client_entry", args=[token]))
        assert answer.status_code == 403
        body = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.content.decode())
        bodies.add(body.replace(token, "TOKEN"))
    (body,) = bodies
    assert "Send me a new link" in body and "01632 960000" in body
    assert cast.commission.client.name not in body and "example.org" not in body


def test_asking_for_a_new_link_answers_the_same_whoever_asks(cast):
    known = Browser().post(reverse("client_new_link"), {"token": cast.token})
    unknown = Browser().post(reverse("client_new_link"), {"token": "x" * 43})
    nothing = Browser().post(reverse("client_new_link"))
    answers = {(one.status_code, one["Location"], str(one.cookies)) for one in (known, unknown, nothing)}
    assert answers == {(302, reverse("client_link_asked"), "")}
    assert Message.objects.filter(kind="client_link").count() == 1


def test_tries_are_counted_in_the_shared_cache(cast, settings):
    settings.ACCOUNT_RATE_LIMITS = settings.ACCOUNT_RATE_LIMITS | {
        "client_new_link": "2/h/ip",
        "client_link": "2/h/ip",
    }
    for name, args in (("client_new_link", []), ("client_entry", ["x" * 43])):
        answers = [Browser().post(reverse(name, args=args)) for _ in range(3)]
        assert [one.status_code == 429 for one in answers] == [False, False, True]
        assert "Please wait a little" in answers[2].content.decode() and "Ring me" in answers[2].content.decode()


def test_the_token_is_in_no_line_of_the_log(cast):
    said = io.StringIO()
    handler = logging.StreamHandler(said)
    handler.addFilter(MaskTokens())
    logger = logging.getLogger("django.request")
    logger.addHandler(handler)
    try:
        Browser().delete(reverse("client_entry", args=[cast.token]))
        Browser().get(reverse("client_entry", args=[cast.token]) + "lost/")
        Browser().post(reverse("client_entry", args=[cast.token[:-1] + "x"]))
    finally:
        logger.removeHandler(handler)
    assert said.getvalue().count("/your-link/.../") == 3 and cast.token[:20] not in said.getvalue()


def test_forgetting_the_client_leaves_no_link_no_sentence_and_no_offer(cast):
    full(cast)
    for erase in erasers.all():
        erase(cast.commission.client_id, cast.now)
    assert [model.objects.count() for model in (ClientLink, ClientSession, ClientDecision, SlotOffer)] == [0, 0, 0, 0]
    assert cast.browser.get(reverse("client_page")).status_code == 403


def test_the_ask_names_the_day_by_which_it_is_wanted(cast):
    room = Room.objects.create(commission=cast.commission, name="Hall")
    Survey.objects.create(room=room, taken_on=(cast.now - 3 * DAY).date())
    start = quarter(cast.now, 40)
    book_visit(
        commission=cast.commission, kind="fitting", person=cast.maker, starts_at=start, workshop=cast.workshop,
        ends_at=start + dt.timedelta(hours=1), now=cast.now, actor=None,
    )  # fmt: skip
    page = cast.browser.get(reverse("client_page")).content.decode()
    for days in (33, 26):  # who opens: a week before the visit; the room: two weeks
        day = cast.workshop.local_day(cast.now + days * DAY)
        assert f"{day:%A} {day.day} {day:%B %Y}" in page, days
