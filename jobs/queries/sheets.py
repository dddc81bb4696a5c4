"""The sheets of a commission: one line each on its page, with what it says at a glance and a link."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, Sum
from django.urls import reverse

from jobs.models import Commission, Contract, Workshop
from jobs.queries.kit_page import pressing_shortages
from jobs.queries.money_page import payment_rows
from jobs.queries.parking_page import parking_rows
from jobs.words import money_in_words, short_day


@dataclass(frozen=True)
class Sheet:
    title: str
    url: str
    words: str
    is_late: bool = False


def sheets_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    workshop = Workshop.objects.order_by("pk")[0]
    today = workshop.local_day(now)
    makers = (
        contract_sheet(commission),
        drawings_sheet(commission),
        money_sheet(commission, today),
        consignments_sheet(commission, today),
        hours_sheet(commission),
        kit_sheet(commission, workshop, now),
        parking_sheet(commission, workshop, now),
        keys_sheet(commission),
        photographs_sheet(commission),
        snags_sheet(commission, today),
    )
    return {"sheets": list(makers)}


def _url(name: str, commission: Commission) -> str:
    return reverse(name, args=[commission.number])


def _number(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def contract_sheet(commission: Commission) -> Sheet:
    contract = Contract.objects.filter(commission=commission).first()
    waiting = commission.variations.filter(is_agreed__isnull=True).count()
    if contract is None:
        words = "not recorded"
    else:
        words = f"{contract.quote_reference}, {money_in_words(contract.price_pence)}"
        words += ", no notice of cancellation rights recorded" if contract.lacks_notice else ""
    if waiting:
        words += f", {_number(waiting, 'variation waits', 'variations wait')} for an answer"
    return Sheet("Contract", _url("contract", commission), words, contract is not None and contract.lacks_notice)


def drawings_sheet(commission: Commission) -> Sheet:
    drawing = commission.drawings.order_by("-added_at", "-pk").first()
    if drawing is None:
        return Sheet("Drawings", _url("drawings", commission), "none yet")
    state = f"approved by {drawing.approved_by_name}" if drawing.approved_at else "not approved"
    return Sheet("Drawings", _url("drawings", commission), f"{drawing}: {state}")


def money_sheet(commission: Commission, today: dt.date) -> Sheet:
    rows = payment_rows(commission, commission.steps.all(), today)
    url = _url("money", commission)
    if not rows:
        return Sheet("Stage payments", url, "none agreed")
    agreed = sum(row.payment.amount_pence for row in rows)
    received = sum(row.received_pence for row in rows)
    due = sum(row.open_pence for row in rows if row.is_due)
    words = f"{money_in_words(received)} of {money_in_words(agreed)} received"
    return Sheet("Stage payments", url, words + (f", {money_in_words(due)} due" if due else ""), due > 0)


def consignments_sheet(commission: Commission, today: dt.date) -> Sheet:
    url = _url("consignments", commission)
    out = list(commission.consignments.filter(sent_at__isnull=False, back_at__isnull=True))
    if not out:
        count = commission.consignments.count()
        return Sheet(
            "Consignments", url, _number(count, "note, nothing out", "notes, nothing out") if count else "none"
        )
    promised = min(one.promised_on for one in out if one.promised_on)
    words = f"{_number(len(out), 'is', 'are')} out, promised back {short_day(promised)}"
    return Sheet("Consignments", url, words, promised < today)


def hours_sheet(commission: Commission) -> Sheet:
    minutes = commission.hours.order_by().aggregate(sum=Sum("minutes"))["sum"] or 0
    words = f"{minutes // 60} h {minutes % 60:02d} min noted" if minutes else "none noted"
    return Sheet("Hours", _url("hours", commission), words)


def kit_sheet(commission: Commission, workshop: Workshop, now: dt.datetime) -> Sheet:
    short = pressing_shortages(commission, workshop, now)
    url = _url("kit", commission)
    if short:
        return Sheet("Kit", url, f"short: {', '.join(item.words for item in short[:4])}", is_late=True)
    counted = commission.load_items.count()
    return Sheet("Kit", url, _number(counted, "line", "lines") if counted else "no list yet")


def parking_sheet(commission: Commission, workshop: Workshop, now: dt.datetime) -> Sheet:
    url = _url("parking", commission)
    rows = parking_rows(commission, workshop, now)
    waiting = [row for row in rows if row.state == "to apply for"]
    if waiting:
        first = min(waiting, key=lambda row: row.apply_by)
        return Sheet("Parking", url, f"apply by {short_day(first.apply_by)}", first.is_late)
    return Sheet("Parking", url, _number(len(rows), "place", "places") if rows else "not planned")


def keys_sheet(commission: Commission) -> Sheet:
    held = list(commission.client_keys.filter(returned_at__isnull=True).select_related("holder"))
    words = "; ".join(f"{key.tag} with {key.holder}" for key in held) or "none with us"
    is_late = bool(held) and commission.closed_on is not None
    return Sheet("Keys", _url("client_keys", commission), words, is_late)


def photographs_sheet(commission: Commission) -> Sheet:
    counts = commission.photographs.order_by().aggregate(
        count=Count("pk"), before=Count("pk", filter=Q(purpose__in=["route_before", "room_before"]))
    )
    words = _number(counts["count"], "photograph", "photographs") if counts["count"] else "none"
    if counts["count"] and not counts["before"]:
        words += ", none of the state before the work"
    return Sheet("Photographs", _url("photographs", commission), words)


def snags_sheet(commission: Commission, today: dt.date) -> Sheet:
    snags = list(commission.snags.filter(agreed_at__isnull=True))
    still = [snag for snag in snags if snag.done_at is None]
    late = [snag for snag in still if snag.due_on is not None and snag.due_on < today]
    words = f"{len(still)} open" if still else "none open"
    if late:
        words += f", {len(late)} overdue"
    if len(snags) > len(still):
        words += f", {len(snags) - len(still)} to be agreed by the client"
    return Sheet("Snags", _url("snags", commission), words, bool(late))
