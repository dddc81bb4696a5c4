from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction

from jobs.domain.clients import check_range
from jobs.domain.daybook import write_line
from jobs.models import Absence, Closure, HelperDay, Person, VanDay
from jobs.refusal import Refusal


@transaction.atomic
def close_workshop(
    *, first_day: dt.date, last_day: dt.date, reason: str, now: dt.datetime, actor: Person | None
) -> Closure:
    """The workshop is shut on these days, both included."""
    check_range(first_day, last_day)
    closure = Closure.objects.create(first_day=first_day, last_day=last_day, reason=reason)
    write_line(act="close_workshop", now=now, actor=actor, closure=closure.pk)
    return closure


@transaction.atomic
def note_absence(
    *, person: Person, first_day: dt.date, last_day: dt.date, reason: str, now: dt.datetime, actor: Person | None
) -> Absence:
    check_range(first_day, last_day)
    absence = Absence.objects.create(person=person, first_day=first_day, last_day=last_day, reason=reason)
    write_line(act="note_absence", now=now, actor=actor, absence=absence.pk)
    return absence


def book_helper(*, person: Person, day: dt.date, now: dt.datetime, actor: Person | None) -> HelperDay:
    try:
        with transaction.atomic():
            booked = HelperDay.objects.create(person=person, day=day)
            write_line(act="book_helper", now=now, actor=actor, helper_day=booked.pk)
    except IntegrityError as fault:
        raise Refusal("day", f"{person} is booked for that day already.") from fault
    return booked


@transaction.atomic
def note_van_day(*, day: dt.date, available: bool, now: dt.datetime, actor: Person | None) -> VanDay:
    """A day with a hired van, or a day without our own. Said twice, the later word stands."""
    van_day, _ = VanDay.objects.update_or_create(day=day, defaults={"available": available})
    write_line(act="note_van_day", now=now, actor=actor, van_day=van_day.pk)
    return van_day


@transaction.atomic
def remove_day(*, entry: Closure | Absence | HelperDay | VanDay, now: dt.datetime, actor: Person | None) -> None:
    """Take a closure, an absence, a helper's or a van's day out of the calendar again."""
    write_line(act="remove_day", now=now, actor=actor, kind=entry._meta.model_name, row=entry.pk)
    entry.delete()
