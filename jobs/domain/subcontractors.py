from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.clients import check_range
from jobs.domain.daybook import write_line
from jobs.models import Person, Subcontractor, SubcontractorClosure
from jobs.refusal import Refusal


@transaction.atomic
def save_subcontractor(*, subcontractor: Subcontractor, now: dt.datetime, actor: Person | None) -> Subcontractor:
    """Somebody we send work to, new or changed."""
    subcontractor.name = subcontractor.name.strip()
    if not subcontractor.name:
        raise Refusal("name", "Name: say whom the work goes to.")
    if not subcontractor.weekdays or not set(subcontractor.weekdays) <= set(range(7)):
        raise Refusal("weekdays", "Days they work: tick at least one day.")
    if not 0 <= subcontractor.turnaround_days <= 200:
        raise Refusal("turnaround_days", "Turnaround: give a number of working days from 0 to 200.")
    namesake = Subcontractor.objects.filter(name__iexact=subcontractor.name).exclude(pk=subcontractor.pk)
    if namesake.exists():
        raise Refusal(
            "name", f"{subcontractor.name} is in the list already: change that entry, or give another name."
        )
    act = "add_subcontractor" if subcontractor.pk is None else "edit_subcontractor"
    subcontractor.save()
    write_line(act=act, now=now, actor=actor, subcontractor=subcontractor.pk)
    return subcontractor


@transaction.atomic
def close_subcontractor(
    *,
    subcontractor: Subcontractor,
    first_day: dt.date,
    last_day: dt.date,
    reason: str,
    now: dt.datetime,
    actor: Person | None,
) -> SubcontractorClosure:
    """They are shut on these days, both included."""
    check_range(first_day, last_day)
    closure = SubcontractorClosure.objects.create(
        subcontractor=subcontractor, first_day=first_day, last_day=last_day, reason=reason.strip()
    )
    write_line(act="close_subcontractor", now=now, actor=actor, subcontractor=subcontractor.pk, closure=closure.pk)
    return closure


@transaction.atomic
def remove_closure(*, closure: SubcontractorClosure, now: dt.datetime, actor: Person | None) -> None:
    write_line(
        act="open_subcontractor", now=now, actor=actor, subcontractor=closure.subcontractor_id, closure=closure.pk
    )
    closure.delete()
