"""Further work a client spoke of, and the day on which to come back to it."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from aftercare.models import FutureWork
from jobs.domain.daybook import write_line
from jobs.models import Person
from jobs.refusal import Refusal

FURTHEST = dt.timedelta(days=3660)


@transaction.atomic
def note_future_work(*, work: FutureWork, today: dt.date, now: dt.datetime, actor: Person) -> FutureWork:
    """New or changed."""
    is_new = work.pk is None
    if work.next_contact_on is not None and not today <= work.next_contact_on <= today + FURTHEST:
        raise Refusal("next_contact_on", "Come back to it on: give a day from today on, within ten years.")
    if is_new:
        work.noted_on, work.noted_by = today, actor
    work.settled_on = None
    work.save()
    act = "note_future_work" if is_new else "change_future_work"
    write_line(act=act, now=now, actor=actor, commission=work.commission, work=work.pk, may_write=work.may_write)
    return work


@transaction.atomic
def settle_future_work(*, work: FutureWork, today: dt.date, now: dt.datetime, actor: Person | None) -> None:
    """We have come back to it: it became a commission, or nothing will come of it."""
    if not FutureWork.objects.filter(pk=work.pk, settled_on__isnull=True).update(settled_on=today):
        raise Refusal("", "This was settled already; nothing was changed.")
    work.settled_on = today
    write_line(act="settle_future_work", now=now, actor=actor, commission=work.commission, work=work.pk)
