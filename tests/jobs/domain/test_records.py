"""Payments, drawings, photographs, contracts: what the screens' tests do not reach."""

from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.domain import payments
from jobs.domain.contracts import answer_variation, ask_variation, record_contract
from jobs.domain.drawings import add_drawing, approve_drawing
from jobs.domain.erasing_sheets import forget_sheets
from jobs.domain.keys import hand_on_keys, take_keys
from jobs.domain.photographs import add_photographs, erase_photographs, remove_photograph
from jobs.models import ClientKey, Contract, DaybookLine, DrawingVersion, Photograph, StagePayment, Variation
from jobs.queries.money_page import money_page, payment_rows
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_commission, make_helper, make_maker, make_workshop
from tests.jobs.views.sheets_cast import picture_bytes

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\nfirst\n%%EOF\n"


@pytest.fixture
def shop(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_workshop()


@pytest.fixture
def commission(shop):
    return make_commission(maker=make_maker())


def receive(payment, pence, cleared=True):
    return payments.note_receipt(
        payment=payment, amount_pence=pence, received_on=TODAY, cleared_on=TODAY if cleared else None, evidence="",
        today=TODAY, now=NOW, actor=None,
    )  # fmt: skip


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.integers(3, 10**9),
    st.integers(0, 100).flatmap(lambda a: st.tuples(st.just(a), st.integers(0, 100 - a))),
    st.lists(st.tuples(st.integers(0, 2), st.integers(1, 10**9), st.booleans()), max_size=8),
)
def test_whatever_comes_in_no_penny_is_lost(commission, shop, total, shares, receipts):
    StagePayment.objects.all().delete()
    percents = [*shares, 100 - sum(shares)]
    chosen = [
        (event, percent, "") for event, percent in zip(("deposit", "delivery", "handover"), percents, strict=True)
    ]
    rows = payments.agree_stage_payments(commission=commission, total_pence=total, shares=chosen, now=NOW, actor=None)
    taken = {row.pk: 0 for row in rows}
    for place, pence, cleared in receipts:
        payment = StagePayment.objects.order_by("pk")[place % len(rows)]
        try:
            receive(payment, pence, cleared)
            taken[payment.pk] += pence
        except Refusal:
            assert taken[payment.pk] + pence > payment.amount_pence
    page = money_page(commission, shop, NOW)
    assert page["agreed_pence"] == page["price_pence"] == total
    assert page["received_pence"] == sum(taken.values())
    shown = page["rows"]
    assert sum(row.received_pence + row.open_pence for row in shown) == total
    assert all(row.open_pence >= 0 for row in shown)


def test_an_event_or_a_day_makes_a_payment_due(commission):
    by_event = StagePayment.objects.create(commission=commission, event="deposit", amount_pence=100)
    by_day = StagePayment.objects.create(commission=commission, event="other", amount_pence=200, due_on=TODAY)
    assert [row.is_due for row in payment_rows(commission, commission.steps.all(), TODAY - dt.timedelta(days=1))] == [
        False,
        False,
    ]
    commission.steps.filter(kind="approval").update(started_at=NOW, finished_at=NOW)
    due = {row.payment: row.is_late for row in payment_rows(commission, commission.steps.all(), TODAY)}
    assert due == {by_event: True, by_day: True}
    receive(by_day, 200, cleared=False)
    due = {row.payment: row.is_late for row in payment_rows(commission, commission.steps.all(), TODAY)}
    assert due == {by_event: True, by_day: False}


def test_exposure_is_the_worked_share_less_what_has_cleared(commission, shop):
    payment = StagePayment.objects.create(commission=commission, event="deposit", amount_pence=100_000)
    commission.steps.update(allowance_hours=0)
    commission.steps.filter(kind="doors").update(allowance_hours=30, started_at=NOW, finished_at=NOW)
    commission.steps.filter(kind="fit").update(allowance_hours=10)
    receive(payment, 20_000)
    found = money_page(commission, shop, NOW)["exposure"]
    # By hand: 30 of 40 hours of £1,000 are £750, less £200 that have cleared.
    assert (found.worked_pence, found.exposed_pence) == (75_000, 55_000)


@pytest.mark.parametrize(
    ("pence", "received", "cleared", "field"),
    [
        (101, TODAY, None, "amount"),
        (0, TODAY, None, "amount"),
        (5, TODAY + dt.timedelta(days=1), None, "received_on"),
        (5, TODAY, TODAY - dt.timedelta(days=1), "cleared_on"),
        (5, TODAY, TODAY + dt.timedelta(days=1), "cleared_on"),
    ],
)
def test_money_that_cannot_have_come_in_is_refused(commission, pence, received, cleared, field):
    payment = StagePayment.objects.create(commission=commission, event="deposit", amount_pence=100)
    with pytest.raises(Refusal) as refused:
        payments.note_receipt(
            payment=payment, amount_pence=pence, received_on=received, cleared_on=cleared, evidence="", today=TODAY,
            now=NOW, actor=None,
        )  # fmt: skip
    assert refused.value.field == field
    assert not payment.receipts.exists()


def test_a_payment_with_money_in_it_is_neither_removed_nor_made_smaller(commission):
    payment = StagePayment.objects.create(commission=commission, event="deposit", amount_pence=100)
    receipt = receive(payment, 60)
    with pytest.raises(Refusal, match="take that out first"):
        payments.remove_stage_payment(payment=payment, now=NOW, actor=None)
    payment.amount_pence = 59
    with pytest.raises(Refusal, match="has been received for it already"):
        payments.save_stage_payment(payment=payment, now=NOW, actor=None)
    payments.remove_receipt(receipt=receipt, now=NOW, actor=None)
    payments.remove_stage_payment(payment=payment, now=NOW, actor=None)
    assert not StagePayment.objects.exists()


def draw(commission, data=PDF, title="Elevations"):
    return add_drawing(
        commission=commission, title=title, note="", name="e.pdf", data=data, now=NOW, actor=commission.maker
    )


def test_an_approval_freezes_name_instant_and_the_hash_of_the_file(commission):
    drawing = draw(commission)
    approve_drawing(drawing=drawing, name="  P. Quennell ", now=NOW, actor=None)
    kept = DrawingVersion.objects.get()
    digest = hashlib.sha256(PDF).hexdigest()
    assert (kept.approved_by_name, kept.approved_at, kept.approved_sha256) == ("P. Quennell", NOW, digest)
    line = DaybookLine.objects.get(act="approve_drawing")
    assert line.facts["sha256"] == digest
    assert "Quennell" not in str(line.facts)
    with pytest.raises(Refusal, match="approved already"):
        approve_drawing(drawing=kept, name="Somebody", now=NOW, actor=None)


def test_a_file_that_was_exchanged_on_disk_is_not_approved(commission):
    drawing = draw(commission)
    Path(drawing.file.path).chmod(0o600)
    Path(drawing.file.path).write_bytes(PDF + b"another price")
    with pytest.raises(Refusal, match="not the one that was uploaded"):
        approve_drawing(drawing=drawing, name="P", now=NOW, actor=None)


def test_the_same_file_twice_is_no_new_version_and_leaves_no_file(commission, tmp_path):
    draw(commission)
    with pytest.raises(Refusal, match="here already, to the byte"):
        draw(commission)
    assert len(list(tmp_path.rglob("*.pdf"))) == 1
    assert draw(commission, title="Plan").version == 1


def test_a_png_drawing_loses_what_it_says_beside_the_picture(commission):
    drawing = draw(commission, picture_bytes("PNG"))
    assert drawing.media_type == "image/png"
    with drawing.file.open("rb") as stored:
        assert hashlib.sha256(stored.read()).hexdigest() == drawing.sha256


def photograph(commission, count=1):
    return add_photographs(
        commission=commission, files=[(f"{n}.jpg", picture_bytes()) for n in range(count)], purpose="work", words="",
        room=None, zone=dt.UTC, now=NOW, actor=commission.maker,
    )  # fmt: skip


def test_files_lie_under_names_that_say_nothing_and_belong_to_the_program_alone(commission):
    kept = photograph(commission)[0]
    name = Path(kept.file.path)
    assert len(name.stem) == 32 and name.stem.isalnum()
    assert name.stat().st_mode & 0o777 == 0o600
    assert hashlib.sha256(name.read_bytes()).hexdigest() == kept.sha256


def test_eleven_at_once_are_refused(commission):
    with pytest.raises(Refusal, match="10 at a time"):
        photograph(commission, 11)


def test_removed_and_forgotten_photographs_leave_no_file(commission, tmp_path, django_capture_on_commit_callbacks):
    first, second = photograph(commission, 2)
    with django_capture_on_commit_callbacks(execute=True):
        remove_photograph(photograph=first, now=NOW, actor=None)
    assert len(list(tmp_path.rglob("*.jpg"))) == 2
    with django_capture_on_commit_callbacks(execute=True):
        erase_photographs(commission.client_id, NOW)
    assert not Photograph.objects.exists()
    assert not list(tmp_path.rglob("*.jpg"))
    assert second.pk


def test_a_row_that_cannot_be_kept_leaves_no_file(commission, tmp_path, monkeypatch):
    def fail(**facts):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr("jobs.domain.photographs.write_line", fail)
    with pytest.raises(RuntimeError):
        photograph(commission)
    assert not Photograph.objects.exists()
    assert not list(tmp_path.rglob("*.jpg"))


def test_the_contract_keeps_the_hash_of_the_drawing_it_names(commission):
    drawing = draw(commission)
    contract = Contract(
        commission=commission, quote_reference="Q-1", price_pence=500_000, drawing=drawing, agreed_on=TODAY,
        agreed_by_name="P", where_agreed="workshop",
    )  # fmt: skip
    record_contract(contract=contract, today=TODAY, now=NOW, actor=None)
    assert Contract.objects.get().drawing_sha256 == drawing.sha256
    assert not contract.lacks_notice


@pytest.mark.parametrize(("where", "lacks"), [("home", True), ("distance", True), ("workshop", False)])
def test_where_it_was_agreed_decides_whether_the_notice_is_missed(where, lacks):
    assert Contract(where_agreed=where).lacks_notice is lacks


def test_only_an_agreed_variation_changes_the_price(commission, shop):
    Contract.objects.create(
        commission=commission, quote_reference="Q", price_pence=1000, agreed_on=TODAY, agreed_by_name="P",
        where_agreed="home",
    )  # fmt: skip
    ask = {"commission": commission, "days": 1, "now": NOW, "actor": None}
    yes = ask_variation(words="a shelf", price_pence=250, **ask)
    no = ask_variation(words="a drawer", price_pence=900, **ask)
    for one, is_agreed in ((yes, True), (no, False)):
        answer_variation(variation=one, is_agreed=is_agreed, name="P", how="", now=NOW, actor=None)
    ask_variation(words="a lamp", price_pence=77, **ask)
    assert money_page(commission, shop, NOW)["price_pence"] == 1250


def test_a_tag_in_use_waits_until_its_keys_have_gone_home(commission):
    keys = {"commission": commission, "tag": "K-27", "count": 1, "received_from": "P", "holder": commission.maker}
    key = take_keys(at=NOW, now=NOW, actor=None, **keys)
    with pytest.raises(Refusal, match="still with us"):
        take_keys(at=NOW, now=NOW, actor=None, **keys)
    helper = make_helper()
    hand_on_keys(key=key, holder=helper, now=NOW, actor=None)
    key.refresh_from_db()
    assert key.holder == helper
    assert list(key.receipts.values_list("given_by", "taken_by")) == [
        ("P", "Robin Thorn"),
        ("Robin Thorn", "Sam Ashby"),
    ]
    assert "K-27" not in str(list(DaybookLine.objects.values_list("facts")))


def test_storage_is_the_tests_own(commission, tmp_path):
    name = default_storage.save("x.txt", ContentFile(b"x"))
    assert (tmp_path / name).exists()


def test_a_forgotten_client_leaves_prices_and_dates_but_no_names(commission):
    key = take_keys(
        commission=commission, tag="K-27", count=1, received_from="Priscilla Quennell", holder=commission.maker,
        at=NOW, now=NOW, actor=None,
    )  # fmt: skip
    drawing = approve_drawing(drawing=draw(commission), name="Priscilla Quennell", now=NOW, actor=None)
    Contract.objects.create(
        commission=commission, quote_reference="Q", price_pence=1000, agreed_on=TODAY,
        agreed_by_name="Priscilla Quennell", where_agreed="home",
    )  # fmt: skip
    variation = ask_variation(
        commission=commission, words="Quennell's shelf", price_pence=5, days=0, now=NOW, actor=None
    )
    answer_variation(variation=variation, is_agreed=True, name="Priscilla Quennell", how="", now=NOW, actor=None)
    forget_sheets(commission.client_id, NOW)
    rows = [
        *ClientKey.objects.values(), *Contract.objects.values(), *DrawingVersion.objects.values(),
        *Variation.objects.values(),
    ]  # fmt: skip
    assert "Quennell" not in str(rows)
    assert not ClientKey.objects.filter(pk=key.pk).exists()
    assert DrawingVersion.objects.get().approved_sha256 == drawing.sha256
    assert (Contract.objects.get().price_pence, Variation.objects.get().price_pence) == (1000, 5)
