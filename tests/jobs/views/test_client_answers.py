"""What a client answers on their page: kept, confirmed, copied by mail, taken back."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.clients import arrange_access
from jobs.models import (
    AccessArrangement,
    ClientAway,
    ClientDecision,
    ClientSession,
    Declaration,
    Message,
)
from tests.jobs.client_cast import (
    DAY,
    HOSTILE,
    make_cast,
    right_now,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


def test_a_declaration_is_confirmed_with_its_minute_copied_by_mail_and_taken_back(cast):
    answer = cast.browser.post(reverse("client_declare"), {"answer": "changed", "what_changed": "new floor"})
    decision = ClientDecision.objects.get()
    assert answer["Location"] == reverse("client_done", args=[decision.pk])
    page = cast.browser.get(answer["Location"]).content.decode()
    local = cast.workshop.local(decision.decided_at)
    assert f"{local.hour}:{local.minute:02d}" in page and "That was a mistake" in page
    declaration = Declaration.objects.get()
    assert (declaration.nothing_changed, declaration.what_changed, declaration.way) == (False, "new floor", "link")
    undone = cast.browser.post(reverse("client_undo", args=[decision.pk]))
    assert undone["Location"] == reverse("client_done", args=[decision.pk])
    assert not Declaration.objects.exists()
    assert "You took this back" in cast.browser.get(undone["Location"]).content.decode()
    assert cast.browser.post(reverse("client_undo", args=[decision.pk])).status_code == 422
    receipts = Message.objects.filter(kind="client_receipt").values_list("payload", "to_email")
    assert list(receipts) == [
        ({"decision": decision.pk, "undone": False}, "quennell@example.org"),
        ({"decision": decision.pk, "undone": True}, "quennell@example.org"),
    ]


def test_after_an_hour_it_is_no_longer_taken_back(cast):
    cast.browser.post(reverse("client_declare"), {"answer": "same"})
    ClientDecision.objects.update(decided_at=right_now() - dt.timedelta(minutes=61))
    decision = ClientDecision.objects.get()
    answer = cast.browser.post(reverse("client_undo", args=[decision.pk]))
    assert answer.status_code == 422 and "Please ring us" in answer.content.decode()
    assert Declaration.objects.count() == 1
    assert "That was a mistake" not in cast.browser.get(reverse("client_done", args=[decision.pk])).content.decode()


ACCESS = {"opener_name": "Nan", "opener_phone": "", "opener_email": "", "slot_starts": "09:00", "slot_ends": "12:00",
          "fallback_name": "", "fallback_phone": "", "parking": "front"}  # fmt: skip


def test_the_client_says_who_opens_and_the_makers_notes_stay(cast):
    arrange_access(
        access=AccessArrangement(commission=cast.commission, opener_name="Old", mode="in_and_out", notes="shy dog",
                                 slot_starts=dt.time(9), slot_ends=dt.time(12)),
        now=cast.now, actor=None,
    )  # fmt: skip
    cast.browser.post(reverse("client_access"), ACCESS)
    kept = AccessArrangement.objects.get()
    assert (kept.opener_name, kept.parking, kept.notes, kept.mode) == ("Nan", "front", "shy dog", "in_and_out")


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("client_declare", {}, "choose one of the two"),
        ("client_declare", {"answer": "changed", "what_changed": " "}, "say it in a few words"),
        ("client_access", ACCESS | {"slot_ends": "08:00"}, "end before it starts"),
        ("client_access", ACCESS | {"opener_name": ""}, "Who opens the door"),
        ("client_access", ACCESS | {"opener_phone": "12"}, "phone number"),
        ("client_away", {"first_day": "2020-01-01", "last_day": "2020-01-02"}, "gone by"),
        ("client_away", {"first_day": "soon", "last_day": ""}, "no day of the calendar"),
        ("client_away", {"first_day": "2999-02-02", "last_day": "2999-02-01"}, "before the first"),
    ],
)
def test_a_mistake_is_said_beside_its_field_and_nothing_is_kept(cast, name, data, words):
    answer = cast.browser.post(reverse(name), data)
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not ClientDecision.objects.exists() and not Message.objects.exists()


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize(
    ("name", "field", "others"),
    [
        ("client_declare", "what_changed", {"answer": "changed"}),
        ("client_declare", "answer", {}),
        *[("client_access", field, ACCESS) for field in ACCESS],
        ("client_away", "first_day", {"last_day": "2999-01-01"}),
        ("client_away", "last_day", {"first_day": "2999-01-01"}),
        ("client_new_link", "token", {}),
    ],
)
def test_whatever_is_typed_is_kept_as_it_was_or_refused_with_a_sentence(cast, name, field, others, text):
    answer = cast.browser.post(reverse(name), {**others, field: text})
    assert answer.status_code in (302, 422)
    if answer.status_code == 422:
        assert 'class="error-summary"' in answer.content.decode() and not ClientDecision.objects.exists()
    elif name != "client_new_link":
        kept = [*Declaration.objects.values(), *AccessArrangement.objects.values()]
        assert any(row.get(field, "").replace("\r\n", "\n") == text.replace("\r\n", "\n") for row in kept)
    for address in (reverse("client_page"), reverse("client_access")):
        page = cast.browser.get(address)
        assert page.status_code == 200 and "<b>bold" not in page.content.decode()


def test_a_hostile_token_in_the_address_is_a_kind_page():
    make_cast()
    for text in HOSTILE:
        answer = Browser().post(
            reverse("client_entry", args=["t"]).replace("/t/", f"/{text.replace('/', '')[:3000]}/")
        )
        assert answer.status_code in (403, 404)


def test_away_days_are_told_shown_on_their_own_page_only_and_taken_out_again(cast):
    first = (cast.now + 30 * DAY).date()
    data = {"first_day": first.isoformat(), "last_day": first.isoformat()}
    assert cast.browser.post(reverse("client_away"), data).status_code == 302
    assert cast.browser.post(reverse("client_away"), data).status_code == 422
    assert f"{first.day} {first:%B %Y}" in cast.browser.get(reverse("client_away")).content.decode()
    away = ClientAway.objects.get()
    assert cast.browser.post(reverse("client_away_remove", args=[away.pk])).status_code == 302
    assert not ClientAway.objects.exists()


def test_leaving_shuts_this_browser(cast):
    answer = cast.browser.post(reverse("client_leave"))
    assert answer["Location"] == reverse("client_left")
    assert cast.browser.get(reverse("client_page")).status_code == 403
    assert ClientSession.objects.get().ended_at is not None
