"""Every sheet: its page, its forms, wrong method, signed out, bad input kept and said."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client as Browser
from django.urls import reverse

from jobs.models import (
    ClientKey,
    Consignment,
    ConsignmentItem,
    DrawingVersion,
    HourEntry,
    KitList,
    KitListItem,
    LoadItem,
    ParkingPlan,
    ParkingRule,
    Photograph,
    Receipt,
    Room,
    Snag,
    StagePayment,
    Step,
    Subcontractor,
    Variation,
)
from tests.factories import NOW, make_helper
from tests.jobs.views.sheets_cast import BACKEND, a_commission, signed_in

pytestmark = pytest.mark.django_db

PAGES = [
    "consignments", "hours", "money", "contract", "kit", "snags", "photographs", "drawings", "parking", "client_keys",
]  # fmt: skip
FORMS = [
    "new_consignment", "tell_hours", "agree_stage_payments", "add_stage_payment", "record_contract", "ask_variation",
    "add_load_item", "note_snag", "add_photographs", "add_drawing", "plan_parking", "take_keys",
]  # fmt: skip


@pytest.fixture
def commission(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return a_commission()


@pytest.fixture
def browser(commission):
    return signed_in(commission)


def url(name, commission):
    return reverse(name, args=[commission.number])


@pytest.mark.parametrize("name", PAGES)
def test_each_sheet_is_linked_from_the_commission_and_names_it(browser, commission, name):
    assert f'href="{url(name, commission)}"' in browser.get(commission.get_absolute_url()).content.decode()
    page = browser.get(url(name, commission))
    assert page.status_code == 200
    assert f'<a href="{commission.get_absolute_url()}">{commission}</a>' in page.content.decode()


@pytest.mark.parametrize("name", FORMS)
def test_each_form_is_shown_and_comes_back_when_it_is_empty(browser, commission, name):
    assert browser.get(url(name, commission)).status_code == 200
    answer = browser.post(url(name, commission), {"nothing": "typed"})
    assert answer.status_code == 422
    assert "Nothing was saved yet" in answer.content.decode()


@pytest.mark.parametrize("name", [*PAGES, *FORMS])
def test_signed_out_means_the_login_page(commission, name):
    answer = Browser().get(url(name, commission))
    assert (answer.status_code, answer.url) == (302, f"/account/login/?next={url(name, commission)}")


@pytest.mark.parametrize("name", [*PAGES, *FORMS])
def test_a_commission_that_is_none_is_not_found(browser, name):
    assert browser.get(reverse(name, args=[99999])).status_code == 404


def furnish(commission, number):
    """One row of everything; `number` tells the rows apart."""
    room = Room.objects.create(commission=commission, name=f"Room {number}")
    shop, _ = Subcontractor.objects.get_or_create(name="Harrow Spray Shop")
    consignment = Consignment.objects.create(
        commission=commission, subcontractor=shop, number=number, sent_at=NOW, promised_on=dt.date(2027, 3, 24)
    )
    ConsignmentItem.objects.create(consignment=consignment, words="Door", count=2)
    HourEntry.objects.create(
        person=commission.maker, commission=commission, kind="wrap", worked_on=NOW.date(), minutes=30
    )
    payment = StagePayment.objects.create(
        commission=commission, event="other", words=f"Part {number}", amount_pence=9
    )
    Receipt.objects.create(stage_payment=payment, amount_pence=5, received_on=NOW.date())
    LoadItem.objects.create(commission=commission, words=f"Pins {number}", needed=4, in_hand=1)
    picture = Photograph.objects.create(
        commission=commission,
        room=room,
        file="x.jpg",
        small="y.jpg",
        sha256="0",
        width_px=4,
        height_px=3,
        added_at=NOW,
    )
    Snag.objects.create(
        commission=commission, room=room, place="Door", words="rubs", photograph=picture, person=commission.maker,
        seen_on=NOW.date(),
    )  # fmt: skip
    DrawingVersion.objects.create(
        commission=commission, title="Plan", version=number, file="z.pdf", media_type="application/pdf", sha256="1",
        added_at=NOW, added_by=commission.maker,
    )  # fmt: skip
    Variation.objects.create(commission=commission, number=number, words="A shelf", price_pence=100, asked_at=NOW)
    rule, _ = ParkingRule.objects.get_or_create(council="Ashdown", notice_working_days=5, checked_on=NOW.date())
    ParkingPlan.objects.create(commission=commission, rule=rule, day=NOW.date() + dt.timedelta(days=30 + number))
    key = ClientKey.objects.create(
        commission=commission, tag=f"K-{number}", received_at=NOW, received_from="A", holder=commission.maker
    )
    key.receipts.create(at=NOW, given_by="A", taken_by="B")
    kit_list = KitList.objects.create(name=f"List {number}")
    KitListItem.objects.create(kit_list=kit_list, words="Drill")


# Five queries are the same on every page: session, person, workshop, commission, and who the client is.
COUNTS = {
    "consignments": 7, "hours": 17, "money": 8, "contract": 6, "kit": 14, "snags": 5, "photographs": 5, "drawings": 5,
    "parking": 6, "client_keys": 6,
}  # fmt: skip


@pytest.mark.parametrize("rows", [1, 3])
@pytest.mark.parametrize("name", PAGES)
def test_each_sheet_takes_the_same_queries_whatever_its_length(
    browser, commission, name, rows, django_assert_num_queries
):
    for number in range(1, rows + 1):
        furnish(commission, number)
    with django_assert_num_queries(COUNTS[name]):
        browser.get(url(name, commission))


@pytest.mark.parametrize(
    ("rows", "name"), [(1, "kit_lists"), (3, "kit_lists"), (1, "parking_rules"), (1, "all_hours")]
)
def test_the_workshops_own_pages(browser, commission, rows, name, django_assert_num_queries):
    for number in range(1, rows + 1):
        furnish(commission, number)
    counts = {"kit_lists": 5, "parking_rules": 4, "all_hours": 10}
    with django_assert_num_queries(counts[name]):
        assert browser.get(reverse(name)).status_code == 200


def test_the_commission_page_takes_the_same_queries_whatever_its_sheets_hold(
    browser, commission, django_assert_max_num_queries
):
    furnish(commission, 1)
    with django_assert_max_num_queries(80) as first:
        browser.get(commission.get_absolute_url())
    furnish(commission, 2)
    furnish(commission, 3)
    with django_assert_max_num_queries(80) as second:
        browser.get(commission.get_absolute_url())
    assert len(first) == len(second)


BUTTONS = [
    "use_turnaround", "tick_loaded", "untick_loaded", "remove_load_item", "remove_hours", "remove_stage_payment",
    "remove_receipt", "reopen_snag", "remove_photograph", "remove_parking", "remove_consignment_item",
    "remove_kit_list_item",
]  # fmt: skip


@pytest.mark.parametrize("name", BUTTONS)
def test_a_button_does_nothing_when_it_is_only_looked_at(browser, commission, name):
    furnish(commission, 1)
    models = {
        "use_turnaround": Step, "tick_loaded": LoadItem, "untick_loaded": LoadItem, "remove_load_item": LoadItem,
        "remove_hours": HourEntry, "remove_stage_payment": StagePayment, "remove_receipt": Receipt,
        "reopen_snag": Snag, "remove_photograph": Photograph, "remove_parking": ParkingPlan,
        "remove_consignment_item": ConsignmentItem, "remove_kit_list_item": KitListItem,
    }  # fmt: skip
    model = models[name]
    before = list(model.objects.values())
    assert browser.get(reverse(name, args=[model.objects.latest("pk").pk])).status_code == 404
    assert list(model.objects.values()) == before


def test_a_helper_notes_their_own_hours_and_nobody_elses(commission):
    helper = make_helper(email="helper@example.org")
    browser = Browser()
    browser.force_login(helper, backend=BACKEND)
    form = {"kind": "load", "minutes": "30 min", "worked_on": "2026-01-05", "person": commission.maker.pk}
    assert browser.post(url("tell_hours", commission), form).status_code == 422
    assert browser.post(url("tell_hours", commission), form | {"person": helper.pk}).status_code == 302
    others = HourEntry.objects.create(
        person=commission.maker, commission=commission, kind="wrap", worked_on=NOW.date(), minutes=9
    )
    assert browser.post(reverse("remove_hours", args=[others.pk])).status_code == 404
    assert HourEntry.objects.count() == 2
    page = browser.get(url("hours", commission)).content.decode()
    assert f'href="{commission.get_absolute_url()}"' not in page


def test_a_helper_sees_nothing_of_money(commission):
    helper = make_helper(email="helper@example.org")
    browser = Browser()
    browser.force_login(helper, backend=BACKEND)
    for name in ("money", "contract", "agree_stage_payments", "ask_variation"):
        assert browser.get(url(name, commission)).status_code == 403
