"""From what is recorded to what the planner is told (`jobs.planning.network.Instance`).

Ids are prefixed database keys ("step:12", "commission:3"). What this translation assumes, all in one place:

- An hour of the working day goes to breaks, the rest makes two half-days; a step takes its allowance divided by its
  pairs of hands, rounded up to whole half-days, never less than one.
- Bank holidays of the workshop's nation are closed for us and for everybody who works for us. A subcontractor on
  the list has days and closures of their own; doors are taken there and fetched on days on which they work. Whoever
  else we send things to works Monday to Friday.
- Helper days and days of a hired van are known only as far as they have been entered: after the last one entered
  nothing is shut, as more can still be booked.
- A visit that is arranged and still to come fixes its step; a visit to be arranged fixes nothing.
- Commissions on hold are left out.
- Hands are pooled. A skill is a pool of its own only where somebody who makes is kept from it.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from functools import lru_cache

from jobs.calendar_days import DayRange, working_days
from jobs.models import Commission, Skill, Step, StepKind, Visit, VisitKind, VisitState, Workshop
from jobs.planning import network
from jobs.planning.calendars import AFTERNOON, MORNING, HalfDayAxis
from jobs.queries.live import LOOK_BACK, LinkRow, LiveRecord, load_live
from jobs.queries.planning_capacity import (
    OUTSIDE,
    calendars,
    kept_skills,
    resources,
    skill_id,
    subcontractor_id,
    subcontractors,
)

LOOK_AHEAD = dt.timedelta(days=540)
AFTER_LAST_PROMISE = dt.timedelta(days=365)
STEP_DAYS = 60
"""The axis grows by this much at a time, so that it seldom changes."""
BREAK_HOURS = 1.0
NOON = dt.time(13, 0)
LONGEST_FETCH_HALF_DAYS = 2
"""Up to a day, a step can wait for days on which the sprayer works; a longer one only begins with the fetching."""
VISIT_STEPS = {
    VisitKind.SURVEY: StepKind.SURVEY,
    VisitKind.DELIVERY: StepKind.DELIVER,
    VisitKind.FITTING: StepKind.FIT,
    VisitKind.RETURN: StepKind.RETURN_VISIT,
}
SKILL_OF = {
    StepKind.SURVEY: Skill.DESK,
    StepKind.DRAWING: Skill.DESK,
    StepKind.DOORS: Skill.BENCH,
    StepKind.CARCASSES: Skill.BENCH,
    StepKind.DRY_FIT: Skill.BENCH,
    StepKind.FINISH: Skill.FINISHING,
    StepKind.FIT: Skill.SITE,
    StepKind.SNAGS: Skill.SITE,
}


def planning_input(workshop: Workshop, now: dt.datetime) -> network.Instance:
    """The planner's instance, in the queries of `load_live`."""
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
    skills = kept_skills(live.makers)
    steps = [
        _step(live, clock, one, step, fixing_visits(live, one.pk), skills)
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
        resources=resources(live, axis),
        calendars=tuple(calendars(live, axis)),
        subcontractors=subcontractors(live, axis),
    )


def axis_of(live: LiveRecord) -> HalfDayAxis:
    """The workshop's working days, from some months back to well after everything asked for can have been done."""
    closures = tuple((span.first, span.last) for span in live.spans("closure"))
    return _axis(live.today, _last_day(live), live.workshop.nation, tuple(live.workshop.weekdays), closures)


def _last_day(live: LiveRecord) -> dt.date:
    """A year and a half ahead, a year after the last promise, and a year after all the work asked for."""
    steps = [step for found in live.steps.values() for step in found if step.finished_at is None]
    promises = [step.promised_on for step in steps if step.promised_on is not None]
    hours = sum(float(step.allowance_hours) for step in steps if step.lead_days == 0)
    days = hours / (2 * half_day_hours(live.workshop)) / max(1, live.workshop.hands)
    weeks = days / max(1, len(live.workshop.weekdays))
    ends = [live.today + LOOK_AHEAD, live.today + dt.timedelta(days=365, weeks=round(1.5 * weeks))]
    last = max([*ends, *(one + AFTER_LAST_PROMISE for one in promises)])
    return last + dt.timedelta(days=-last.toordinal() % STEP_DAYS)


@lru_cache(maxsize=4)
def _axis(
    today: dt.date,
    last: dt.date,
    nation: str,
    weekdays: tuple[int, ...],
    closures: tuple[tuple[dt.date, dt.date], ...],
) -> HalfDayAxis:
    """Kept, as it is the same all day long and holds some five hundred days."""
    shut = [DayRange(first, last_shut) for first, last_shut in closures]
    days = working_days(today - LOOK_BACK, last, nation=nation, weekdays=weekdays, closures=shut)
    return HalfDayAxis(tuple(days))


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
    live: LiveRecord,
    clock: Clock,
    commission: Commission,
    step: Step,
    visits: dict[int | str, Visit],
    skills: frozenset[str],
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
        subcontractor_id=_done_by(step) if is_lead else None,
        demands={} if is_lead else _demands(step, live.workshop, skills),
        needs=tuple(_needs(live, commission, step, is_lead)),
        earliest_slot=None if step.earliest_on is None else axis.slot_on_or_after(step.earliest_on),
        latest_slot=None if step.latest_on is None else axis.slot_after(step.latest_on) - 1,
        fixed_slot=None if visit is None or visit.starts_at is None else clock.slot(visit.starts_at),
        promise_slot=None if step.promised_on is None else axis.slot_after(step.promised_on),
        told_client=visit is not None or step.promised_on is not None,
        started_slot=None if began_at is None else clock.slot(began_at),
        finished_slot=None if step.finished_at is None else clock.end_slot(step.finished_at),
    )


def _done_by(step: Step) -> str:
    return OUTSIDE if step.subcontractor_id is None else subcontractor_id(step.subcontractor_id)


def _demands(step: Step, workshop: Workshop, skills: frozenset[str]) -> dict[str, int]:
    demands = {"hands": step.hands}
    skill = SKILL_OF.get(StepKind(step.kind))
    if skill in skills and step.hands > 0:
        demands[skill_id(skill)] = 1
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
    sprayer = _sprayer_gone_to(live, step)
    if sprayer is not None:
        yield subcontractor_id(sprayer)


def _sprayer_gone_to(live: LiveRecord, step: Step) -> int | None:
    """Whose day it has to be: that of the sprayer to whom the doors are taken, and from whom they are fetched."""
    if step.kind not in (StepKind.SPRAYER_OUT, StepKind.INSPECT):
        return None
    if half_days_of(step, live.workshop) > LONGEST_FETCH_HALF_DAYS:
        return None
    beside = live.steps.get(step.commission_id, ())
    away = [one for one in beside if one.kind == StepKind.SPRAYER_BACK and one.subcontractor_id and one.lead_days]
    return away[0].subcontractor_id if away else None


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
