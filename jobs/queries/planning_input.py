"""From what is recorded to what the planner is told (`jobs.planning.network.Instance`).

Ids are prefixed database keys ("step:12", "commission:3"). What this translation assumes, all in one place:

- An hour of the working day goes to breaks, the rest makes two half-days; a step takes its allowance divided by its
  pairs of hands, rounded up to whole half-days, never less than one.
- Bank holidays of the workshop's nation are closed for us and for everybody who works for us; the people we send
  things to work Monday to Friday.
- Helper days and days of a hired van are known only as far as they have been entered: after the last one entered
  nothing is shut, as more can still be booked.
- A visit that is arranged and still to come fixes its step; a visit to be arranged fixes nothing.
- Commissions on hold are left out.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from functools import lru_cache

from jobs.calendar_days import DayRange, bank_holidays, days_between, working_days
from jobs.models import Commission, Step, StepKind, Visit, VisitKind, VisitState, Workshop
from jobs.planning import network
from jobs.planning.calendars import (
    AFTERNOON,
    MORNING,
    Calendar,
    HalfDayAxis,
    Subcontractor,
    calendar_of_open_days,
    calendar_without_days,
    subcontractor_with_days,
)
from jobs.queries.live import LOOK_BACK, LinkRow, LiveRecord, load_live

LOOK_AHEAD = dt.timedelta(days=540)
BREAK_HOURS = 1.0
NOON = dt.time(13, 0)
OUTSIDE = "outside"
VISIT_STEPS = {
    VisitKind.SURVEY: StepKind.SURVEY,
    VisitKind.DELIVERY: StepKind.DELIVER,
    VisitKind.FITTING: StepKind.FIT,
    VisitKind.RETURN: StepKind.RETURN_VISIT,
}


def planning_input(workshop: Workshop, now: dt.datetime) -> network.Instance:
    """The planner's instance, in the six queries of `load_live`."""
    return instance_of(load_live(workshop, now))


def step_id(step_pk: int) -> str:
    return f"step:{step_pk}"


def commission_id(commission_pk: int) -> str:
    return f"commission:{commission_pk}"


def instance_of(live: LiveRecord) -> network.Instance:
    """No query. Raises ValueError where the workshop has no working day in the months looked at."""
    axis = axis_of(live)
    if not axis.days:
        raise ValueError("The workshop works on no day: give at least one weekday in the workshop's settings.")
    clock = Clock(live.workshop, axis, live.now)
    planned = [one for one in live.commissions if one.held_since is None]
    steps = [
        _step(live, clock, one, step, fixing_visits(live, one.pk))
        for one in planned
        for step in live.steps.get(one.pk, ())
    ]
    kept = {step.id for step in steps}
    return network.Instance(
        axis=axis,
        first_slot=clock.first_slot,
        commissions=tuple(network.Commission(commission_id(one.pk), one.nickname) for one in planned),
        steps=tuple(steps),
        links=tuple(_links(live, kept)),
        floor_spans=tuple(_floor_spans(live, planned)),
        resources=_resources(live, axis),
        calendars=tuple(_calendars(live, axis)),
        subcontractors=(_outside(axis, live.workshop.nation, live.today),),
    )


def axis_of(live: LiveRecord) -> HalfDayAxis:
    """The workshop's working days, from some months back to a year and a half ahead."""
    closures = tuple((span.first, span.last) for span in live.spans("closure"))
    return _axis(live.today, live.workshop.nation, tuple(live.workshop.weekdays), closures)


@lru_cache(maxsize=4)
def _axis(
    today: dt.date, nation: str, weekdays: tuple[int, ...], closures: tuple[tuple[dt.date, dt.date], ...]
) -> HalfDayAxis:
    """Kept, as it is the same all day long and holds some five hundred days."""
    shut = [DayRange(first, last) for first, last in closures]
    first, last = today - LOOK_BACK, today + LOOK_AHEAD
    return HalfDayAxis(tuple(working_days(first, last, nation=nation, weekdays=weekdays, closures=shut)))


@lru_cache(maxsize=4)
def _outside(axis: HalfDayAxis, nation: str, today: dt.date) -> Subcontractor:
    closed = set(bank_holidays(nation, today - LOOK_BACK, today + LOOK_AHEAD))
    return subcontractor_with_days(OUTSIDE, "the people we send things to", axis, closed_days=closed)


class Clock:
    """Instants and dates of one workshop as slots of one axis."""

    def __init__(self, workshop: Workshop, axis: HalfDayAxis, now: dt.datetime) -> None:
        self.workshop, self.axis = workshop, axis
        local = workshop.local(now)
        if local.time() >= workshop.day_ends:
            self.first_slot = axis.slot_after(local.date())
        else:
            self.first_slot = self.slot(now)

    def slot(self, instant: dt.datetime) -> int:
        """The half-day of an instant; of one outside working days, the next working morning."""
        local = self.workshop.local(instant)
        return self.axis.slot_on_or_after(local.date(), MORNING if local.time() < NOON else AFTERNOON)

    def end_slot(self, instant: dt.datetime) -> int:
        """The exclusive end of something finished then; never after now, so that what follows may start at once."""
        return min(self.slot(instant) + 1, self.first_slot)


def half_day_hours(workshop: Workshop) -> float:
    """Hours of work in half a day, at least one."""
    starts, ends = workshop.day_starts, workshop.day_ends
    hours = (ends.hour - starts.hour) + (ends.minute - starts.minute) / 60
    return max(1.0, (hours - BREAK_HOURS) / 2)


def half_days_of(step: Step, workshop: Workshop) -> int:
    hours = float(step.allowance_hours) / max(1, step.hands)
    return max(1, math.ceil(round(hours / half_day_hours(workshop), 6)))


def fixing_visits(live: LiveRecord, commission_pk: int) -> dict[int | str, Visit]:
    """The first visit still to come of each step, by step key, or by step kind where the visit names no step."""
    found: dict[int | str, Visit] = {}
    for visit in sorted(live.visits.get(commission_pk, ()), key=lambda one: (one.starts_at is None, one.starts_at)):
        if visit.state != VisitState.ARRANGED or visit.ends_at is None or visit.ends_at <= live.now:
            continue
        kind = VISIT_STEPS.get(VisitKind(visit.kind))
        key = visit.step_id if visit.step_id is not None else kind and str(kind)
        if key is not None:
            found.setdefault(key, visit)
    return found


def _step(
    live: LiveRecord, clock: Clock, commission: Commission, step: Step, visits: dict[int | str, Visit]
) -> network.Step:
    visit = visits.get(step.pk) or visits.get(step.kind)
    is_lead = step.lead_days > 0
    began_at = live.began_at(step)
    axis = clock.axis
    return network.Step(
        id=step_id(step.pk),
        commission_id=commission_id(commission.pk),
        kind=step.kind,
        words=step.name,
        track=step.track,
        duration_half_days=0 if is_lead else half_days_of(step, live.workshop),
        lead_days=step.lead_days if is_lead else None,
        subcontractor_id=OUTSIDE if is_lead else None,
        demands={} if is_lead else _demands(step, live.workshop),
        needs=tuple(_needs(live, commission, step, is_lead)),
        earliest_slot=None if step.earliest_on is None else axis.slot_on_or_after(step.earliest_on),
        latest_slot=None if step.latest_on is None else axis.slot_after(step.latest_on) - 1,
        fixed_slot=None if visit is None or visit.starts_at is None else clock.slot(visit.starts_at),
        promise_slot=None if step.promised_on is None else axis.slot_after(step.promised_on),
        told_client=visit is not None or step.promised_on is not None,
        started_slot=None if began_at is None else clock.slot(began_at),
        finished_slot=None if step.finished_at is None else clock.end_slot(step.finished_at),
    )


def _demands(step: Step, workshop: Workshop) -> dict[str, int]:
    demands = {"hands": min(step.hands, workshop.hands)}
    if step.needs_van:
        demands["van"] = 1
    return demands


def _needs(live: LiveRecord, commission: Commission, step: Step, is_lead: bool) -> Iterable[str]:
    if not is_lead:
        yield f"person:{commission.maker_id}"
    if step.needs_client or step.needs_access:
        yield f"client:{commission.client_id}"
    if step.needs_helper:
        yield "helper"
    if step.needs_van:
        yield "van"


def _links(live: LiveRecord, kept: set[str]) -> Iterable[network.Link]:
    kinds = {step.pk: step.kind for steps in live.steps.values() for step in steps}
    owners = {step.pk: key for key, steps in live.steps.items() for step in steps}
    ranges = {one.pk: return_range(one, live.workshop) for one in live.commissions}
    for link in live.links:
        before, after = step_id(link.before_id), step_id(link.after_id)
        if before not in kept or after not in kept:
            continue
        if kinds[link.after_id] == StepKind.RETURN_VISIT and kinds[link.before_id] == StepKind.HANDOVER:
            least, greatest = ranges[owners[link.after_id]]
            yield network.Link(before, after, least, greatest, network.DAYS)
        else:
            yield _working_day_link(link, before, after)


def _working_day_link(link: LinkRow, before: str, after: str) -> network.Link:
    greatest = None if link.greatest_wait_days is None else 2 * link.greatest_wait_days
    return network.Link(before, after, 2 * link.least_wait_days, greatest)


def return_range(commission: Commission, workshop: Workshop) -> tuple[int, int]:
    """First and last calendar day after handover on which the return visit may fall."""
    if commission.return_first_day is not None and commission.return_last_day is not None:
        return commission.return_first_day, commission.return_last_day
    return workshop.return_first_day, workshop.return_last_day


def _floor_spans(live: LiveRecord, planned: Iterable[Commission]) -> Iterable[network.FloorSpan]:
    """Floor is taken from the making of carcasses to loading, without a break."""
    for one in planned:
        first = [step for step in live.steps.get(one.pk, ()) if step.kind == StepKind.CARCASSES]
        last = [step for step in live.steps.get(one.pk, ()) if step.kind == StepKind.LOAD]
        if first and last:
            yield network.FloorSpan(commission_id(one.pk), step_id(first[0].pk), step_id(last[-1].pk), "floor")


def _resources(live: LiveRecord, axis: HalfDayAxis) -> tuple[network.Resource, ...]:
    shop, slots = live.workshop, axis.slot_count
    extra = [0] * slots
    for span in live.spans("helper"):
        for slot in range(axis.slot_on_or_after(span.first), axis.slot_after(span.last)):
            extra[slot] += 1
    return (
        network.Resource("hands", "pairs of hands", tuple(shop.hands + more for more in extra)),
        network.Resource("van", "the van", (1,) * slots),
        network.Resource("floor", "floor places", (shop.floor_places,) * slots),
    )


def _calendars(live: LiveRecord, axis: HalfDayAxis) -> Iterable[Calendar]:
    makers = {one.maker_id for one in live.commissions}
    clients = {one.client_id for one in live.commissions}
    for maker in sorted(makers):
        yield _days_but(f"person:{maker}", "the maker's days", axis, _days(live, "absence", maker))
    for client in sorted(clients):
        yield _days_but(f"client:{client}", "the client's days", axis, _days(live, "client_away", client))
    yield _booked_days("helper", "the helper's days", axis, _days(live, "helper"))
    if live.workshop.has_van:
        yield _days_but("van", "the van's days", axis, _days(live, "van_gone"))
    else:
        yield _booked_days("van", "the hired van's days", axis, _days(live, "van"))


def _days_but(id: str, words: str, axis: HalfDayAxis, gone: set[dt.date]) -> Calendar:
    """Most of them are never gone, and then the mask need not be built day by day."""
    return calendar_without_days(id, words, axis, gone) if gone else Calendar(id, words, axis.all_open)


def _booked_days(id: str, words: str, axis: HalfDayAxis, booked: set[dt.date]) -> Calendar:
    """Open on the days booked and on every day after the last of them."""
    if not booked:
        return Calendar(id, words, axis.all_open)
    last = max(booked)
    return calendar_of_open_days(id, words, axis, {day for day in axis.days if day in booked or day > last})


def _days(live: LiveRecord, what: str, owner_id: int | None = None) -> set[dt.date]:
    return {day for span in live.spans(what, owner_id) for day in days_between(span.first, span.last)}
