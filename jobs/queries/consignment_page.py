"""Consignments of a commission, one consignment, and its note."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Sum

from jobs.calendar_days import DayRange, add_working_days
from jobs.models import Commission, Consignment, StepKind, Subcontractor, Workshop
from jobs.queries.consignment_counts import count_items
from jobs.queries.turnaround import turnarounds
from jobs.turnaround import turnaround_of
from jobs.words import day_in_words

ASK_DAYS_BEFORE = 2  # two working days before the promise; common practice, no source


@dataclass(frozen=True)
class ConsignmentRow:
    consignment: Consignment
    pieces: int
    state: str
    ask_on: dt.date | None
    is_late: bool


def consignments_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    consignments = (
        commission.consignments.select_related("subcontractor", "redo_of")
        .prefetch_related("subcontractor__closures")
        .annotate(pieces=Sum("items__count"))
        .order_by("number")
    )
    for one in consignments:
        one.commission = commission
    return {
        "commission": commission,
        "rows": [consignment_row(one, one.pieces or 0, workshop, now) for one in consignments],
        "lead": _lead(commission, workshop),
    }


def consignment_row(consignment: Consignment, pieces: int, workshop: Workshop, now: dt.datetime) -> ConsignmentRow:
    today = workshop.local_day(now)
    is_out = consignment.sent_at is not None and consignment.back_at is None
    promised = consignment.promised_on
    if consignment.sent_at is None:
        state = "being written"
    elif is_out:
        state = "out"
    else:
        state = "back"
    return ConsignmentRow(
        consignment=consignment,
        pieces=pieces,
        state=state,
        ask_on=ask_sprayer_on(consignment.subcontractor, promised, workshop) if is_out and promised else None,
        is_late=is_out and promised is not None and promised < today,
    )


def ask_sprayer_on(subcontractor: Subcontractor, promised_on: dt.date, workshop: Workshop) -> dt.date:
    """The day on which to ask how it stands: two of their own working days before, around their closures. One query,
    none where the closures are prefetched."""
    shut = [DayRange(one.first_day, one.last_day) for one in subcontractor.closures.all()]
    return ask_on(promised_on, workshop, weekdays=subcontractor.weekdays, closures=shut)


def ask_on(
    promised_on: dt.date, workshop: Workshop, *, weekdays: Collection[int], closures: Iterable[DayRange] = ()
) -> dt.date:
    """`ASK_DAYS_BEFORE` days worked on `weekdays` before the promise."""
    return add_working_days(
        promised_on, -ASK_DAYS_BEFORE, nation=workshop.nation, weekdays=weekdays, closures=closures
    )


def _lead(commission: Commission, workshop: Workshop) -> dict[str, Any] | None:
    """What to plan for the sprayer of this commission: the stated days, the median, the worst."""
    step = (
        commission.steps.filter(kind=StepKind.SPRAYER_BACK, started_at__isnull=True)
        .select_related("subcontractor")
        .first()
    )
    if step is None or step.subcontractor is None:
        return None
    found = turnarounds(workshop).get(step.subcontractor.pk, turnaround_of([]))
    days = {"what they state": step.subcontractor.turnaround_days}
    if found.median_days is not None and found.worst_days is not None:
        days |= {"their median": max(1, found.median_days), "their worst": max(1, found.worst_days)}
    offers = [(f"Plan with {count}: {words}", count) for words, count in days.items() if count != step.lead_days]
    return {"step": step, "subcontractor": step.subcontractor, "history": found, "offers": offers}


def consignment_page(consignment: Consignment, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    counts = count_items(consignment)
    pieces = sum(one.item.count for one in counts)
    return {
        "consignment": consignment,
        "commission": consignment.commission,
        "counts": counts,
        "row": consignment_row(consignment, pieces, workshop, now),
        "pieces": pieces,
        "to_redo": sum(one.to_redo for one in counts),
        "has_returns": any(one.good or one.faulty for one in counts),
        "facts": note_facts(consignment, workshop),
        "redos": consignment.redos.all(),
    }


def note_facts(consignment: Consignment, workshop: Workshop) -> list[tuple[str, Any]]:
    sheen = "" if consignment.sheen_percent is None else f"{consignment.sheen_percent} %"
    sent = "" if consignment.sent_at is None else instant_in_words(workshop.local(consignment.sent_at))
    return [
        ("To", consignment.subcontractor.name),
        ("Coating and code", consignment.product),
        ("Colour and reference", consignment.colour),
        ("Sheen", sheen),
        ("Approved sample", consignment.sample),
        ("Batch", consignment.batch),
        ("Sent", sent),
        ("Promised back on", day_in_words(consignment.promised_on) if consignment.promised_on else ""),
        ("Words", consignment.notes),
    ]


def instant_in_words(local: dt.datetime) -> str:
    return f"{day_in_words(local.date())}, {local:%H:%M}"


def note_context(consignment: Consignment, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """The note on paper: nothing of the client, neither name nor address."""
    items = list(consignment.items.all())
    return {
        "consignment": consignment,
        "commission": consignment.commission,
        "workshop": workshop,
        "facts": note_facts(consignment, workshop),
        "items": items,
        "pieces": sum(item.count for item in items),
        "faces": sum(item.count * item.faces for item in items),
        "cups": sum(item.count * item.masked_cups for item in items),
        "drawn_at": consignment.sent_at or now,
    }
