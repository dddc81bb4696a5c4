"""What the client page says, and what it never says."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.domain.clients import arrange_access
from jobs.domain.slot_offers import offer_slot
from jobs.models import (
    AccessArrangement,
    ClientAway,
)
from tests.jobs.client_cast import (
    full,
    make_cast,
    quarter,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


def test_the_page_says_what_is_asked_what_comes_and_whom_to_ring(cast):
    full(cast)
    page = cast.browser.get(reverse("client_page")).content.decode()
    for words in (
        "What we ask of you", "What happens next", "We come to measure", "Robin Thorn", "01632 960000",
        "Tell us who opens the door", "Pick a time", "The van is free.", "nothing has changed",
    ):  # fmt: skip
        assert words in page, words


def test_the_page_never_says_what_is_not_for_a_client(cast):
    full(cast)
    away = ClientAway.objects.get()
    arrange_access(
        access=AccessArrangement(
            commission=cast.commission, opener_name="Nan Ferrers", opener_phone="+441632960777", mode="let_in",
            slot_starts=dt.time(9), slot_ends=dt.time(12), parking="back lane", notes="key under the sundial",
        ),
        now=cast.now, actor=None,
    )  # fmt: skip
    cast.commission.hold_reason, cast.commission.held_since = "waits for a cheaper job", cast.now.date()
    cast.commission.save()
    page = cast.browser.get(reverse("client_page")).content.decode()
    days = (f"{away.first_day:%d} ", away.first_day.isoformat(), f"{away.first_day.day} {away.first_day:%B}")
    for words in ("Nan Ferrers", "960777", "sundial", "cheaper job", "slack", *days[1:], "allowance"):
        assert words not in page, words
    door = cast.browser.get(reverse("client_access")).content.decode()
    assert "sundial" not in door and "Nan Ferrers" in door


def test_headers_title_and_address_give_nothing_away(cast):
    found = full(cast)
    personal = [cast.commission.client.name, cast.commission.what, "Tannery", str(cast.commission.number) + " "]
    for name, address in found.items():
        answer = cast.browser.get(address)
        assert "no-store" in answer["Cache-Control"] and "noindex" in answer["X-Robots-Tag"], name
        assert answer["Referrer-Policy"] == "same-origin"
        if answer.status_code != 200:
            continue
        body = answer.content.decode()
        (title,) = re.findall(r"<title>(.*?)</title>", body, re.DOTALL)
        assert not any(word in title or word in address for word in personal), name
        assert not re.findall(r'(?:src|href|action)="(?:https?:)?//', body), f"{name}: something of a third party"
        assert "<script" not in body and "<style" not in body and " style=" not in body, name
        assert body.count("Ring me instead") == 1 and body.index("Ring me instead") < body.index("<main")
        assert "job_board" not in body and 'href="/commissions' not in body and "countdown" not in body


def test_the_number_of_questions_does_not_grow_with_what_is_on_the_page(cast, django_assert_num_queries):
    full(cast)
    with CaptureQueriesContext(connection) as first:
        cast.browser.get(reverse("client_page"))
    for days in (6, 7, 8):
        offer_slot(
            commission=cast.commission, kind="fitting", person=cast.maker, starts_at=quarter(cast.now, days),
            ends_at=quarter(cast.now, days, 11), now=cast.now, actor=None,
        )  # fmt: skip
    with django_assert_num_queries(len(first.captured_queries)):
        cast.browser.get(reverse("client_page"))
    assert len(first.captured_queries) <= 40
