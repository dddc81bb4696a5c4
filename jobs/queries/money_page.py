"""Stage payments, what is due, what is in, and how much work stands unpaid."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from jobs.models import EVENT_STEPS, Commission, Contract, StagePayment, Step, Workshop
from jobs.words import short_day


@dataclass(frozen=True)
class PaymentRow:
    payment: StagePayment
    received_pence: int
    cleared_pence: int
    is_due: bool
    when: str

    @property
    def open_pence(self) -> int:
        return self.payment.amount_pence - self.received_pence

    @property
    def is_late(self) -> bool:
        return self.is_due and self.open_pence > 0


@dataclass(frozen=True)
class Exposure:
    """Work done and not paid for: the price times the share of the priced hours whose steps are finished, less what
    has cleared. Materials bought are in the price and not told apart."""

    price_pence: int
    done_minutes: int
    all_minutes: int
    cleared_pence: int

    @property
    def worked_pence(self) -> int:
        return self.price_pence * self.done_minutes // self.all_minutes if self.all_minutes else 0

    @property
    def exposed_pence(self) -> int:
        return max(0, self.worked_pence - self.cleared_pence)


def payment_rows(commission: Commission, steps: Iterable[Step], today: dt.date) -> list[PaymentRow]:
    """Two queries. Due is what its day or its event has made due."""
    done = {step.kind: step.finished_at for step in steps if step.finished_at is not None}
    rows = []
    for payment in commission.stage_payments.prefetch_related("receipts"):
        receipts = list(payment.receipts.all())
        event_over = EVENT_STEPS.get(payment.event) in done
        rows.append(
            PaymentRow(
                payment=payment,
                received_pence=sum(one.amount_pence for one in receipts),
                cleared_pence=sum(
                    one.amount_pence for one in receipts if one.cleared_on is not None and one.cleared_on <= today
                ),
                is_due=event_over or (payment.due_on is not None and payment.due_on <= today),
                when=_when(payment, event_over),
            )
        )
    return rows


def _when(payment: StagePayment, event_over: bool) -> str:
    if event_over:
        return "now"
    return short_day(payment.due_on) if payment.due_on is not None else str(payment.get_event_display())


def price_pence(commission: Commission, rows: Iterable[PaymentRow]) -> int:
    """The contract with its agreed variations; without a contract, the stage payments. Two queries."""
    contract = Contract.objects.filter(commission=commission).first()
    if contract is None:
        return sum(row.payment.amount_pence for row in rows)
    changes = commission.variations.filter(is_agreed=True).values_list("price_pence", flat=True)
    return max(0, contract.price_pence + sum(changes))


def exposure(price: int, steps: Iterable[Step], cleared_pence: int) -> Exposure:
    steps = list(steps)
    return Exposure(
        price_pence=price,
        done_minutes=sum(round(step.allowance_hours * 60) for step in steps if step.finished_at is not None),
        all_minutes=sum(round(step.allowance_hours * 60) for step in steps),
        cleared_pence=cleared_pence,
    )


def money_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    steps = list(commission.steps.all())
    rows = payment_rows(commission, steps, workshop.local_day(now))
    price = price_pence(commission, rows)
    agreed = sum(row.payment.amount_pence for row in rows)
    return {
        "commission": commission,
        "rows": rows,
        "price_pence": price,
        "agreed_pence": agreed,
        "difference_pence": price - agreed if rows else 0,
        "received_pence": sum(row.received_pence for row in rows),
        "due_pence": sum(row.open_pence for row in rows if row.is_due),
        "exposure": exposure(price, steps, sum(row.cleared_pence for row in rows)),
    }
