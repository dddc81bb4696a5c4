"""Booking the return visit. Candidates are computed before any transaction; the quarter-hour rows decide in it."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from aftercare.booking.candidates import Candidate
from aftercare.booking.slots import Choice, choose
from aftercare.models import Handover
from aftercare.queries.alternatives import live_visit, return_facts, sentence
from jobs.domain.messages import queue_message
from jobs.domain.visits import PLAIN_INVITE, SlotTaken, book_visit, keep_to_arrange, move_visit
from jobs.models import Message, MessageState, Person, Step, StepKind, Visit, VisitKind, VisitState, Workshop
from jobs.refusal import Refusal

# The mails to the client that carry the handover pack.
WITH_PACK = ("return_invite", "handover_pack")


def choose_return(handover: Handover, workshop: Workshop, now: dt.datetime) -> Choice:
    """The best times for the return visit of a handover, with the reasons; reads only."""
    return choose(return_facts(handover, workshop, now))


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
    visit = live_visit(handover)
    options = [choice.best, *choice.alternatives] if choice.best else []
    for candidate in options:
        try:
            visit = _place(handover, visit, candidate, choice.yielded, workshop, now, actor)
            break
        except SlotTaken:
            continue
    else:
        if visit is None:
            visit = _keep(handover, choice, now, actor)
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
    yielded: tuple[str, ...],
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
) -> Visit:
    if visit is not None:
        place_at(handover, visit, candidate, workshop, now, actor, yielded)
        return visit
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
        reasons=_reasons(candidate, yielded),
        message_kind="return_invite",
        payload={"handover": handover.pk},
    )


def place_at(
    handover: Handover,
    visit: Visit,
    candidate: Candidate,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
    yielded: tuple[str, ...] = (),
) -> None:
    """Move a return visit to a candidate's time. The client has the pack once; an update carries the invite alone."""
    move_visit(
        visit=visit,
        starts_at=candidate.starts_at,
        ends_at=candidate.ends_at,
        workshop=workshop,
        now=now,
        actor=actor,
        reasons=_reasons(candidate, yielded),
        message_kind=invite_kind(handover),
        payload={"handover": handover.pk},
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


def invite_kind(handover: Handover) -> str:
    """With the handover pack, until the client has been sent it; then the invite alone."""
    sent = Message.objects.filter(
        kind__in=WITH_PACK, state=MessageState.SENT, commission=handover.commission, payload__handover=handover.pk
    )
    return PLAIN_INVITE if sent.exists() else "return_invite"


def _reasons(candidate: Candidate, yielded: tuple[str, ...]) -> str:
    return "\n".join(sentence(part) for part in (*candidate.reasons, *yielded) if part)


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


def return_step(handover: Handover) -> Step | None:
    return handover.commission.steps.filter(kind=StepKind.RETURN_VISIT).first()
