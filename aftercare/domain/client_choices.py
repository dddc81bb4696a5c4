"""What a client decides on their own page after handover: the day of the return visit, and the use of photographs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db import transaction

from aftercare.booking.candidates import Candidate
from aftercare.domain.permissions import give_permission, withdraw_permission
from aftercare.domain.return_visit import invite_kind, queue_workshop_copy, return_step
from aftercare.models import Handover, Permission, PermissionWay, PhotographUse
from aftercare.queries.client_page import client_reasons
from jobs.domain.client_decisions import record_decision
from jobs.domain.slot_offers import TAKEN, picked_words
from jobs.domain.visits import SlotTaken, book_visit, cancel_visit, keep_to_arrange, move_visit
from jobs.models import ClientDecision, ClientLink, Visit, VisitKind, VisitState, Workshop
from jobs.refusal import Refusal


@transaction.atomic
def pick_return_time(
    *,
    handover: Handover,
    starts_at: dt.datetime,
    offered: Sequence[Candidate],
    link: ClientLink,
    workshop: Workshop,
    now: dt.datetime,
) -> ClientDecision:
    """The return visit moves to one of the times `offered`: same UID, SEQUENCE up, a fresh invite.

    `offered` is computed by the caller before the transaction opens. Raises SlotTaken where the time is no longer
    among them or has just gone; then nothing is changed.
    """
    if handover.undone_at is not None:
        raise Refusal("", "The return visit cannot be moved just now. Please ring us.")
    candidate = next((one for one in offered if one.starts_at == starts_at), None)
    if candidate is None:
        raise SlotTaken("", TAKEN)
    before = _before(handover.return_visit)
    try:
        visit = _place(handover, candidate, workshop, now)
    except SlotTaken as fault:
        raise SlotTaken("", TAKEN) from fault
    if handover.return_visit_id != visit.pk:
        handover.return_visit = visit
        handover.save(update_fields=["return_visit"])
    queue_workshop_copy(handover, visit, workshop, now)
    facts = {"handover": handover.pk, "visit": visit.pk, "sequence": visit.sequence, "before": before}
    return record_decision(
        link=link, kind="pick_return", said=picked_words(visit, workshop), workshop=workshop, now=now, facts=facts
    )


def take_back_return_time(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    """Back to the day the visit had; where it had none, it is to be arranged again."""
    facts = decision.facts
    handover = Handover.objects.select_related("commission__client").get(pk=facts["handover"])
    visit = Visit.objects.select_related("commission__client", "person").get(pk=facts["visit"])
    if visit.state != VisitState.ARRANGED or visit.sequence != facts["sequence"] or handover.undone_at is not None:
        raise Refusal("", "This visit has been changed since. Please ring us: we put it right together.")
    if facts["before"] is None:
        cancel_visit(visit=visit, workshop=workshop, now=now, actor=None)
        handover.return_visit = keep_to_arrange(
            commission=handover.commission, kind=VisitKind.RETURN, person=visit.person, step=visit.step,
            reasons="The client took back the time they had picked.", now=now, actor=None,
        )  # fmt: skip
        handover.save(update_fields=["return_visit"])
        return
    starts_at, ends_at = (dt.datetime.fromisoformat(text) for text in facts["before"])
    try:
        move_visit(
            visit=visit, starts_at=starts_at, ends_at=ends_at, workshop=workshop, now=now, actor=None,
            message_kind=invite_kind(handover), payload={"handover": handover.pk},
        )  # fmt: skip
    except Refusal as fault:
        raise Refusal("", "The time you had before has gone by now. Please ring us.") from fault
    queue_workshop_copy(handover, visit, workshop, now)


@transaction.atomic
def give_permissions_by_link(
    *, link: ClientLink, uses: Sequence[str], given_by: str, workshop: Workshop, now: dt.datetime
) -> ClientDecision:
    """Each use that was ticked, and no other."""
    if not uses:
        raise Refusal("uses", "What we may do: tick what you allow. Want to allow nothing? Then leave this page.")
    given = [
        give_permission(
            commission=link.commission, use=use, given_by=given_by, way=PermissionWay.LINK, now=now, actor=None
        )
        for use in uses
    ]
    words = "; ".join(PhotographUse(use).label for use in uses)
    return record_decision(
        link=link, kind="permissions", said=f"You allowed the use of photographs: {words}.", workshop=workshop,
        now=now, facts={"permissions": [one.pk for one in given]},
    )  # fmt: skip


def take_back_permissions(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    for permission in Permission.objects.filter(pk__in=decision.facts["permissions"], withdrawn_at__isnull=True):
        withdraw_permission(permission=permission, way=PermissionWay.LINK, now=now, actor=None)


@transaction.atomic
def withdraw_permission_by_link(
    *, link: ClientLink, permission: Permission, workshop: Workshop, now: dt.datetime
) -> ClientDecision:
    """As easy as giving it: one button, no question."""
    withdraw_permission(permission=permission, way=PermissionWay.LINK, now=now, actor=None)
    return record_decision(
        link=link, kind="permission_withdrawn", workshop=workshop, now=now, facts={"permission": permission.pk},
        said=f"You took back the use of photographs: {permission}.",
    )  # fmt: skip


def _before(visit: Visit | None) -> list[str] | None:
    if visit is None or visit.state != VisitState.ARRANGED or visit.starts_at is None or visit.ends_at is None:
        return None
    return [visit.starts_at.isoformat(), visit.ends_at.isoformat()]


def _place(handover: Handover, candidate: Candidate, workshop: Workshop, now: dt.datetime) -> Visit:
    visit, reasons = handover.return_visit, "\n".join(["The client picked this time.", *client_reasons(candidate)])
    payload = {"handover": handover.pk}
    if visit is None or visit.state not in (VisitState.ARRANGED, VisitState.TO_ARRANGE):
        return book_visit(
            commission=handover.commission, kind=VisitKind.RETURN, person=handover.commission.maker,
            starts_at=candidate.starts_at, ends_at=candidate.ends_at, workshop=workshop, now=now, actor=None,
            step=return_step(handover), reasons=reasons, message_kind="return_invite", payload=payload,
        )  # fmt: skip
    move_visit(
        visit=visit, starts_at=candidate.starts_at, ends_at=candidate.ends_at, workshop=workshop, now=now, actor=None,
        reasons=reasons, message_kind=invite_kind(handover), payload=payload,
    )  # fmt: skip
    return visit
