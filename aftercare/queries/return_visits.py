from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from aftercare.models import Handover
from aftercare.queries.journeys import town_of
from jobs.models import Attendance, Commission, Visit, VisitKind, VisitState, Workshop

RECENT = dt.timedelta(days=60)
# Near enough that the diary of that week is being filled.
SOON = dt.timedelta(days=14)


@dataclass(frozen=True)
class ReturnRow:
    """A return visit with the handover it belongs to; None for one booked by hand."""

    visit: Visit
    handover: Handover | None

    @property
    def commission(self) -> Commission:
        return self.visit.commission


def return_visit_page(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Return visits by what they ask for. Two queries.

    To arrange and declined: a time has to be found. Past: nobody said yet whether it took place. Due: within two
    weeks. Booked: later. Done: of the last two months.
    """
    rows = Visit.objects.filter(kind=VisitKind.RETURN).exclude(state=VisitState.CANCELLED)
    rows = rows.exclude(state=VisitState.DONE, starts_at__lt=now - RECENT)
    visits = list(rows.select_related("commission__client", "person"))
    standing = Handover.objects.filter(undone_at__isnull=True, return_visit__in=visits)
    by_visit = {one.return_visit_id: one for one in standing}
    found: dict[str, list[ReturnRow]] = {
        name: [] for name in ("to_arrange", "declined", "past", "due", "booked", "done")
    }
    for visit in visits:
        found[_group(visit, now)].append(ReturnRow(visit, by_visit.get(visit.pk)))
    found["done"].reverse()
    return dict(found)


def _group(visit: Visit, now: dt.datetime) -> str:
    if visit.state == VisitState.DONE:
        return "done"
    if visit.state == VisitState.TO_ARRANGE or visit.starts_at is None or visit.ends_at is None:
        return "to_arrange"
    if visit.ends_at <= now:
        return "past"
    if visit.attendance == Attendance.DECLINED:
        return "declined"
    return "due" if visit.starts_at <= now + SOON else "booked"


def known_towns(workshop: Workshop) -> tuple[list[str], list[Commission]]:
    """The towns of live commissions and of the workshop, and the commissions whose address names none. One query."""
    live = Commission.objects.filter(closed_on__isnull=True).select_related("client")
    towns, without = {workshop.town} - {""}, []
    for commission in live:
        town = town_of(commission)
        if town:
            towns.add(town)
        else:
            without.append(commission)
    return sorted(towns), without
