"""Reminders round the return visit that jobs knows nothing of: the photo window, and the one question afterwards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from aftercare.queries.light import light_of_days
from jobs.models import SendPolicy, Visit, VisitKind, VisitState, Workshop
from jobs.queries.due_reminders import mark_of
from jobs.registries import DueReminder
from jobs.wall_clock import at_wall_time

# Hours are common practice of our own, no source.
BEFORE_WORK = dt.time(7, 0)
AFTERWARDS = dt.time(10, 0)
REVIEW_LAPSES = dt.timedelta(days=21)


def photo_window_reminders(workshop: Workshop, now: dt.datetime) -> Iterator[DueReminder]:
    """To the maker on the morning of a return visit; whether the day has a window is seen when it is written.

    One query. A maker without an e-mail address reads it as a line on the board: for those alone the window is
    looked for here, in two queries more, since a line is not written anew before it is read.
    """
    day = workshop.local_day(now)
    first, last = (at_wall_time(day + dt.timedelta(days=n), dt.time(0), workshop.tz) for n in (0, 1))
    visits = Visit.objects.filter(
        kind=VisitKind.RETURN, state=VisitState.ARRANGED, starts_at__gte=first, starts_at__lt=last
    ).select_related("person", "commission")
    due_at = at_wall_time(day, BEFORE_WORK, workshop.tz)
    unwritten = [visit.commission for visit in visits if not visit.person.email and now >= due_at]
    lit = light_of_days(unwritten, {one.pk: [day] for one in unwritten}, workshop.tz) if unwritten else {}
    for visit in visits:
        has_window = visit.commission_id in lit and bool(lit[visit.commission_id].windows)
        if visit.ends_at is not None and (visit.person.email or has_window):
            yield DueReminder(
                key=f"photo_window:{visit.pk}:{visit.sequence}:{mark_of(visit.person.email or visit.person.name)}",
                kind="photo_window",
                due_at=due_at,
                lapses_at=visit.ends_at,
                to_name=visit.person.name,
                to_email=visit.person.email or "",
                commission_id=visit.commission_id,
                visit_id=visit.pk,
                visit_sequence=visit.sequence,
            )


def review_reminders(workshop: Workshop, now: dt.datetime) -> Iterator[DueReminder]:
    """Once a commission, the day after its return visit, to a client who has allowed it. One query."""
    visits = Visit.objects.filter(
        kind=VisitKind.RETURN,
        state=VisitState.DONE,
        ends_at__gt=now - REVIEW_LAPSES,
        ends_at__lte=now,
        commission__client__may_be_asked_for_review=True,
    ).select_related("commission__client")
    for visit in visits:
        assert visit.ends_at is not None
        client = visit.commission.client
        day = workshop.local_day(visit.ends_at) + dt.timedelta(days=1)
        yield DueReminder(
            key=f"review_note:{visit.commission_id}",
            kind="review_note",
            due_at=at_wall_time(day, AFTERWARDS, workshop.tz),
            lapses_at=visit.ends_at + REVIEW_LAPSES,
            to_name=client.name,
            to_email=client.email,
            commission_id=visit.commission_id,
            visit_id=visit.pk,
            visit_sequence=visit.sequence,
            # A question asked twice is a nuisance: rather lost than doubled.
            policy=SendPolicy.AT_MOST_ONCE,
            facts={"visit_state": VisitState.DONE.value},
        )
