"""Stage payments and what came in for them. Every amount is whole pence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db import transaction
from django.db.models import Sum

from jobs.domain.daybook import write_line
from jobs.models import Commission, Person, Receipt, StagePayment
from jobs.money import LARGEST_PENCE, split_pence
from jobs.refusal import Refusal
from jobs.words import money_in_words

# event, percent, what waits for it. Deposit, delivery, completion is how makers commonly split; the shares are
# common practice, no source: each commission sets its own.
USUAL_SHARES: list[tuple[str, int, str]] = [
    ("deposit", 50, "ordering"),
    ("delivery", 40, "delivery"),
    ("handover", 10, ""),
]


@transaction.atomic
def agree_stage_payments(
    *,
    commission: Commission,
    total_pence: int,
    shares: Sequence[tuple[str, int, str]],
    now: dt.datetime,
    actor: Person | None,
) -> list[StagePayment]:
    """Split a price into stage payments by whole percents; the parts come to the price, to the penny. A share of 0
    is left out. Refused where there are stage payments already: change those."""
    if commission.stage_payments.exists():
        raise Refusal("", "Stage payments are agreed already: change those, or take them out first.")
    if not 0 < total_pence <= LARGEST_PENCE:
        raise Refusal("price", "Price: give the amount agreed, more than nothing.")
    try:
        parts = split_pence(total_pence, [percent for _, percent, _ in shares])
    except ValueError as fault:
        raise Refusal("", str(fault)) from fault
    rows = [
        StagePayment(commission=commission, event=event, amount_pence=part, holds=holds)
        for (event, _, holds), part in zip(shares, parts, strict=True)
        if part
    ]
    StagePayment.objects.bulk_create(rows)
    write_line(
        act="agree_stage_payments",
        now=now,
        actor=actor,
        commission=commission,
        pence=[row.amount_pence for row in rows],
    )
    return rows


@transaction.atomic
def save_stage_payment(*, payment: StagePayment, now: dt.datetime, actor: Person | None) -> StagePayment:
    if not 0 < payment.amount_pence <= LARGEST_PENCE:
        raise Refusal("amount", "Amount: give what is to be paid, more than nothing.")
    received = received_pence(payment) if payment.pk else 0
    if payment.amount_pence < received:
        raise Refusal("amount", f"Amount: {money_in_words(received)} has been received for it already; give no less.")
    payment.save()
    write_line(
        act="save_stage_payment",
        now=now,
        actor=actor,
        commission=payment.commission,
        payment=payment.pk,
        pence=payment.amount_pence,
    )
    return payment


@transaction.atomic
def remove_stage_payment(*, payment: StagePayment, now: dt.datetime, actor: Person | None) -> None:
    if payment.receipts.exists():
        raise Refusal("", f"Money was received for “{payment}”; take that out first.")
    write_line(
        act="remove_stage_payment",
        now=now,
        actor=actor,
        commission=payment.commission,
        payment=payment.pk,
        pence=payment.amount_pence,
    )
    payment.delete()


def received_pence(payment: StagePayment) -> int:
    return payment.receipts.aggregate(sum=Sum("amount_pence"))["sum"] or 0


@transaction.atomic
def note_receipt(
    *,
    payment: StagePayment,
    amount_pence: int,
    received_on: dt.date,
    cleared_on: dt.date | None,
    evidence: str,
    today: dt.date,
    now: dt.datetime,
    actor: Person | None,
) -> Receipt:
    """Money came in. It opens a gate only once it has cleared."""
    StagePayment.objects.select_for_update().get(pk=payment.pk)
    if amount_pence <= 0:
        raise Refusal("amount", "Amount: give what came in, more than nothing.")
    if received_on > today:
        raise Refusal("received_on", "Received on: that lies in the future; give today or an earlier day.")
    _check_cleared(cleared_on, received_on, today)
    wanting = payment.amount_pence - received_pence(payment)
    if amount_pence > wanting:
        raise Refusal(
            "amount",
            f"Amount: only {money_in_words(wanting)} of “{payment}” is open; note what is over on another payment.",
        )
    receipt = Receipt.objects.create(
        stage_payment=payment,
        amount_pence=amount_pence,
        received_on=received_on,
        cleared_on=cleared_on,
        evidence=evidence.strip(),
    )
    write_line(
        act="note_receipt", now=now, actor=actor, commission=payment.commission, payment=payment.pk,
        receipt=receipt.pk, pence=amount_pence,
    )  # fmt: skip
    return receipt


def _check_cleared(cleared_on: dt.date | None, received_on: dt.date, today: dt.date) -> None:
    if cleared_on is None:
        return
    if cleared_on > today:
        raise Refusal("cleared_on", "Cleared on: that lies in the future; leave it blank until the bank shows it.")
    if cleared_on < received_on:
        raise Refusal("cleared_on", "Cleared on: money cannot clear before it is received; correct one of the days.")


@transaction.atomic
def note_cleared(
    *, receipt: Receipt, cleared_on: dt.date, today: dt.date, now: dt.datetime, actor: Person | None
) -> None:
    _check_cleared(cleared_on, receipt.received_on, today)
    if not Receipt.objects.filter(pk=receipt.pk, cleared_on__isnull=True).update(cleared_on=cleared_on):
        raise Refusal("", "This money has cleared already; nothing was changed.")
    write_line(
        act="note_cleared", now=now, actor=actor, commission=receipt.stage_payment.commission, receipt=receipt.pk
    )


@transaction.atomic
def remove_receipt(*, receipt: Receipt, now: dt.datetime, actor: Person | None) -> None:
    """It bounced, or was noted in the wrong place."""
    write_line(
        act="remove_receipt",
        now=now,
        actor=actor,
        commission=receipt.stage_payment.commission,
        receipt=receipt.pk,
        pence=receipt.amount_pence,
    )
    receipt.delete()
