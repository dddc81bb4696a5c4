"""What is on record of each subcontractor's turnaround."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict

from jobs.calendar_days import DayRange
from jobs.models import Consignment, Subcontractor, SubcontractorClosure, Workshop
from jobs.turnaround import Turnaround, days_taken, turnaround_of


def turnarounds(workshop: Workshop) -> dict[int, Turnaround]:
    """By subcontractor, from every first consignment that came back; re-dos are left out, they would flatter. Two
    queries."""
    closures = closures_by_subcontractor()
    taken: dict[int, list[int]] = defaultdict(list)
    back = Consignment.objects.filter(sent_at__isnull=False, back_at__isnull=False, redo_of__isnull=True)
    for one in back.select_related("subcontractor"):
        if one.sent_at is None or one.back_at is None:
            continue
        taken[one.subcontractor_id].append(
            days_between_for(
                one.subcontractor,
                workshop.local_day(one.sent_at),
                workshop.local_day(one.back_at),
                workshop,
                closures.get(one.subcontractor_id, []),
            )
        )
    return {key: turnaround_of(days) for key, days in taken.items()}


def closures_by_subcontractor() -> dict[int, list[DayRange]]:
    found: dict[int, list[DayRange]] = defaultdict(list)
    for closure in SubcontractorClosure.objects.all():
        found[closure.subcontractor_id].append(DayRange(closure.first_day, closure.last_day, closure.reason))
    return found


def days_between_for(
    subcontractor: Subcontractor, first: dt.date, last: dt.date, workshop: Workshop, closures: list[DayRange]
) -> int:
    return days_taken(first, last, nation=workshop.nation, weekdays=subcontractor.weekdays, closures=closures)


def lead_days_until(subcontractor: Subcontractor, sent_on: dt.date, promised_on: dt.date, workshop: Workshop) -> int:
    """The lead time that makes the plan say the promised day; at least one. One query."""
    closures = [DayRange(one.first_day, one.last_day, one.reason) for one in subcontractor.closures.all()]
    return max(1, days_between_for(subcontractor, sent_on, promised_on, workshop, closures))


def turnaround_words(subcontractor: Subcontractor | None, workshop: Workshop) -> str:
    """What to plan with for this subcontractor, for the foot of a form; blank where nobody is named."""
    if subcontractor is None:
        return ""
    found = turnarounds(workshop).get(subcontractor.pk, turnaround_of([]))
    return f"{subcontractor} states {subcontractor.turnaround_days} working days; {found.in_words}."
