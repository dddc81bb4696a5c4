"""Everything the booking of return visits depends on, gathered from the record in a fixed number of queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from aftercare.booking.facts import BookingFacts, Busy, Preference, TimeWindow
from aftercare.booking.window import return_days
from aftercare.models import ReturnWish
from aftercare.queries.booking_record import BookingRecord, load_record
from aftercare.queries.journeys import town_of
from aftercare.queries.light import place_of
from jobs.calendar_days import DayRange
from jobs.models import AccessArrangement, AccessMode, Attendance, Commission, Visit, VisitKind, Workshop
from jobs.travel import WINDING, Place, travel_minutes

# The booking may widen the range by some days on both sides when nothing fits (aftercare.booking.slots).
WIDER = dt.timedelta(days=16)
UNKNOWN_MINUTES = 30


@dataclass(frozen=True)
class Owed:
    """A return visit that is owed: whose, since when, and the visit itself where there is one already."""

    commission: Commission
    handed_over_at: dt.datetime
    visit: Visit | None = None


def booking_facts(
    commission: Commission,
    *,
    handed_over_at: dt.datetime,
    workshop: Workshop,
    now: dt.datetime,
    visit: Visit | None = None,
) -> BookingFacts:
    """The facts of one return visit. Nine queries."""
    return facts_of_all([Owed(commission, handed_over_at, visit)], workshop, now)[0]


def facts_of_all(
    owed: Sequence[Owed], workshop: Workshop, now: dt.datetime, *, joined: Collection[int] = ()
) -> list[BookingFacts]:
    """The facts of many, in their order, in the same nine queries.

    `joined` are the visits (by pk) that are joined into rounds with these, which keep themselves apart there.
    """
    if not owed:
        return []
    days = {one.commission.pk: searched_days(one, workshop) for one in owed}
    record = load_record([one.commission for one in owed], days, workshop)
    return [_facts(one, record, now, joined) for one in owed]


def range_of(commission: Commission, workshop: Workshop) -> tuple[int, int]:
    """First and last day after handover: the commission's own, else the workshop's."""
    return (
        commission.return_first_day or workshop.return_first_day,
        commission.return_last_day or workshop.return_last_day,
    )


def searched_days(owed: Owed, workshop: Workshop) -> list[dt.date]:
    """The days of the range, and as many on both sides as the search may widen it by."""
    days = return_days(workshop.local_day(owed.handed_over_at), *range_of(owed.commission, workshop))
    first = days[0] - WIDER
    return [first + dt.timedelta(days=n) for n in range((days[-1] + WIDER - first).days + 1)]


def access_windows(access: AccessArrangement | None, workshop: Workshop) -> tuple[TimeWindow, ...]:
    """The hours within which a whole return visit has to lie.

    In-and-out: inside the slot. Let-in only: it may begin up to the end of the slot, and we stay on.
    """
    if access is None:
        return (TimeWindow(dt.time(7), dt.time(20)),)
    latest = access.slot_ends
    if access.mode == AccessMode.LET_IN:
        ends = dt.datetime.combine(dt.date.min, latest) + dt.timedelta(minutes=workshop.return_minutes)
        latest = ends.time() if ends.date() == dt.date.min else dt.time(23, 45)
    return (TimeWindow(access.slot_starts, latest),)


def hours_at_the_door(workshop: Workshop, journey_minutes: int) -> tuple[dt.time, dt.time]:
    """The maker's day at the client's door: the workshop's hours less the way there and back.

    Where that leaves no room for the visit the job is too far for a day's round trip, and the plain hours stand.
    """
    opens = workshop.day_starts.hour * 60 + workshop.day_starts.minute + journey_minutes
    closes = workshop.day_ends.hour * 60 + workshop.day_ends.minute - journey_minutes
    if closes - opens < workshop.return_minutes:
        return workshop.day_starts, workshop.day_ends
    return dt.time(*divmod(opens, 60)), dt.time(*divmod(closes, 60))


def journey_from_workshop(commission: Commission, record: BookingRecord) -> int:
    """Minutes from the workshop's door to the client's: as driven, else as reckoned."""
    known = record.journeys.from_workshop(record.workshop, commission)
    if known is not None:
        return known
    return travel_minutes(
        workshop_place(record.workshop),
        place_on_map(commission),
        speed_kmh=record.workshop.travel_speed_kmh,
        winding=WINDING,
        unknown_minutes=UNKNOWN_MINUTES,
    )


def workshop_place(workshop: Workshop) -> Place | None:
    found = place_of(workshop)
    return Place(*found) if found else None


def place_on_map(commission: Commission) -> Place | None:
    found = place_of(commission)
    return Place(*found) if found else None


def _facts(one: Owed, record: BookingRecord, now: dt.datetime, joined: Collection[int]) -> BookingFacts:
    commission, workshop = one.commission, record.workshop
    first_day, last_day = range_of(commission, workshop)
    earliest, latest = hours_at_the_door(workshop, journey_from_workshop(commission, record))
    busy, load = _other_visits(one, record, joined)
    light = record.light[commission.pk]
    person_id = one.visit.person_id if one.visit else commission.maker_id
    return BookingFacts(
        handed_over_on=workshop.local_day(one.handed_over_at),
        first_day=first_day,
        last_day=last_day,
        zone=workshop.zone,
        nation=workshop.nation,
        weekdays=frozenset(workshop.weekdays),
        closures=record.closures,
        client_away=record.away.get(commission.client_id, ()) + _declined_day(one.visit, workshop),
        absences=record.absences.get(person_id, ()),
        default_access=access_windows(record.access_of(commission, one.visit), workshop),
        earliest=earliest,
        latest=latest,
        busy=busy,
        place=place_on_map(commission),
        speed_kmh=workshop.travel_speed_kmh,
        winding=WINDING,
        unknown_travel_minutes=UNKNOWN_MINUTES,
        duration_minutes=workshop.return_minutes,
        photo_windows=light.windows,
        no_photo_window_because=light.why_none,
        default_time=workshop.return_default_time,
        preferred=_preference(record.wishes.get(commission.pk)),
        load=load,
        not_before=now,
    )


def _declined_day(visit: Visit | None, workshop: Workshop) -> tuple[DayRange, ...]:
    """The day a client said no to is not offered to them again."""
    if visit is None or visit.attendance != Attendance.DECLINED or visit.starts_at is None:
        return ()
    day = workshop.local_day(visit.starts_at)
    return (DayRange(day, day, "this day was declined"),)


def _preference(wish: ReturnWish | None) -> Preference | None:
    return Preference(wish.weekday, wish.time) if wish else None


def _other_visits(
    one: Owed, record: BookingRecord, joined: Collection[int]
) -> tuple[tuple[Busy, ...], dict[dt.date, int]]:
    """What else whoever goes has on, and how much of it on each day."""
    person_id = one.visit.person_id if one.visit else one.commission.maker_id
    busy: list[Busy] = []
    load: dict[dt.date, int] = {}
    for visit in record.visits:
        own = visit.commission_id == one.commission.pk and visit.kind == VisitKind.RETURN
        if visit.person_id != person_id or own or visit.pk in joined:
            continue
        assert visit.starts_at is not None and visit.ends_at is not None
        known = record.journeys.between(one.commission, visit.commission)
        busy.append(
            Busy(visit.starts_at, visit.ends_at, place_on_map(visit.commission), town_of(visit.commission), known)
        )
        day = record.workshop.local_day(visit.starts_at)
        load[day] = load.get(day, 0) + 1
    return tuple(busy), load
