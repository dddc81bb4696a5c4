from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction

from aftercare.domain.return_visit import choose_return, take_choice
from aftercare.models import Handover
from jobs.domain.daybook import write_line
from jobs.domain.messages import queue_message
from jobs.domain.steps import finish_step, reopen_step
from jobs.domain.visits import cancel_visit
from jobs.models import Commission, Person, Step, StepKind, VisitState, Workshop
from jobs.refusal import Refusal


def hand_over(
    *,
    commission: Commission,
    at: dt.datetime,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
    know_first: str = "",
    know_second: str = "",
    know_third: str = "",
    agreed: str = "",
    existing_marks: str = "",
) -> Handover:
    """The client takes the furniture over; the return visit is booked and the pack is sent, in one transaction.

    Never refused for want of a day: the visit is then kept "to arrange". Refused: twice, in the future, before
    the fitting is finished.
    """
    _check(commission, at, workshop, now)
    handover = Handover(
        commission=commission,
        handed_over_at=at,
        by=actor or commission.maker,
        know_first=know_first,
        know_second=know_second,
        know_third=know_third,
        agreed=agreed,
        existing_marks=existing_marks,
    )
    # Long to compute and needs no lock: before the transaction opens.
    choice = choose_return(handover, workshop, now)
    try:
        with transaction.atomic():
            handover.save()
            write_line(act="hand_over", now=now, actor=actor, commission=commission, handover=handover.pk)
            _finish_handover_step(commission, at, now, actor)
            visit = take_choice(handover=handover, choice=choice, workshop=workshop, now=now, actor=actor)
            if visit.state == VisitState.TO_ARRANGE:
                _queue_pack(handover, workshop, now)
    except IntegrityError as fault:
        raise Refusal("", _already(commission, workshop)) from fault
    return handover


@transaction.atomic
def undo_handover(*, handover: Handover, workshop: Workshop, now: dt.datetime, actor: Person | None) -> None:
    """Take a handover back: the return visit is cancelled and the client told, the packs sent stay on record."""
    visit = handover.return_visit
    if visit is not None and visit.state == VisitState.DONE:
        raise Refusal("", "The return visit has taken place; this handover can no longer be undone.")
    if not Handover.objects.filter(pk=handover.pk, undone_at__isnull=True).update(undone_at=now):
        raise Refusal("", "This handover was undone already; nothing was changed.")
    handover.undone_at = now
    if visit is not None and visit.state in (VisitState.ARRANGED, VisitState.TO_ARRANGE):
        cancel_visit(visit=visit, workshop=workshop, now=now, actor=actor, reason="The handover was undone.")
    step = _handover_step(handover.commission)
    if step is not None and step.finished_at is not None:
        reopen_step(step=step, now=now, actor=actor)
    write_line(act="undo_handover", now=now, actor=actor, commission=handover.commission, handover=handover.pk)


def _check(commission: Commission, at: dt.datetime, workshop: Workshop, now: dt.datetime) -> None:
    if at > now:
        raise Refusal("handed_over_at", "A handover cannot lie in the future: give a time up to now.")
    if commission.handovers.filter(undone_at__isnull=True).exists():
        raise Refusal("", _already(commission, workshop))
    fitting = commission.steps.filter(kind=StepKind.FIT)
    if fitting.filter(finished_at__isnull=True).exists():
        raise Refusal("", "The fitting is not finished: finish it first, then hand over.")
    if fitting.filter(finished_at__gt=at).exists():
        raise Refusal("handed_over_at", "The handover would lie before the fitting was finished: give a later time.")


def _already(commission: Commission, workshop: Workshop) -> str:
    standing = commission.handovers.filter(undone_at__isnull=True).first()
    when = f" on {workshop.local(standing.handed_over_at):%d %B %Y}" if standing else ""
    return f"This commission was handed over already{when}; undo that handover first if it was a mistake."


def _handover_step(commission: Commission) -> Step | None:
    return commission.steps.filter(kind=StepKind.HANDOVER).first()


def _finish_handover_step(commission: Commission, at: dt.datetime, now: dt.datetime, actor: Person | None) -> None:
    step = _handover_step(commission)
    if step is not None and step.finished_at is None:
        finish_step(step=step, at=max(at, step.started_at or at), now=now, actor=actor)


def _queue_pack(handover: Handover, workshop: Workshop, now: dt.datetime) -> None:
    client = handover.commission.client
    queue_message(
        key=f"handover_pack:{handover.pk}",
        kind="handover_pack",
        workshop=workshop,
        now=now,
        commission=handover.commission,
        to_name=client.name,
        to_email=client.email,
        payload={"handover": handover.pk},
    )
