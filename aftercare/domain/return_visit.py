"""Booking the return visit. Candidates are computed before any transaction; the quarter-hour rows decide in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db import transaction

from aftercare.booking.candidates import Candidate
from aftercare.booking.slots import Choice, choose
from aftercare.models import Handover
from aftercare.queries.booking_facts import booking_facts
from jobs.domain.messages import queue_message
from jobs.domain.visits import SlotTaken, book_visit, keep_to_arrange, move_visit
from jobs.models import Person, Step, StepKind, Visit, VisitKind, VisitState, Workshop
from jobs.refusal import Refusal


def choose_return(handover: Handover, workshop: Workshop, now: dt.datetime) -> Choice:
    """The best times for the return visit of a handover, with the reasons; reads only."""
    facts = booking_facts(handover.commission, handed_over_at=handover.handed_over_at, workshop=workshop, now=now)
    return choose(facts)


def book_return_visit(*, handover: Handover, workshop: Workshop, now: dt.datetime, actor: Person | None) -> Visit:
    """Book the return visit of a handover, or book it afresh: the visit keeps its UID."""
    if handover.undone_at is not None:
        raise Refusal("", "This handover was undone; hand over again first.")
    return take_choice(
        handover=handover, choice=choose_return(handover, workshop, now), workshop=workshop, now=now, actor=actor
    )


@transaction.atomic
def take_choice(
    *, handover: Handover, choice: Choice, workshop: Workshop, now: dt.datetime, actor: Person | None
) -> Visit:
    """Book the first candidate that is still free; where none is, the visit is kept "to arrange", with the reason."""
    visit = handover.return_visit
    if visit is not None and visit.state not in (VisitState.ARRANGED, VisitState.TO_ARRANGE):
        visit = None
    options = [choice.best, *choice.alternatives] if choice.best else []
    for candidate in options:
        try:
            visit = _place(handover, visit, candidate, choice, workshop, now, actor)
            break
        except SlotTaken:
            continue
    else:
        if visit is None or visit.state != VisitState.TO_ARRANGE:
            visit = _keep(handover, choice, now, actor) if visit is None else visit
    if handover.return_visit_id != visit.pk:
        handover.return_visit = visit
        handover.save(update_fields=["return_visit"])
    if visit.state == VisitState.ARRANGED:
        queue_workshop_copy(handover, visit, workshop, now)
    return visit


def _place(
    handover: Handover,
    visit: Visit | None,
    candidate: Candidate,
    choice: Choice,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
) -> Visit:
    reasons = "\n".join(_sentences([*candidate.reasons, *choice.yielded]))
    payload = {"handover": handover.pk}
    if visit is None:
        return book_visit(
            commission=handover.commission,
            kind=VisitKind.RETURN,
            person=handover.commission.maker,
            starts_at=candidate.starts_at,
            ends_at=candidate.ends_at,
            workshop=workshop,
            now=now,
            actor=actor,
            step=return_step(handover),
            reasons=reasons,
            message_kind="return_invite",
            payload=payload,
        )
    move_visit(
        visit=visit,
        starts_at=candidate.starts_at,
        ends_at=candidate.ends_at,
        workshop=workshop,
        now=now,
        actor=actor,
        reasons=reasons,
        message_kind="return_invite",
        payload=payload,
    )
    return visit


def _keep(handover: Handover, choice: Choice, now: dt.datetime, actor: Person | None) -> Visit:
    return keep_to_arrange(
        commission=handover.commission,
        kind=VisitKind.RETURN,
        person=handover.commission.maker,
        reasons=choice.sentence,
        now=now,
        actor=actor,
        step=return_step(handover),
    )


def queue_workshop_copy(handover: Handover, visit: Visit, workshop: Workshop, now: dt.datetime) -> None:
    queue_message(
        key=f"return_copy:{visit.pk}:{visit.sequence}",
        kind="return_copy",
        workshop=workshop,
        now=now,
        commission=handover.commission,
        visit=visit,
        to_name=workshop.name,
        to_email=workshop.email,
        payload={"sequence": visit.sequence, "handover": handover.pk},
    )


def return_step(handover: Handover) -> Step | None:
    return handover.commission.steps.filter(kind=StepKind.RETURN_VISIT).first()


def _sentences(parts: Sequence[str]) -> list[str]:
    """Each reason as a sentence of its own: capital first, full stop last."""
    return [part[:1].upper() + part[1:].rstrip(".") + "." for part in parts if part]
