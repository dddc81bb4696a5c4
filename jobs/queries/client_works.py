"""Drawings, photographs, payments and snags as a client reads them: no cause, no cost of ours, no other name."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from jobs.models import Commission, DrawingVersion, Photograph, Snag, StepKind, Workshop
from jobs.queries.client_page import Ask
from jobs.queries.money_page import payment_rows
from jobs.queries.workshop import the_workshop
from jobs.words import day_in_words, money_in_words, time_in_words


@dataclass(frozen=True)
class DrawingRow:
    drawing: DrawingVersion
    approved: str
    is_picture: bool


def shown_drawings(commission: Commission) -> list[DrawingVersion]:
    """The latest version of each drawing, and every version that was approved. One query."""
    every = list(commission.drawings.select_related("commission").order_by("title", "-version"))
    latest = {drawing.title: drawing.pk for drawing in reversed(every)}
    return [one for one in every if latest[one.title] == one.pk or one.approved_at is not None]


def drawings_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    shown = shown_drawings(commission)
    if not shown:
        return {}
    workshop = _workshop()
    rows = [DrawingRow(one, _approved(one, workshop), one.media_type.startswith("image/")) for one in shown]
    latest = {one.title: one for one in reversed(shown)}
    promised = commission.steps.filter(kind=StepKind.APPROVAL).values_list("promised_on", flat=True).first()
    by = promised if promised and promised >= workshop.local_day(now) else None
    asks = [
        Ask(f"Look at a drawing and approve it: {one}", reverse("client_approve", args=[one.pk]), by)
        for one in latest.values()
        if one.approved_at is None
    ]
    return {"drawings": rows, "asks": asks}


def _approved(drawing: DrawingVersion, workshop: Workshop) -> str:
    if drawing.approved_at is None:
        return ""
    local = workshop.local(drawing.approved_at)
    when = f"{day_in_words(local.date())} at {time_in_words(local.time())}"
    return f"Approved by {drawing.approved_by_name} on {when}"


def photographs_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Only those the workshop chose to show."""
    shown = shown_photographs(commission)
    return {"photographs": shown} if shown else {}


def shown_photographs(commission: Commission) -> list[Photograph]:
    return list(commission.photographs.filter(is_shown_to_client=True).order_by("taken_at", "pk"))


@dataclass(frozen=True)
class PaymentLine:
    words: str
    amount: str
    state: str
    is_due: bool


def payments_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Each payment agreed, what has come in, and what is due."""
    workshop = _workshop()
    rows = payment_rows(commission, commission.steps.all(), workshop.local_day(now))
    if not rows:
        return {}
    lines, asks = [], []
    for row in rows:
        open_due = row.is_due and row.open_pence > 0
        lines.append(
            PaymentLine(
                str(row.payment),
                money_in_words(row.payment.amount_pence),
                _payment_state(row.received_pence, row.open_pence, row.is_due, row.payment.due_on),
                open_due,
            )
        )
        if open_due:
            asks.append(Ask(f"Pay {money_in_words(row.open_pence)}: {row.payment}", "#payments"))
    return {"payments": lines, "asks": asks}


def _payment_state(received_pence: int, open_pence: int, is_due: bool, due_on: dt.date | None) -> str:
    if open_pence <= 0:
        return "Received, thank you"
    said = f"{money_in_words(received_pence)} received, " if received_pence else ""
    if is_due:
        said += f"{money_in_words(open_pence)} due{f' since {day_in_words(due_on)}' if due_on else ' now'}"
    elif due_on is not None:
        said += f"due on {day_in_words(due_on)}"
    else:
        said += "not due yet"
    return said[:1].upper() + said[1:]


@dataclass(frozen=True)
class SnagRow:
    snag: Snag
    state: str
    may_agree: bool


def snags_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    snags = list(commission.snags.all())
    if not snags:
        return {}
    workshop = _workshop()
    rows = [SnagRow(one, _snag_state(one, workshop), bool(one.done_at and not one.agreed_at)) for one in snags]
    asks = [Ask(f"Look whether this is right now: {row.snag}", "#snags") for row in rows if row.may_agree]
    return {"snags": rows, "asks": asks}


def _snag_state(snag: Snag, workshop: Workshop) -> str:
    if snag.agreed_at is not None:
        return f"Put right; you agreed on {day_in_words(workshop.local_day(snag.agreed_at))}"
    if snag.done_at is not None:
        return f"Put right on {day_in_words(workshop.local_day(snag.done_at))}"
    if snag.due_on is not None:
        return f"We put it right by {day_in_words(snag.due_on)}"
    return "We know of it"


def _workshop() -> Workshop:
    workshop = the_workshop()
    assert workshop is not None  # no page of a commission without a workshop
    return workshop
