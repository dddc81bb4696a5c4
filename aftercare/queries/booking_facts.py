"""Everything the booking of a return visit depends on, gathered from the record in a fixed number of queries."""

from __future__ import annotations

import datetime as dt

from aftercare.booking.facts import BookingFacts, Busy, TimeWindow
from aftercare.booking.travel import Place
from aftercare.booking.window import return_days
from aftercare.queries.light import photo_windows_by_day
from jobs.calendar_days import DayRange
from jobs.models import AccessMode, Closure, Commission, Visit, VisitState, Workshop

# The booking may widen the range by some days on both sides when nothing fits (aftercare.booking.slots).
WIDER = dt.timedelta(days=16)


def booking_facts(
    commission: Commission, *, handed_over_at: dt.datetime, workshop: Workshop, now: dt.datetime
) -> BookingFacts:
    first_day = commission.return_first_day or workshop.return_first_day
    last_day = commission.return_last_day or workshop.return_last_day
    handed_over_on = workshop.local_day(handed_over_at)
    days = return_days(handed_over_on, first_day, last_day)
    shown_days = [days[0] - WIDER + dt.timedelta(days=n) for n in range((days[-1] - days[0] + 2 * WIDER).days + 1)]
    windows, _ = photo_windows_by_day(commission, shown_days, workshop.tz)
    busy, load = _other_visits(commission, workshop, shown_days[0], shown_days[-1])
    return BookingFacts(
        handed_over_on=handed_over_on,
        first_day=first_day,
        last_day=last_day,
        zone=workshop.zone,
        nation=workshop.nation,
        weekdays=frozenset(workshop.weekdays),
        closures=_ranges(Closure.objects.filter(last_day__gte=shown_days[0], first_day__lte=shown_days[-1])),
        client_away=_ranges(commission.client.away.all()),
        absences=_ranges(commission.maker.absences.all()),
        default_access=access_windows(commission, workshop),
        earliest=workshop.day_starts,
        latest=workshop.day_ends,
        busy=busy,
        place=_place(commission),
        speed_kmh=workshop.travel_speed_kmh,
        duration_minutes=workshop.return_minutes,
        photo_windows=windows,
        default_time=workshop.return_default_time,
        load=load,
        not_before=now,
    )


def access_windows(commission: Commission, workshop: Workshop) -> tuple[TimeWindow, ...]:
    """The hours within which a whole return visit has to lie.

    In-and-out: inside the slot. Let-in only: it may begin up to the end of the slot, and we stay on.
    """
    access = commission.access_arrangements.filter(visit__isnull=True).first()
    if access is None:
        return (TimeWindow(dt.time(7), dt.time(20)),)
    latest = access.slot_ends
    if access.mode == AccessMode.LET_IN:
        ends = dt.datetime.combine(dt.date.min, latest) + dt.timedelta(minutes=workshop.return_minutes)
        latest = ends.time() if ends.date() == dt.date.min else dt.time(23, 45)
    return (TimeWindow(access.slot_starts, latest),)


def _other_visits(
    commission: Commission, workshop: Workshop, first: dt.date, last: dt.date
) -> tuple[tuple[Busy, ...], dict[dt.date, int]]:
    """The maker's other visits of those days, and how many there are on each."""
    starts = dt.datetime.combine(first, dt.time(0), workshop.tz)
    ends = dt.datetime.combine(last + dt.timedelta(days=1), dt.time(0), workshop.tz)
    visits = (
        Visit.objects.filter(
            person=commission.maker, state=VisitState.ARRANGED, starts_at__lt=ends, ends_at__gt=starts
        )
        .exclude(commission=commission, kind="return")
        .select_related("commission")
    )
    busy: list[Busy] = []
    load: dict[dt.date, int] = {}
    for visit in visits:
        assert visit.starts_at is not None and visit.ends_at is not None
        busy.append(Busy(visit.starts_at, visit.ends_at, _place(visit.commission)))
        day = workshop.local_day(visit.starts_at)
        load[day] = load.get(day, 0) + 1
    return tuple(busy), load


def _place(commission: Commission) -> Place | None:
    if commission.latitude_deg is None or commission.longitude_deg is None:
        return None
    return Place(commission.latitude_deg, commission.longitude_deg)


def _ranges(rows: object) -> tuple[DayRange, ...]:
    return tuple(
        DayRange(row.first_day, row.last_day, getattr(row, "reason", ""))
        for row in rows  # type: ignore[attr-defined]
    )
