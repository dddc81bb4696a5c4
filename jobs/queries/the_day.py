"""The page of one day, in order of time: what goes by the clock, leaves, comes back, has to be rung, is worked on.

Lines come from `registries.day_sources`; each source takes a fixed number of queries.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from jobs.models import AccessArrangement, CarryPlan, Visit, VisitKind, VisitState, Workshop
from jobs.queries.due_reminders import access_of, opener_of
from jobs.queries.plan import plan_of_all
from jobs.refusal import Refusal
from jobs.registries import DayAsked, DayLine, day_sources, drives
from jobs.roles import may
from jobs.wall_clock import at_wall_time
from jobs.words import day_in_words, time_in_words

ONE_DAY = dt.timedelta(days=1)
# part, heading, what is said of a day that has none
PARTS = (
    ("clock", "By the clock", "No visit is booked for this day."),
    ("out", "Leaves the workshop", "Nothing has to leave."),
    ("back", "Comes back", "Nothing is expected back."),
    ("ring", "To be rung and asked", "Nobody has to be rung."),
    ("work", "Planned work", "No step is planned for this day."),
    ("running", "Running now", "No timer runs."),
)


@dataclass(frozen=True)
class ShownLine:
    """A line as it is drawn: its clock in words, and a link only for who may open it."""

    line: DayLine
    clock: str
    url: str


def day_asked(typed: str, today: dt.date) -> dt.date:
    """The day that an address names, today where it names none.

    Raises:
        Refusal: it is no day of the calendar, or further off than ten years.
    """
    if not typed.strip():
        return today
    try:
        day = dt.date.fromisoformat(typed.strip())
    except ValueError as fault:
        raise Refusal("on", "Day: this is no day of the calendar; write it as 2027-03-31.") from fault
    if abs((day - today).days) > 3660:
        raise Refusal("on", "Day: give one within ten years of today, written as 2027-03-31.")
    return day


def the_day(workshop: Workshop, day: dt.date, now: dt.datetime, person: Any) -> dict[str, Any]:
    """A fixed number of queries, the plan's six among them."""
    asked = DayAsked(workshop, day, now, plan_of_all(workshop, now), visits_of(workshop, day))
    lines = [
        line for source in day_sources.all() for line in source(asked) if not line.asks or may(person, line.asks)
    ]
    late = at_wall_time(day + ONE_DAY, dt.time(0), workshop.tz)
    lines.sort(key=lambda line: (line.at or late, not line.is_late, line.number or 0))
    return {
        "day": day,
        "day_words": day_in_words(day),
        "is_today": asked.is_today,
        "before": day - ONE_DAY,
        "after": day + ONE_DAY,
        "parts": [
            {"name": part, "heading": heading, "none": none, "lines": shown}
            for part, heading, none in PARTS
            if (shown := _shown(lines, part, workshop, person)) or part != "running" or asked.is_today
        ],
    }


def _shown(lines: list[DayLine], part: str, workshop: Workshop, person: Any) -> list[ShownLine]:
    return [ShownLine(line, _clock(line, workshop), _url(line, person)) for line in lines if line.part == part]


def _url(line: DayLine, person: Any) -> str:
    if line.link is None or not may(person, line.link[0]):
        return ""
    return reverse(line.link[0], args=[line.link[1]])


def _clock(line: DayLine, workshop: Workshop) -> str:
    if line.at is None:
        return ""
    words = time_in_words(workshop.local(line.at).time())
    return f"{words} to {time_in_words(workshop.local(line.until).time())}" if line.until else words


def visits_of(workshop: Workshop, day: dt.date) -> list[Visit]:
    """What is arranged for a day, or took place on it, by time. One query."""
    first, last = (at_wall_time(day + dt.timedelta(days=n), dt.time(0), workshop.tz) for n in (0, 1))
    return list(
        Visit.objects.filter(
            state__in=[VisitState.ARRANGED, VisitState.DONE], starts_at__gte=first, starts_at__lt=last
        )
        .select_related("commission__client", "person")
        .order_by("starts_at", "pk")
    )


def visit_lines(asked: DayAsked) -> list[DayLine]:
    """Each visit, and before the first of each person the latest time to leave. At most four queries."""
    if not asked.visits:
        return []
    commissions = [visit.commission for visit in asked.visits]
    access = access_of({one.pk for one in commissions})
    carries = {one.commission_id: one for one in CarryPlan.objects.filter(commission__in=commissions)}
    drive = drives.get("drive")
    minutes = drive(asked.workshop, commissions) if drive else {}
    found, on_the_road = [], set()
    for visit in asked.visits:
        opener = opener_of(visit, access)
        if visit.person_id not in on_the_road and visit.state == VisitState.ARRANGED:
            found += _leaving(visit, opener, carries.get(visit.commission_id), minutes, asked)
        on_the_road.add(visit.person_id)
        found.append(_visit(visit, opener))
    return found


def _visit(visit: Visit, opener: AccessArrangement | None) -> DayLine:
    to_site = visit.kind in (VisitKind.DELIVERY, VisitKind.FITTING)
    details = [f"{visit.person} goes"]
    if opener is not None:
        details.append(f"let in {time_in_words(opener.slot_starts)} to {time_in_words(opener.slot_ends)}")
    if visit.state == VisitState.DONE:
        details.append("took place")
    return DayLine(
        "clock",
        visit.get_kind_display(),
        number=visit.commission.number,
        nickname=visit.commission.nickname,
        at=visit.starts_at,
        until=visit.ends_at,
        details=tuple(details),
        link=("site_day" if to_site else "commission", visit.commission.number),
    )


def _leaving(
    visit: Visit, opener: AccessArrangement | None, carry: CarryPlan | None, drive: Any, asked: DayAsked
) -> list[DayLine]:
    """The access slot of that day counts where it begins before the visit does."""
    assert visit.starts_at is not None
    arrive = visit.starts_at
    if opener is not None and visit.kind in (VisitKind.DELIVERY, VisitKind.FITTING):
        arrive = min(arrive, at_wall_time(asked.day, opener.slot_starts, asked.workshop.tz))
    if carry is not None and carry.drive_minutes is not None:
        minutes, how = carry.drive_minutes + carry.parking_minutes, "drive and parking, as typed"
    elif visit.commission_id in drive:
        minutes, how = drive[visit.commission_id], "on the road, reckoned from the map; parking comes on top"
    else:
        return []
    return [
        DayLine(
            "clock",
            f"{visit.person} leaves by now for",
            number=visit.commission.number,
            nickname=visit.commission.nickname,
            at=arrive - dt.timedelta(minutes=minutes),
            details=(f"{minutes} min {how}",),
            link=("carry", visit.commission.number),
        )
    ]
