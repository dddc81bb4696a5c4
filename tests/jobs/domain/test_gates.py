from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.gates import holding
from jobs.domain.steps import finish_step, reopen_step, start_step
from jobs.models import DaybookLine, GateOverride, Receipt, StagePayment, StepKind
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission():
    make_workshop()
    return make_commission(maker=make_maker())


def deposit(commission, pence=250_000):
    return StagePayment.objects.create(commission=commission, event="deposit", amount_pence=pence, holds="ordering")


@pytest.mark.parametrize("kind", ["materials", "bought_in"])
def test_nothing_is_ordered_before_the_deposit_has_cleared(commission, kind):
    payment = deposit(commission)
    step = commission.steps.get(kind=kind)
    with pytest.raises(Refusal, match="“Deposit, with the order” has not cleared in full") as refused:
        start_step(step=step, at=NOW, now=NOW, actor=commission.maker)
    assert refused.value.field == "override_reason"
    Receipt.objects.create(stage_payment=payment, amount_pence=250_000, received_on=TODAY)
    with pytest.raises(Refusal, match="has not cleared"):
        start_step(step=step, at=NOW, now=NOW, actor=commission.maker)
    payment.receipts.update(cleared_on=TODAY)
    start_step(step=step, at=NOW, now=NOW, actor=commission.maker)
    step.refresh_from_db()
    assert step.started_at == NOW
    assert not GateOverride.objects.exists()


def test_a_penny_short_still_holds_and_tomorrows_clearing_is_not_today(commission):
    payment = deposit(commission)
    step = commission.steps.get(kind="materials")
    Receipt.objects.create(stage_payment=payment, amount_pence=249_999, received_on=TODAY, cleared_on=TODAY)
    assert holding(step, NOW) == [holding_words()]
    tomorrow = TODAY + dt.timedelta(days=1)
    Receipt.objects.create(stage_payment=payment, amount_pence=1, received_on=TODAY, cleared_on=tomorrow)
    assert len(holding(step, NOW)) == 1
    assert holding(step, NOW + dt.timedelta(days=1)) == []


def test_where_no_amount_is_written_the_deposit_step_holds(commission):
    step = commission.steps.get(kind="bought_in")
    assert holding(step, NOW) == ["“Bought-in parts in” orders things, and the deposit is not recorded as received."]
    commission.steps.filter(kind="deposit").update(started_at=NOW, finished_at=NOW)
    assert holding(step, NOW) == []
    commission.steps.filter(kind="deposit").delete()
    assert holding(step, NOW) == []


@pytest.mark.parametrize("act", [start_step, finish_step])
def test_a_gate_is_passed_openly_with_a_reason_that_is_kept(commission, act):
    deposit(commission)
    step = commission.steps.get(kind="materials")
    with pytest.raises(Refusal):
        act(step=step, at=NOW, now=NOW, actor=commission.maker, override_reason="  ")
    assert not GateOverride.objects.exists()
    act(step=step, at=NOW, now=NOW, actor=commission.maker, override_reason="cheque shown, long lead time")
    kept = GateOverride.objects.get()
    assert (kept.step, kept.person, kept.at) == (step, commission.maker, NOW)
    assert kept.reason == "cheque shown, long lead time"
    assert kept.sentences == holding_words()
    assert "cheque" not in str(list(DaybookLine.objects.values()))


def holding_words():
    return "“Materials in” waits for money: “Deposit, with the order” has not cleared in full."


def test_a_step_that_has_begun_is_finished_without_asking_again(commission):
    deposit(commission)
    step = commission.steps.get(kind="materials")
    start_step(step=step, at=NOW, now=NOW, actor=None, override_reason="asked")
    finish_step(step=step, at=NOW, now=NOW, actor=None)
    assert GateOverride.objects.count() == 1
    reopen_step(step=step, now=NOW, actor=None)
    assert step.finished_at is None


@pytest.mark.parametrize(("holds", "kind"), [("delivery", "deliver"), ("fitting", "fit")])
def test_other_payments_hold_what_they_say_they_hold(commission, holds, kind):
    StagePayment.objects.create(
        commission=commission, event="delivery", words="Second payment", amount_pence=500, holds=holds
    )
    held = {one.kind for one in commission.steps.all() if any("Second payment" in s for s in holding(one, NOW))}
    assert held == {StepKind(kind)}
