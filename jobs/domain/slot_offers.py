"""Times offered to a client, and picking one. The unique quarter-hour rows decide who was first."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import IntegrityError, transaction

from jobs.domain.client_decisions import record_decision
from jobs.domain.daybook import write_line
from jobs.domain.visits import SlotTaken, book_visit, cancel_visit, check_slot, keep_to_arrange, move_visit
from jobs.models import (
    ClientDecision,
    ClientLink,
    Commission,
    Person,
    SlotOffer,
    Step,
    Visit,
    VisitKind,
    VisitState,
    Workshop,
)
from jobs.queries.slot_offers import open_offers
from jobs.refusal import Refusal
from jobs.words import day_in_words, time_in_words

TAKEN = "Sorry, somebody was a little quicker: that time has just gone. These times are still free."
MOST_OPEN = 12


@transaction.atomic
def offer_slot(
    *,
    commission: Commission,
    kind: str,
    person: Person,
    starts_at: dt.datetime,
    ends_at: dt.datetime,
    now: dt.datetime,
    actor: Person | None,
    step: Step | None = None,
    visit: Visit | None = None,
    reason: str = "",
) -> SlotOffer:
    """Let the client pick this time. Nothing is kept free for it: the first who picks has it."""
    check_slot(starts_at, ends_at)
    if kind == VisitKind.RETURN:
        raise Refusal("kind", "The return visit finds its own times: the client page shows them after handover.")
    if starts_at <= now:
        raise Refusal("starts_at", "Starts: that time has gone by; give one that is still to come.")
    if visit is not None and (visit.commission_id != commission.pk or visit.kind != kind):
        raise Refusal("visit", "Which visit: it is not a visit of this kind; choose another or none.")
    if len(open_offers(commission, now)) >= MOST_OPEN:
        raise Refusal("", f"{MOST_OPEN} times are open already, which is plenty: take one back first.")
    try:
        with transaction.atomic():
            offer = SlotOffer.objects.create(
                commission=commission, kind=kind, person=person, starts_at=starts_at, ends_at=ends_at, step=step,
                visit=visit, reason=reason.strip()[:160], made_at=now,
            )  # fmt: skip
    except IntegrityError as fault:
        raise Refusal("starts_at", "Starts: this time is offered already.") from fault
    write_line(act="offer_slot", now=now, actor=actor, commission=commission, offer=offer.pk, kind=kind)
    return offer


@transaction.atomic
def withdraw_offer(*, offer: SlotOffer, now: dt.datetime, actor: Person | None) -> None:
    if not _open(offer).update(withdrawn_at=now):
        raise Refusal("", "This time is no longer on offer; nothing was changed.")
    write_line(act="withdraw_offer", now=now, actor=actor, commission=offer.commission, offer=offer.pk)


@transaction.atomic
def pick_offer(*, offer: SlotOffer, link: ClientLink, workshop: Workshop, now: dt.datetime) -> ClientDecision:
    """The client takes this time: the visit is booked or moved to it, the other offers for it close.

    Raises SlotTaken, with the sentence the client reads, when the time has gone; then nothing is changed.
    """
    if offer.starts_at <= now or not _open(offer).update(taken_at=now):
        raise SlotTaken("", TAKEN)
    facts = _before(offer)
    try:
        visit = _take(offer, workshop, now)
    except SlotTaken as fault:
        raise SlotTaken("", TAKEN) from fault
    others = SlotOffer.objects.filter(
        commission=offer.commission_id, kind=offer.kind, taken_at__isnull=True, withdrawn_at__isnull=True
    )
    facts |= {"offer": offer.pk, "visit": visit.pk, "closed": list(others.values_list("pk", flat=True))}
    others.update(withdrawn_at=now)
    return record_decision(
        link=link, kind="pick_offer", said=picked_words(visit, workshop), workshop=workshop, now=now, facts=facts
    )


def picked_words(visit: Visit, workshop: Workshop) -> str:
    assert visit.starts_at is not None and visit.ends_at is not None
    start, end = workshop.local(visit.starts_at), workshop.local(visit.ends_at)
    hours = f"{time_in_words(start.time())} to {time_in_words(end.time())}"
    return f"You picked {day_in_words(start.date())}, {hours}, for the {visit.get_kind_display().lower()}."


def take_back_pick(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    """The visit goes back to the time it had, or away where it had none; the offers open again."""
    facts = decision.facts
    visit = Visit.objects.select_related("commission__client", "person").get(pk=facts["visit"])
    if visit.state != VisitState.ARRANGED or visit.sequence != facts["sequence"]:
        raise Refusal("", "This visit has been changed since. Please ring us: we put it right together.")
    if facts["before"] is not None:
        starts_at, ends_at = (dt.datetime.fromisoformat(text) for text in facts["before"])
        try:
            move_visit(visit=visit, starts_at=starts_at, ends_at=ends_at, workshop=workshop, now=now, actor=None)
        except Refusal as fault:
            raise Refusal("", "The time you had before has gone by now. Please ring us.") from fault
    else:
        cancel_visit(visit=visit, workshop=workshop, now=now, actor=None)
        if facts["was_to_arrange"]:
            visit = keep_to_arrange(
                commission=visit.commission, kind=visit.kind, person=visit.person, step=visit.step,
                reasons="The client took back the time they had picked.", now=now, actor=None,
            )  # fmt: skip
    again = SlotOffer.objects.filter(pk__in=[facts["offer"], *facts["closed"]], starts_at__gt=now)
    again.update(taken_at=None, withdrawn_at=None)
    if facts["was_to_arrange"] or facts["before"] is not None:
        again.update(visit=visit)


def _open(offer: SlotOffer) -> Any:
    return SlotOffer.objects.filter(pk=offer.pk, taken_at__isnull=True, withdrawn_at__isnull=True)


def _before(offer: SlotOffer) -> dict[str, Any]:
    visit = offer.visit
    had = visit is not None and visit.state == VisitState.ARRANGED and visit.starts_at and visit.ends_at
    return {
        "before": [visit.starts_at.isoformat(), visit.ends_at.isoformat()] if had else None,  # type: ignore[union-attr]
        "was_to_arrange": visit is not None and visit.state == VisitState.TO_ARRANGE,
        "sequence": visit.sequence + 1 if visit is not None else 0,
    }


def _take(offer: SlotOffer, workshop: Workshop, now: dt.datetime) -> Visit:
    if offer.visit is None:
        return book_visit(
            commission=offer.commission, kind=offer.kind, person=offer.person, starts_at=offer.starts_at,
            ends_at=offer.ends_at, workshop=workshop, now=now, actor=None, step=offer.step, reasons=offer.reason,
        )  # fmt: skip
    move_visit(
        visit=offer.visit, starts_at=offer.starts_at, ends_at=offer.ends_at, workshop=workshop, now=now, actor=None,
        person=offer.person, reasons=offer.reason,
    )  # fmt: skip
    return offer.visit
