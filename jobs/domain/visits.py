"""Booking, moving and cancelling visits. The quarter-hour rows decide who was first; nothing is checked before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

from django.db import IntegrityError, transaction

from jobs.domain.daybook import write_line
from jobs.domain.messages import MAY_HAVE_GONE, queue_message, was_told, withdraw_messages
from jobs.models import (
    Attendance,
    Commission,
    MessageState,
    Person,
    Step,
    Visit,
    VisitSlot,
    VisitState,
    Workshop,
)
from jobs.refusal import Refusal

QUARTER = dt.timedelta(minutes=15)
LONGEST = dt.timedelta(hours=14)
PLAIN_INVITE = "visit_invite"


class SlotTaken(Refusal):
    """Somebody was quicker, or the person is elsewhere; other times can be offered."""


def book_visit(
    *,
    commission: Commission,
    kind: str,
    person: Person,
    starts_at: dt.datetime,
    ends_at: dt.datetime,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
    step: Step | None = None,
    reasons: str = "",
    message_kind: str = PLAIN_INVITE,
    payload: dict[str, Any] | None = None,
) -> Visit:
    """A visit with its quarter hours and the invite for the client, all or nothing.

    A visit that already lies in the past is recorded as done and nobody is written to.
    """
    check_slot(starts_at, ends_at)
    is_past = ends_at <= now
    with _one_at_a_time(person, workshop, starts_at), transaction.atomic():
        visit = Visit.objects.create(
            commission=commission,
            kind=kind,
            step=step,
            person=person,
            state=VisitState.DONE if is_past else VisitState.ARRANGED,
            starts_at=starts_at,
            ends_at=ends_at,
            reasons=reasons,
            changed_at=now,
            asked_at=None if is_past else now,
        )
        _take_slots(visit)
        if not is_past:
            queue_invite(visit, workshop, now, kind=message_kind, payload=payload)
        write_line(act="book_visit", now=now, actor=actor, commission=commission, **_facts(visit))
    return visit


@transaction.atomic
def keep_to_arrange(
    *,
    commission: Commission,
    kind: str,
    person: Person,
    reasons: str,
    now: dt.datetime,
    actor: Person | None,
    step: Step | None = None,
) -> Visit:
    """A visit that is owed but has no date yet; the board shows it with the reason."""
    visit = Visit.objects.create(
        commission=commission,
        kind=kind,
        step=step,
        person=person,
        state=VisitState.TO_ARRANGE,
        reasons=reasons,
        changed_at=now,
    )
    write_line(act="keep_to_arrange", now=now, actor=actor, commission=commission, visit=visit.pk, kind=kind)
    return visit


def move_visit(
    *,
    visit: Visit,
    starts_at: dt.datetime,
    ends_at: dt.datetime,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
    person: Person | None = None,
    reasons: str = "",
    message_kind: str = PLAIN_INVITE,
    payload: dict[str, Any] | None = None,
) -> None:
    """Another time for the same visit: same UID, SEQUENCE up, the client asked afresh (RFC 5546 2.1.4)."""
    check_slot(starts_at, ends_at)
    if ends_at <= now:
        raise Refusal("starts_at", "That time has gone by: give a time that is still to come.")
    person = person or visit.person
    with _one_at_a_time(person, workshop, starts_at), transaction.atomic():
        locked = _lock(visit)
        if locked.state not in (VisitState.ARRANGED, VisitState.TO_ARRANGE):
            raise Refusal("", f"This visit is {locked.get_state_display().lower()}; it cannot be moved.")
        locked.slots.all().delete()
        locked.person, locked.starts_at, locked.ends_at, locked.reasons = person, starts_at, ends_at, reasons
        locked.state, locked.attendance, locked.changed_at = VisitState.ARRANGED, Attendance.NEEDS_ACTION, now
        locked.sequence += 1
        # Of the new date nobody has answered yet; the mail that asks goes at the next sweep and stamps it again.
        locked.asked_at, locked.last_reply_at, locked.last_tie_at = now, None, None
        locked.save()
        _take_slots(locked)
        message_kind, payload = _with_what_waits(locked, message_kind, payload)
        withdraw_messages(visit=locked)
        queue_invite(locked, workshop, now, kind=message_kind, payload=payload)
        write_line(act="move_visit", now=now, actor=actor, commission=locked.commission, **_facts(locked))
    visit.refresh_from_db()


@transaction.atomic
def cancel_visit(
    *, visit: Visit, workshop: Workshop, now: dt.datetime, actor: Person | None, reason: str = ""
) -> None:
    """The visit does not take place. Whoever may have heard of it is told; the quarter hours are free again."""
    locked = _lock(visit)
    if locked.state not in (VisitState.ARRANGED, VisitState.TO_ARRANGE):
        raise Refusal("", f"This visit is {locked.get_state_display().lower()} already; nothing was changed.")
    told = was_told(locked)
    locked.slots.all().delete()
    locked.state, locked.changed_at, locked.reasons = VisitState.CANCELLED, now, reason
    locked.sequence += 1
    locked.save(update_fields=["state", "changed_at", "sequence", "reasons"])
    withdraw_messages(visit=locked)
    if told and locked.starts_at is not None:
        queue_invite(locked, workshop, now, kind="visit_cancel")
    write_line(act="cancel_visit", now=now, actor=actor, commission=locked.commission, visit=locked.pk)
    visit.refresh_from_db()


@transaction.atomic
def finish_visit(*, visit: Visit, now: dt.datetime, actor: Person | None) -> None:
    """The visit has taken place."""
    if not Visit.objects.filter(pk=visit.pk, state=VisitState.ARRANGED).update(state=VisitState.DONE, changed_at=now):
        raise Refusal("", "Only an arranged visit can be ticked as done; nothing was changed.")
    visit.refresh_from_db()
    withdraw_messages(visit=visit)
    write_line(act="finish_visit", now=now, actor=actor, commission=visit.commission, visit=visit.pk)


def _with_what_waits(visit: Visit, kind: str, payload: dict[str, Any] | None) -> tuple[str, dict[str, Any] | None]:
    """Kind and payload of the next invite. Where a richer one has not gone yet (it carries the handover pack), the
    new one carries what that would have, so that nothing is lost by moving a visit quickly."""
    waiting = visit.messages.filter(state=MessageState.WAITING, kind__endswith="_invite").order_by("pk").last()
    if waiting is None or kind != PLAIN_INVITE:
        return kind, payload
    kept = {key: value for key, value in waiting.payload.items() if key not in ("sequence", *MAY_HAVE_GONE)}
    return waiting.kind, kept | (payload or {})


def queue_invite(
    visit: Visit, workshop: Workshop, now: dt.datetime, *, kind: str, payload: dict[str, Any] | None = None
) -> None:
    """Ask for the mail about this version of the visit; the key names the version, so it is asked for once."""
    client = visit.commission.client
    queue_message(
        key=f"{kind}:{visit.pk}:{visit.sequence}",
        kind=kind,
        workshop=workshop,
        now=now,
        commission=visit.commission,
        visit=visit,
        to_name=client.name,
        to_email=client.email,
        payload={"sequence": visit.sequence} | (payload or {}),
    )


def check_slot(starts_at: dt.datetime, ends_at: dt.datetime) -> None:
    """Refuse times that no visit can have, with the field and the remedy."""
    if ends_at <= starts_at:
        raise Refusal("ends_at", "The visit would end before it starts: give a later end.")
    if ends_at - starts_at > LONGEST:
        raise Refusal(
            "ends_at", "A visit lasts at most 14 hours: book each day of the fitting as a visit of its own."
        )
    for field, instant in (("starts_at", starts_at), ("ends_at", ends_at)):
        if instant.minute % 15 or instant.second or instant.microsecond:
            raise Refusal(field, f"Visits are booked by the quarter hour: {instant:%M} minutes past is between two.")


def quarter_hours(starts_at: dt.datetime, ends_at: dt.datetime) -> Iterator[dt.datetime]:
    instant = starts_at
    while instant < ends_at:
        yield instant
        instant += QUARTER


def _take_slots(visit: Visit) -> None:
    assert visit.starts_at is not None and visit.ends_at is not None
    VisitSlot.objects.bulk_create(
        VisitSlot(visit=visit, person=visit.person, starts_at=instant)
        for instant in quarter_hours(visit.starts_at, visit.ends_at)
    )


class _one_at_a_time:
    """Turns the database's "this quarter hour is taken" into a sentence, outside the rolled-back transaction."""

    def __init__(self, person: Person, workshop: Workshop, starts_at: dt.datetime) -> None:
        self.person, self.workshop, self.starts_at = person, workshop, starts_at

    def __enter__(self) -> None: ...

    def __exit__(self, kind: object, fault: BaseException | None, trace: object) -> None:
        if isinstance(fault, IntegrityError) and _is_slot_clash(fault):
            day = self.workshop.local(self.starts_at)
            raise SlotTaken(
                "starts_at",
                f"{self.person} is booked already at part of that time on {day:%A} {day.day} {day:%B}: "
                "choose another.",
            ) from fault


def _is_slot_clash(fault: IntegrityError) -> bool:
    text = str(fault)
    return "one_visit_a_quarter_hour" in text or "jobs_visitslot.person_id" in text


def _lock(visit: Visit) -> Visit:
    return (
        Visit.objects.select_for_update(of=("self",)).select_related("commission__client", "person").get(pk=visit.pk)
    )


def _facts(visit: Visit) -> dict[str, Any]:
    assert visit.starts_at is not None and visit.ends_at is not None
    return {
        "visit": visit.pk,
        "kind": visit.kind,
        "sequence": visit.sequence,
        "starts_at": visit.starts_at.isoformat(),
        "ends_at": visit.ends_at.isoformat(),
    }
