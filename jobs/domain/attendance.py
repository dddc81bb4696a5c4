"""What an answer to an invitation changes: the attendance of its visit, and nothing else, ever."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import Attendance, HeldReply, Person, ReplyState, Visit, VisitState, Workshop
from jobs.refusal import Refusal
from jobs.registries import reply_listeners


def note_attendance(
    *,
    visit: Visit,
    attendance: str,
    reply_at: dt.datetime | None,
    tie_at: dt.datetime | None,
    now: dt.datetime,
    actor: Person | None,
) -> None:
    """The client's answer, on a visit the caller has locked. The date stays as it is; listeners are told."""
    visit.attendance, visit.last_reply_at, visit.last_tie_at = attendance, reply_at, tie_at
    visit.save(update_fields=["attendance", "last_reply_at", "last_tie_at"])
    write_line(
        act="note_attendance",
        now=now,
        actor=actor,
        commission=visit.commission,
        visit=visit.pk,
        kind=visit.kind,
        attendance=attendance,
        sequence=visit.sequence,
    )
    for listener in reply_listeners.all():
        listener(visit, now)


@transaction.atomic
def accept_reply(*, reply: HeldReply, now: dt.datetime, actor: Person) -> None:
    """A person says that a held answer is genuine: its attendance goes on the visit, unless the visit has moved."""
    if reply.visit_id is None or reply.attendance not in (
        Attendance.ACCEPTED, Attendance.TENTATIVE, Attendance.DECLINED,
    ):  # fmt: skip
        raise Refusal("", "This mail gives no answer that could be noted: ring the client, then put it aside.")
    visit = Visit.objects.select_for_update(of=("self",)).select_related("commission").get(pk=reply.visit_id)
    if visit.state != VisitState.ARRANGED:
        raise Refusal("", f"This visit is {visit.get_state_display().lower()}; the answer was not noted.")
    if visit.sequence != reply.visit_sequence:
        raise Refusal("", "The visit has been moved since this answer came; it speaks of the earlier date.")
    _settle(reply, ReplyState.ACCEPTED, now, actor)
    note_attendance(
        visit=visit,
        attendance=reply.attendance,
        reply_at=reply.stamped_at,
        tie_at=reply.arrived_at,
        now=now,
        actor=actor,
    )


@transaction.atomic
def dismiss_reply(*, reply: HeldReply, now: dt.datetime, actor: Person) -> None:
    """A person has read it, and it changes nothing."""
    _settle(reply, ReplyState.DISMISSED, now, actor)
    write_line(
        act="dismiss_reply",
        now=now,
        actor=actor,
        commission=reply.visit.commission if reply.visit else None,
        reply=reply.pk,
    )


def forget_replies(workshop: Workshop, now: dt.datetime) -> None:
    """Delete what has been kept long enough. A duty of the night."""
    HeldReply.objects.filter(expires_at__lt=now).delete()


def _settle(reply: HeldReply, state: str, now: dt.datetime, actor: Person) -> None:
    won = HeldReply.objects.filter(pk=reply.pk, state=ReplyState.OPEN).update(
        state=state, settled_at=now, settled_by=actor, raw=b""
    )
    if not won:
        raise Refusal("", "Somebody has dealt with this mail already; nothing was changed.")
