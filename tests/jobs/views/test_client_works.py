"""Drawings, photographs, payments and snags on the client's own page."""

from __future__ import annotations

import datetime as dt
import hashlib
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from jobs.domain.drawings import add_drawing
from jobs.domain.photographs import add_photographs
from jobs.models import (
    ClientDecision,
    DaybookLine,
    DrawingVersion,
    LinkScope,
    Message,
    Photograph,
    Receipt,
    Snag,
    StagePayment,
)
from tests.factories import make_client
from tests.jobs.client_cast import HOSTILE, make_cast

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def png(red: int = 0) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (30, 20), (red, 90, 90)).save(made, "PNG")
    return made.getvalue()


def drawing(cast, red: int = 0, title: str = "Elevations") -> DrawingVersion:
    return add_drawing(
        commission=cast.commission, title=title, note="", name="a.png", data=png(red), now=cast.now, actor=cast.maker
    )


def photograph(cast, shown: bool) -> Photograph:
    (made,) = add_photographs(
        commission=cast.commission, files=[("a.png", png())], purpose="work", words="Dovetails", room=None,
        zone=cast.workshop.tz, now=cast.now, actor=None,
    )  # fmt: skip
    Photograph.objects.filter(pk=made.pk).update(is_shown_to_client=shown)
    return made


def snag(cast, **fields) -> Snag:
    return Snag.objects.create(
        commission=cast.commission, place="left door", words="rubs", cause="making", seen_on=cast.now.date(), **fields
    )


def test_approving_freezes_name_minute_and_the_hash_of_the_file():
    """SHA-256 of the bytes the client was given, by the standard library."""
    cast = make_cast()
    first = drawing(cast)
    page = cast.browser.get(reverse("client_page")).content.decode()
    assert "Elevations, version 1" in page and "approve it" in page
    served = cast.browser.get(reverse("client_drawing", args=[first.pk]))
    shown = b"".join(served.streaming_content)
    assert served["Cache-Control"] == "private, no-store"
    answer = cast.browser.post(reverse("client_approve", args=[first.pk]), {"name": "Priscilla Quennell"})
    decision = ClientDecision.objects.get()
    assert answer["Location"] == reverse("client_done", args=[decision.pk])
    first.refresh_from_db()
    assert first.approved_sha256 == hashlib.sha256(shown).hexdigest()
    assert (first.approved_by_name, first.approved_at) == ("Priscilla Quennell", decision.decided_at)
    assert "You approved Elevations, version 1." in cast.browser.get(answer["Location"]).content.decode()
    assert Message.objects.get(kind="client_receipt").payload["decision"] == decision.pk
    cast.browser.post(reverse("client_undo", args=[decision.pk]))
    first.refresh_from_db()
    assert (first.approved_at, first.approved_by_name, first.approved_sha256) == (None, "", "")
    acts = list(DaybookLine.objects.filter(act__contains="approv").values_list("act", flat=True))
    assert acts == ["approve_drawing", "take_back_approval"]


def test_a_replaced_version_is_neither_shown_nor_approved():
    cast = make_cast()
    first, second = drawing(cast), drawing(cast, 5)
    assert cast.browser.get(reverse("client_drawing", args=[first.pk])).status_code == 404
    assert cast.browser.post(reverse("client_approve", args=[first.pk]), {"name": "P"}).status_code == 404
    assert cast.browser.post(reverse("client_approve", args=[second.pk]), {"name": "P"}).status_code == 302
    answer = cast.browser.post(reverse("client_approve", args=[second.pk]), {"name": "P"})
    assert answer.status_code == 422 and "approved already" in answer.content.decode()


def test_an_approved_version_stays_to_be_seen_when_a_later_one_comes():
    cast = make_cast()
    first = drawing(cast)
    cast.browser.post(reverse("client_approve", args=[first.pk]), {"name": "P"})
    drawing(cast, 5)
    page = cast.browser.get(reverse("client_page")).content.decode()
    assert "version 1" in page and "Approved by P" in page and "approve it: Elevations, version 2" in page


@pytest.mark.parametrize("text", [*HOSTILE, " ", ""])
def test_any_name_is_kept_as_typed_or_refused(text):
    cast = make_cast()
    one = drawing(cast)
    answer = cast.browser.post(reverse("client_approve", args=[one.pk]), {"name": text})
    one.refresh_from_db()
    if len(text) > 120 or not text.strip():
        assert answer.status_code == 422 and "Your name" in answer.content.decode() and one.approved_at is None
    else:
        assert one.approved_by_name == text
        assert "<b>bold" not in cast.browser.get(reverse("client_page")).content.decode()


def test_only_photographs_chosen_for_the_client_are_shown():
    cast = make_cast()
    shown, kept = photograph(cast, True), photograph(cast, False)
    page = cast.browser.get(reverse("client_page")).content.decode()
    for name in ("client_photograph", "client_photograph_small"):
        answer = cast.browser.get(reverse(name, args=[shown.pk]))
        assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
        assert answer["Cache-Control"] == "private, no-store"
        assert cast.browser.get(reverse(name, args=[kept.pk])).status_code == 404
        assert reverse(name, args=[shown.pk]) in page and reverse(name, args=[kept.pk]) not in page


def test_the_maker_chooses_which_photograph_the_client_sees():
    from django.test import Client as Browser

    cast = make_cast()
    one = photograph(cast, False)
    maker = Browser()
    maker.force_login(cast.maker)
    data = {"purpose": "work", "room": "", "words": "Dovetails", "is_shown_to_client": "on"}
    assert maker.post(reverse("edit_photograph", args=[one.pk]), data).status_code == 302
    assert cast.browser.get(reverse("client_photograph", args=[one.pk])).status_code == 200


def test_payments_say_what_is_received_and_what_is_due():
    cast = make_cast()
    paid = StagePayment.objects.create(commission=cast.commission, event="deposit", amount_pence=120_000)
    Receipt.objects.create(stage_payment=paid, amount_pence=120_000, received_on=cast.now.date())
    StagePayment.objects.create(
        commission=cast.commission, event="delivery", amount_pence=340_050, due_on=(cast.now - DAY).date()
    )
    page = cast.browser.get(reverse("client_page")).content.decode()
    assert "£1,200.00. Received, thank you." in page
    assert "Pay £3,400.50: Before delivery" in page and "£3,400.50 due since" in page


def test_snags_are_shown_without_cause_and_agreed_by_the_client():
    cast = make_cast()
    open_one, done = snag(cast), snag(cast, done_at=cast.now - DAY, due_on=cast.now.date())
    page = cast.browser.get(reverse("client_page")).content.decode()
    assert "left door: rubs" in page and "Making" not in page
    assert reverse("client_agree_snag", args=[open_one.pk]) not in page
    assert cast.browser.post(reverse("client_agree_snag", args=[open_one.pk])).status_code == 422
    assert cast.browser.post(reverse("client_agree_snag", args=[done.pk])).status_code == 302
    done.refresh_from_db()
    assert done.agreed_by == "Priscilla Quennell"
    cast.browser.post(reverse("client_undo", args=[ClientDecision.objects.get().pk]))
    done.refresh_from_db()
    assert (done.agreed_at, done.agreed_by) == (None, "") and done.done_at is not None


def test_another_client_and_a_link_for_looking_reach_none_of_it():
    cast = make_cast()
    pks = {"client_drawing": drawing(cast).pk, "client_photograph": photograph(cast, True).pk}
    pks |= {"client_approve": pks["client_drawing"], "client_photograph_small": pks["client_photograph"]}
    done = snag(cast, done_at=cast.now)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"))
    for name, pk in pks.items():
        assert other.browser.get(reverse(name, args=[pk])).status_code == 404, name
    assert other.browser.post(reverse("client_agree_snag", args=[done.pk])).status_code == 404
    assert (
        other.browser.post(reverse("client_approve", args=[pks["client_approve"]]), {"name": "O"}).status_code == 404
    )
    looking = make_cast(scope=LinkScope.VIEW)
    one = drawing(looking)
    assert looking.browser.get(reverse("client_drawing", args=[one.pk])).status_code == 200
    answer = looking.browser.post(reverse("client_approve", args=[one.pk]), {"name": "L"})
    assert answer.status_code == 403 and not ClientDecision.objects.exists()


def test_reading_files_and_forms_writes_nothing():
    cast = make_cast()
    one, two = drawing(cast), photograph(cast, True)
    addresses = [reverse("client_approve", args=[one.pk]), reverse("client_drawing", args=[one.pk])]
    addresses += [reverse(name, args=[two.pk]) for name in ("client_photograph", "client_photograph_small")]
    for address in addresses:
        for method in ("get", "head"):
            with CaptureQueriesContext(connection) as caught:
                assert getattr(cast.browser, method)(address).status_code == 200
            assert all(one["sql"].startswith("SELECT") for one in caught.captured_queries), address
