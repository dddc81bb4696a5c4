"""Another time for a return visit: chosen by the maker, or asked for after a decline."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from aftercare.booking.candidates import Candidate, candidate_at
from aftercare.booking.facts import BookingFacts
from aftercare.booking.hard import day_refused_because, starts_refused_because
from aftercare.booking.slots import choose
from aftercare.domain.return_visit import place_at, queue_workshop_copy
from aftercare.models import Handover, ReturnWish
from aftercare.queries.alternatives import OFFERED_TO_MAKER, live_visit, return_facts
from jobs.domain.daybook import write_line
from jobs.domain.messages import withdraw_messages
from jobs.models import Attendance, Commission, Person, Visit, VisitKind, VisitState, Workshop
from jobs.refusal import Refusal

CHOOSE = "Choose one of the times on this page."


def move_return_visit(
    *, handover: Handover, starts_at: dt.datetime, workshop: Workshop, now: dt.datetime, actor: Person | None
) -> Visit:
    """Move the return visit to a time that breaks no hard rule. Refused with the rule that stands against it."""
    visit = _movable(handover)
    facts = return_facts(handover, workshop, now)
    candidate = candidate_for(facts, starts_at)
    if candidate is None:
        raise Refusal("starts_at", f"{_why_not(facts, starts_at, workshop)} {CHOOSE}")
    with transaction.atomic():
        place_at(handover, visit, candidate, workshop, now, actor)
        queue_workshop_copy(handover, visit, workshop, now)
    return visit


def candidate_for(facts: BookingFacts, starts_at: dt.datetime) -> Candidate | None:
    """The candidate at a time: by the plain rules, else one of those found by widening them."""
    plain = candidate_at(facts, starts_at)
    if plain is not None:
        return plain
    choice = choose(facts, spares=OFFERED_TO_MAKER)
    found = [choice.best, *choice.alternatives] if choice.best else []
    return next((one for one in found if one.starts_at == starts_at), None)


def on_declined(visit: Visit, now: dt.datetime) -> None:
    """Called when the client's answer to an invite has been noted; acts on a return visit that was declined.

    The visit is kept, with its quarter hours: the client may yet change their mind. The board and the page of
    return visits show it as declined, and what was waiting to be sent about that time is taken back.
    """
    if (visit.kind, visit.state) != (VisitKind.RETURN, VisitState.ARRANGED):
        return
    if visit.attendance == Attendance.DECLINED:
        withdraw_messages(visit=visit)
        write_line(
            act="return_declined", now=now, actor=None, commission=visit.commission, visit=visit.pk,
            sequence=visit.sequence,
        )  # fmt: skip


@transaction.atomic
def keep_wish(
    *, commission: Commission, weekday: int | None, time: dt.time | None, now: dt.datetime, actor: Person | None
) -> ReturnWish | None:
    """What the client asks for, in place of what they asked before; nothing at all takes the wish back."""
    if weekday is not None and not 0 <= weekday <= 6:
        raise Refusal("weekday", "Day of the week: choose one from Monday to Sunday.")
    wish = None
    if weekday is None and time is None:
        ReturnWish.objects.filter(commission=commission).delete()
    else:
        wish, _ = ReturnWish.objects.update_or_create(
            commission=commission, defaults={"weekday": weekday, "time": time, "asked_at": now}
        )
    write_line(
        act="keep_wish", now=now, actor=actor, commission=commission, weekday=weekday,
        time=time.isoformat("minutes") if time else None,
    )  # fmt: skip
    return wish


def _movable(handover: Handover) -> Visit:
    if handover.undone_at is not None:
        raise Refusal("", "This handover was undone; hand over again first.")
    visit = live_visit(handover)
    if visit is None:
        raise Refusal("", "This return visit has taken place or was cancelled; it cannot be moved.")
    return visit


def _why_not(facts: BookingFacts, starts_at: dt.datetime, workshop: Workshop) -> str:
    local = workshop.local(starts_at)
    day = local.date()
    reason = day_refused_because(facts, day) or starts_refused_because(facts, day)
    reason = reason or "at that hour it meets another visit, a journey, or hours when nobody lets us in"
    return f"{local:%A} {day.day} {day:%B}, {local:%H:%M} cannot be: {reason}."
