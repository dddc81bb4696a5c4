"""What the sheets do, through the screens: money, hours, papers, keys, snags, kit, parking."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from jobs.models import (
    ClientKey,
    Contract,
    DrawingVersion,
    HourEntry,
    KitList,
    KitListItem,
    LoadItem,
    ParkingRule,
    Photograph,
    Receipt,
    Snag,
    StagePayment,
    Variation,
)
from tests.factories import NOW
from tests.jobs.views.sheets_cast import a_commission, picture_bytes, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return a_commission()


@pytest.fixture
def browser(commission):
    return signed_in(commission)


def url(name, commission):
    return reverse(name, args=[commission.number])


def test_money_from_the_split_to_the_cleared_receipt(browser, commission):
    form = {"price": "12,345.67", "percent_deposit": "50", "percent_delivery": "40", "percent_handover": "10"}
    browser.post(url("agree_stage_payments", commission), form)
    parts = list(StagePayment.objects.values_list("event", "amount_pence", "holds"))
    # By hand: halves of 1,234,567 lose 0.5, two fifths lose 0.8, a tenth loses 0.7: the two spare pence go to the
    # second and the third.
    assert parts == [("deposit", 617_283, "ordering"), ("delivery", 493_827, "delivery"), ("handover", 123_457, "")]
    payment = StagePayment.objects.first()
    browser.post(reverse("note_receipt", args=[payment.pk]), {"amount": "6172.83", "received_on": "2026-01-05"})
    receipt = Receipt.objects.get()
    assert (receipt.amount_pence, receipt.cleared_on) == (617_283, None)
    browser.post(reverse("note_cleared", args=[receipt.pk]), {"cleared_on": "2026-01-06"})
    receipt.refresh_from_db()
    assert receipt.cleared_on == dt.date(2026, 1, 6)
    assert "£6,172.83 of £12,345.67 received" in browser.get(commission.get_absolute_url()).content.decode()


def test_shares_that_do_not_come_to_a_hundred_are_refused_and_kept(browser, commission):
    form = {"price": "100", "percent_deposit": "50", "percent_delivery": "40", "percent_handover": "20"}
    answer = browser.post(url("agree_stage_payments", commission), form)
    assert answer.status_code == 422
    assert "come to 110 %" in answer.content.decode()
    assert 'value="20"' in answer.content.decode()
    assert not StagePayment.objects.exists()


@pytest.mark.parametrize(
    ("amount", "words"), [("12.345", "no amount in pounds"), ("-1", "never negative"), ("", "needed")]
)
def test_an_amount_that_is_none_is_refused(browser, commission, amount, words):
    answer = browser.post(url("add_stage_payment", commission), {"event": "deposit", "amount": amount, "holds": ""})
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_one_tap_starts_and_one_tap_stops(commission, time_machine):
    time_machine.move_to(NOW, tick=False)
    browser = signed_in(commission)
    page = browser.get(url("hours", commission)).content.decode()
    assert page.count('name="kind"') == 24
    browser.post(url("start_timer", commission), {"kind": "carry"})
    entry = HourEntry.objects.get()
    assert (entry.person, entry.kind, entry.started_at, entry.is_running) == (commission.maker, "carry", NOW, True)
    answer = browser.post(url("start_timer", commission), {"kind": "tidy"}, follow=True)
    assert "has a timer running already: Carrying on" in answer.content.decode()
    time_machine.move_to(NOW + dt.timedelta(minutes=47), tick=False)
    browser.post(reverse("stop_timer", args=[entry.pk]))
    entry.refresh_from_db()
    assert (entry.minutes, entry.is_running) == (47, False)


def test_a_timer_left_overnight_is_asked_about(commission, time_machine):
    time_machine.move_to(NOW, tick=False)
    browser = signed_in(commission)
    browser.post(url("start_timer", commission), {"kind": "fit"})
    entry = HourEntry.objects.get()
    time_machine.move_to(NOW + dt.timedelta(hours=20), tick=False)
    answer = browser.post(reverse("stop_timer", args=[entry.pk]))
    assert "Say how long the work really took" in answer.content.decode()
    assert HourEntry.objects.get().is_running
    browser.post(reverse("stop_timer", args=[entry.pk]), {"minutes": "6:30"})
    entry.refresh_from_db()
    assert (entry.minutes, entry.ended_at) == (390, NOW + dt.timedelta(minutes=390))


@pytest.mark.parametrize(
    ("typed", "minutes"), [("1:30", 90), ("1h30", 90), ("1.5", 90), ("2 hours", 120), ("45 min", 45), ("0,25", 15)]
)
def test_how_long_is_read_as_people_write_it(browser, commission, typed, minutes):
    form = {"kind": "protect", "minutes": typed, "worked_on": "2026-01-05", "person": commission.maker.pk}
    assert browser.post(url("tell_hours", commission), form).status_code == 302
    assert HourEntry.objects.get().minutes == minutes


@pytest.mark.parametrize(
    ("typed", "words"), [("a while", "no length of time"), ("17:00", "16 hours"), ("0", "1 minute")]
)
def test_how_long_that_cannot_be_is_refused(browser, commission, typed, words):
    form = {"kind": "protect", "minutes": typed, "worked_on": "2026-01-05", "person": commission.maker.pk}
    answer = browser.post(url("tell_hours", commission), form)
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_logged_hours_are_offered_when_the_step_is_finished(browser, commission):
    for kind, minutes in (("carry", 50), ("drive", 40), ("fit", 600)):
        HourEntry.objects.create(
            person=commission.maker, commission=commission, kind=kind, worked_on=NOW.date(), minutes=minutes
        )
    step = commission.steps.get(kind="deliver")
    assert 'value="1.50"' in browser.get(f"/steps/{step.pk}/finish/").content.decode()


def test_a_contract_agreed_at_home_without_notice_is_pointed_out_with_the_caution(browser, commission):
    form = {
        "quote_reference": "Q-17", "price": "8000", "agreed_on": "2026-01-05", "agreed_by_name": "P. Quennell",
        "where_agreed": "home",
    }  # fmt: skip
    assert browser.post(url("record_contract", commission), form).status_code == 302
    assert Contract.objects.get().price_pence == 800_000
    page = browser.get(url("contract", commission)).content.decode()
    assert "no notice of cancellation rights is recorded" in page
    assert "take advice" in page
    form |= {"notice_on": "2026-01-05"}
    browser.post(url("record_contract", commission), form)
    assert "no notice of cancellation rights" not in browser.get(url("contract", commission)).content.decode()


def test_a_variation_is_answered_once(browser, commission):
    form = {"words": "Two more drawers", "price": "-45.50", "days": "-1"}
    browser.post(url("ask_variation", commission), form)
    variation = Variation.objects.get()
    assert (variation.number, variation.price_pence, variation.days) == (1, -4550, -1)
    answer = {"is_agreed": "yes", "name": "P. Quennell", "how": "by mail"}
    assert browser.post(reverse("answer_variation", args=[variation.pk]), answer).status_code == 302
    again = browser.post(reverse("answer_variation", args=[variation.pk]), answer | {"is_agreed": "no"})
    assert again.status_code == 422
    variation.refresh_from_db()
    assert variation.is_agreed is True
    assert "-£45.50" in browser.get(url("contract", commission)).content.decode()


def test_photographs_come_in_and_are_served_to_people_who_are_signed_in(browser, commission):
    files = [SimpleUploadedFile(f"{n}.jpg", picture_bytes()) for n in (1, 2)]
    answer = browser.post(
        url("add_photographs", commission),
        {"pictures": files, "purpose": "room_before", "words": "scuff by the door"},
    )
    assert answer.status_code == 302
    first = Photograph.objects.first()
    assert Photograph.objects.count() == 2
    for name in ("photograph_file", "photograph_small"):
        served = browser.get(reverse(name, args=[first.pk]))
        assert (served["Content-Type"], served["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
        assert served["Cache-Control"] == "private, max-age=3600"
        assert b"".join(served.streaming_content).startswith(b"\xff\xd8\xff")
        assert Browser().get(reverse(name, args=[first.pk])).status_code == 302
    page = browser.get(url("photographs", commission)).content.decode()
    assert page.count('alt="scuff by the door"') == 2


def test_what_is_no_picture_keeps_all_of_them_out(browser, commission):
    files = [SimpleUploadedFile("a.jpg", picture_bytes()), SimpleUploadedFile("b.jpg", b"<script>alert(1)</script>")]
    answer = browser.post(url("add_photographs", commission), {"pictures": files, "purpose": "work"})
    assert answer.status_code == 422
    assert "“b.jpg”: It is no picture that can be read" in answer.content.decode()
    assert not Photograph.objects.exists()


def test_a_photograph_whose_file_is_gone_is_not_found(browser, commission):
    gone = Photograph.objects.create(
        commission=commission, file="x.jpg", small="y.jpg", sha256="0", width_px=4, height_px=3, added_at=NOW
    )
    assert browser.get(reverse("photograph_file", args=[gone.pk])).status_code == 404


def test_drawings_in_versions_and_an_approval(browser, commission):
    pdf = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n"
    for note, data in (("", pdf), ("deeper", pdf + b"%%EOF\n")):
        form = {"title": "Elevations", "file": SimpleUploadedFile("e.pdf", data), "note": note}
        assert browser.post(url("add_drawing", commission), form).status_code == 302
    new, old = DrawingVersion.objects.order_by("-version")
    assert (new.version, old.version) == (2, 1)
    served = browser.get(reverse("drawing_file", args=[old.pk]))
    assert served["Content-Disposition"].startswith("attachment")
    assert b"".join(served.streaming_content) == pdf
    assert browser.post(reverse("approve_drawing", args=[old.pk]), {"name": "P. Quennell"}).status_code == 422
    assert browser.post(reverse("approve_drawing", args=[new.pk]), {"name": "P. Quennell"}).status_code == 302
    new.refresh_from_db()
    assert (new.approved_by_name, new.approved_sha256) == ("P. Quennell", new.sha256)


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"MZ\x90", "neither PDF nor PNG"), (b"%PDF-1.7 cut", "breaks off"), (b"", "neither PDF nor PNG")],
)
def test_what_is_no_drawing_is_refused(browser, commission, data, words):
    form = {"title": "Elevations", "file": SimpleUploadedFile("e.pdf", data)}
    answer = browser.post(url("add_drawing", commission), form)
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_keys_come_are_handed_on_and_go_home(browser, commission):
    form = {"tag": "k-27", "count": "2", "received_from": "W. Marchbanks", "holder": commission.maker.pk,
            "at": "2026-01-05T09:00"}  # fmt: skip
    assert browser.post(url("take_keys", commission), form).status_code == 302
    key = ClientKey.objects.get()
    assert (key.tag, key.receipts.count()) == ("K-27", 1)
    assert "K-27 with Robin Thorn" in browser.get(commission.get_absolute_url()).content.decode()
    same = browser.post(reverse("hand_on_keys", args=[key.pk]), {"holder": commission.maker.pk})
    assert same.status_code == 422
    browser.post(reverse("give_back_keys", args=[key.pk]), {"returned_to": "P. Quennell", "at": "2026-01-07T16:00"})
    page = browser.get(url("client_keys", commission)).content.decode()
    assert "from Robin Thorn to P. Quennell" in page


@pytest.mark.parametrize("tag", ["Tannery Lane", "7 Tannery", "A-7", "QUENNELL", "K", "K-12345"])
def test_a_tag_that_says_where_is_refused(browser, commission, tag):
    form = {"tag": tag, "count": "1", "received_from": "W", "holder": commission.maker.pk, "at": "2026-01-05T09:00"}
    answer = browser.post(url("take_keys", commission), form)
    assert answer.status_code == 422
    assert not ClientKey.objects.exists()


def test_a_snag_from_seen_to_agreed(browser, commission):
    form = {"place": "Door 3", "words": "rubs at the top", "cause": "movement", "seen_on": "2026-01-05"}
    assert browser.post(url("note_snag", commission), form).status_code == 302
    snag = Snag.objects.get()
    assert browser.post(reverse("agree_snag", args=[snag.pk]), {"agreed_by": "P"}).status_code == 422
    browser.post(reverse("finish_snag", args=[snag.pk]), {"photograph": ""})
    browser.post(reverse("agree_snag", args=[snag.pk]), {"agreed_by": "P. Quennell"})
    snag.refresh_from_db()
    assert (snag.done_at is not None, snag.agreed_by) == (True, "P. Quennell")
    browser.post(reverse("reopen_snag", args=[snag.pk]))
    snag.refresh_from_db()
    assert (snag.done_at, snag.agreed_at, snag.agreed_by) == (None, None, "")
    assert "from half a metre (0.5 m)" in browser.get(url("snags", commission)).content.decode()


def test_kit_is_joined_counted_and_ticked(browser, commission):
    kit_list = KitList.objects.create(name="Fitting tools")
    for words in ("Drill", "Level"):
        KitListItem.objects.create(kit_list=kit_list, words=words)
    LoadItem.objects.create(commission=commission, words="drill", needed=2, in_hand=1, kind="tool")
    browser.post(reverse("take_kit_list", args=[commission.number, kit_list.pk]))
    assert list(LoadItem.objects.values_list("words", "needed").order_by("words")) == [("Level", 1), ("drill", 2)]
    short = LoadItem.objects.get(words="drill")
    answer = browser.post(reverse("tick_loaded", args=[short.pk]), follow=True)
    assert "drill: 1 of 2 are here" in answer.content.decode()
    browser.post(
        reverse("edit_load_item", args=[short.pk]), {"words": "drill", "kind": "tool", "needed": 2, "in_hand": 2}
    )
    browser.post(reverse("tick_loaded", args=[short.pk]))
    short.refresh_from_db()
    assert (short.loaded_at is not None, short.loaded_by) == (True, commission.maker)


def test_parking_says_by_when_to_apply(browser, commission):
    rule = ParkingRule.objects.create(council="Ashdown", zone="B", notice_working_days=10, checked_on=NOW.date())
    browser.post(url("plan_parking", commission), {"rule": rule.pk, "day": "2027-04-14"})
    page = browser.get(url("parking", commission)).content.decode()
    # By hand: twelve working days before Wednesday 14 April 2027, over Easter (26 and 29 March are bank holidays).
    assert "Thu 25 Mar 2027" in page
