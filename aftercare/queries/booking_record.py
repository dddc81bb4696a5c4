"""The rows that decide when return visits can be, read once for as many of them as are asked about."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from aftercare.models import ReturnWish
from aftercare.queries.journeys import Journeys, known_journeys
from aftercare.queries.light import LightOfDays, light_of_days
from jobs.calendar_days import DayRange
from jobs.models import (
    Absence,
    AccessArrangement,
    ClientAway,
    Closure,
    Commission,
    Visit,
    VisitState,
    Workshop,
)


@dataclass(frozen=True)
class BookingRecord:
    """Ranges by client and by person, the rest by commission; `visits` are all that are arranged on those days."""

    workshop: Workshop
    closures: tuple[DayRange, ...]
    away: Mapping[int, tuple[DayRange, ...]]
    absences: Mapping[int, tuple[DayRange, ...]]
    accesses: tuple[AccessArrangement, ...]
    wishes: Mapping[int, ReturnWish]
    visits: tuple[Visit, ...]
    journeys: Journeys
    light: Mapping[int, LightOfDays]

    def access_of(self, commission: Commission, visit: Visit | None) -> AccessArrangement | None:
        """The arrangement for the visit itself, else the commission's."""
        own = [one for one in self.accesses if one.commission_id == commission.pk]
        for_visit = [one for one in own if visit is not None and one.visit_id == visit.pk]
        return next(iter(for_visit or [one for one in own if one.visit_id is None]), None)


def load_record(
    commissions: Sequence[Commission], days: Mapping[int, Sequence[dt.date]], workshop: Workshop
) -> BookingRecord:
    """Nine queries, however many commissions (one or more); `days` are those each is asked about."""
    first, last = min(span[0] for span in days.values()), max(span[-1] for span in days.values())
    return BookingRecord(
        workshop=workshop,
        closures=tuple(map(_range, Closure.objects.filter(last_day__gte=first, first_day__lte=last))),
        away=_ranges(ClientAway.objects.filter(client__in={one.client_id for one in commissions}), "client_id"),
        absences=_ranges(Absence.objects.filter(last_day__gte=first, first_day__lte=last), "person_id"),
        accesses=tuple(AccessArrangement.objects.filter(commission__in=commissions)),
        wishes={one.commission_id: one for one in ReturnWish.objects.filter(commission__in=commissions)},
        visits=_arranged(first, last, workshop),
        journeys=known_journeys(),
        light=light_of_days(commissions, days, workshop.tz),
    )


def _arranged(first: dt.date, last: dt.date, workshop: Workshop) -> tuple[Visit, ...]:
    starts = dt.datetime.combine(first, dt.time(0), workshop.tz)
    ends = dt.datetime.combine(last + dt.timedelta(days=1), dt.time(0), workshop.tz)
    rows = Visit.objects.filter(state=VisitState.ARRANGED, starts_at__lt=ends, ends_at__gt=starts)
    return tuple(rows.select_related("commission__client"))


def _ranges(rows: Iterable[ClientAway | Absence], owner: str) -> dict[int, tuple[DayRange, ...]]:
    found: dict[int, list[DayRange]] = defaultdict(list)
    for row in rows:
        found[getattr(row, owner)].append(_range(row))
    return {key: tuple(ranges) for key, ranges in found.items()}


def _range(row: Closure | ClientAway | Absence) -> DayRange:
    return DayRange(row.first_day, row.last_day, getattr(row, "reason", ""))
