"""The plan as screens see it: dates for every step of every live commission, and what each has to spare.

`plan_of_all` is the interface. Dates come from the finite-capacity plan (`plan_store.plan_in_force`), so the workshop
can keep them; slack and latest starts come from the critical path, which asks what one commission could do if it had
the workshop to itself.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from jobs.models import Commission, Step, StepKind, Workshop
from jobs.planning.calendars import HalfDayAxis
from jobs.planning.compiled import compile_instance
from jobs.planning.critical_path import Slack, Window, earliest_starts, latest_starts, slack_in, windows_in
from jobs.planning.network import Instance, Placed, Plan, Refused
from jobs.planning.validate import validate
from jobs.queries.kept_plans import kept
from jobs.queries.live import LiveRecord, load_live
from jobs.queries.plan_store import plan_in_force
from jobs.queries.planning_input import Clock, axis_of, commission_id, instance_of, step_id


@dataclass(frozen=True)
class HalfDay:
    """A date and which half of it: 0 the morning, 1 the afternoon."""

    day: dt.date
    half: int = 0


@dataclass(frozen=True)
class PlannedStep:
    """When a step is worked on. `starts` is its first half-day and `ends` its last one.

    Recorded where `is_done` or `is_running` say so, planned otherwise. `latest_start` is the latest that keeps every
    date given to the client. `late_half_days` counts how far the plan misses that, 0 where it does not.
    `free_from` is the half-day after its last one: the day on which doors can be fetched. `was_due_on` is set where
    something sent out is overdue: the day on which it could have been fetched.
    """

    step_id: int
    commission_id: int
    kind: str
    track: str
    starts: HalfDay
    ends: HalfDay
    latest_start: HalfDay | None = None
    late_half_days: int = 0
    free_from: HalfDay | None = None
    was_due_on: dt.date | None = None
    is_done: bool = False
    is_running: bool = False

    @property
    def is_late(self) -> bool:
        return self.late_half_days > 0


@dataclass(frozen=True)
class CommissionPlan:
    """The steps of a commission in the order of its list, and its slack.

    `slack_half_days`: latest start of wrapping that still keeps the next fixed client date, minus the later strand's
    earliest finish, in working half-days; None where no date is fixed. Once wrapped, it is measured at the first step
    still to come. `late_half_days`: by how much the plan misses the worst of the dates given to the client, although
    there may be slack, because others hold the hands or the floor. `refused_because` says why it could not be
    planned; its steps then have recorded dates only.
    """

    commission_id: int
    steps: tuple[PlannedStep, ...] = ()
    slack_half_days: int | None = None
    later_track: str = ""
    late_half_days: int = 0
    is_held: bool = False
    refused_because: str = ""

    def of_kind(self, *kinds: str) -> tuple[PlannedStep, ...]:
        return tuple(step for step in self.steps if step.kind in kinds)


@dataclass(frozen=True)
class PlanView:
    today: dt.date
    commissions: dict[int, CommissionPlan] = field(default_factory=dict)

    def step(self, commission_pk: int, step_pk: int) -> PlannedStep | None:
        found = self.commissions.get(commission_pk)
        return next((step for step in found.steps if step.step_id == step_pk), None) if found else None


@dataclass(frozen=True)
class Planned:
    """What the planner was told, what it answered, and how screens see it."""

    instance: Instance
    plan: Plan
    view: PlanView


def plan_of_all(workshop: Workshop, now: dt.datetime) -> PlanView:
    """Six queries, whatever the number of commissions."""
    return plan_from(load_live(workshop, now))


def plan_from(live: LiveRecord) -> PlanView:
    """The plan of a record already read. No query."""
    return planned_from(live).view


def live_for_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> tuple[LiveRecord, Planned]:
    """The record and its plan, read once for all the sections of a commission's page: they are kept on the row that
    the sections are given, and so are gone with it. Six queries the first time."""
    found: tuple[LiveRecord, Planned] | None = commission.__dict__.get("_live_for_page")
    if found is None or found[0].now != now:
        live = load_live(workshop, now)
        found = commission.__dict__["_live_for_page"] = (live, planned_from(live))
    return found


def planned_from(live: LiveRecord) -> Planned:
    """The same with what it was computed from. No query."""

    def make() -> Planned:
        whole = instance_of(live)
        plan = plan_in_force(live, whole)
        return Planned(whole, plan, view_of(live, whole, plan))

    return kept(live, Clock(live.workshop, axis_of(live), live.now).first_slot, make)


def view_of(live: LiveRecord, whole: Instance, plan: Plan) -> PlanView:
    """A plan as screens see it."""
    instance, refused = validate(whole)
    engine = _Engine(live, instance, (*refused, *plan.refused), plan)
    return PlanView(live.today, {one.pk: engine.commission(one.pk) for one in live.commissions})


class _Engine:
    def __init__(self, live: LiveRecord, instance: Instance, refused: tuple[Refused, ...], plan: Plan) -> None:
        self.live, self.instance = live, instance
        self.axis: HalfDayAxis = instance.axis
        self.clock = Clock(live.workshop, instance.axis, live.now)
        self.refused = {one.commission_id: one.sentence for one in refused}
        self.compiled = compile_instance(instance)
        early = earliest_starts(self.compiled)
        # By the dates alone: what leads to no date is never late, however long it waits for its turn.
        self.latest = latest_starts(self.compiled, {}, use_dates=True)
        self.windows: dict[str, Window] = windows_in(self.compiled, early)
        self.slacks: dict[str, Slack | None] = {
            key: slack_in(self.compiled, key, early) for key in self.compiled.by_commission
        }
        self.places = plan.places
        # Leads under way have a place that cannot change: they are no longer in the windows.
        self.past = {self.compiled.steps[i].id: place for i, place in self.compiled.past.items()}

    def commission(self, commission_pk: int) -> CommissionPlan:
        key = commission_id(commission_pk)
        steps = self.live.steps.get(commission_pk, ())
        placed = [found for step in steps if (found := self.step(step)) is not None]
        slack = self._slack(key, steps)
        return CommissionPlan(
            commission_id=commission_pk,
            steps=tuple(placed),
            slack_half_days=None if slack is None else slack.half_days,
            later_track="" if slack is None else slack.later_track,
            late_half_days=self._late(key),
            is_held=key not in self.slacks and key not in self.refused,
            refused_because=self.refused.get(key, ""),
        )

    def _slack(self, key: str, steps: tuple[Step, ...]) -> Slack | None:
        """A date that hangs on wrapping, or after wrapping: a survey day alone says nothing of what is to spare."""
        slack = self.slacks.get(key)
        if slack is None:
            return None
        wraps = {step_id(step.pk) for step in steps if step.kind == StepKind.WRAP and step.finished_at is None}
        return slack if not wraps or slack.join_step_id in wraps else None

    def _late(self, key: str) -> int:
        late = 0
        for i in self.compiled.by_commission.get(key, ()):
            one, place = self.compiled.steps[i], self.places.get(self.compiled.steps[i].id)
            if place is not None and one.told_client and one.kind != StepKind.RETURN_VISIT:
                late = max(late, self.compiled.late_half_days(i, place))
        return late

    def step(self, step: Step) -> PlannedStep | None:
        """None where no date can be given: the commission was refused or on hold, or it lies beyond the axis."""
        began_at = self.live.began_at(step)
        if step.finished_at is not None:
            ends = self._recorded(step.finished_at)
            return _planned(step, self._recorded(began_at) if began_at else ends, ends)
        key = step_id(step.pk)
        window, past = self.windows.get(key), self.past.get(key)
        place: Placed | None = past or (self.places.get(key) if window is not None else None)
        if place is None or place.start >= self.axis.slot_count:
            return None
        start, end = place.start, place.end
        return _planned(
            step,
            self._recorded(began_at) if began_at else self.half_day(start),
            self.half_day(max(start, end - 1)),
            is_running=began_at is not None,
            latest_start=self.half_day(window.latest_start) if window else None,
            late_half_days=max(0, start - self.latest[self.compiled.index[key]]) if window else 0,
            free_from=self.half_day(end),
            was_due_on=None if window else self._was_due(key),
        )

    def _was_due(self, key: str) -> dt.date | None:
        i = self.compiled.index[key]
        due = self.compiled.end_of(i, max(self.compiled.steps[i].started_slot or 0, 0))
        return self.axis.date_of(due) if due < self.instance.first_slot else None

    def half_day(self, slot: int) -> HalfDay:
        return HalfDay(self.axis.date_of(slot), slot % 2)

    def _recorded(self, instant: dt.datetime) -> HalfDay:
        local = self.live.workshop.local(instant)
        return HalfDay(local.date(), int(local.hour >= 13))


def _planned(
    step: Step,
    starts: HalfDay,
    ends: HalfDay,
    *,
    is_running: bool = False,
    latest_start: HalfDay | None = None,
    late_half_days: int = 0,
    free_from: HalfDay | None = None,
    was_due_on: dt.date | None = None,
) -> PlannedStep:
    return PlannedStep(
        step_id=step.pk,
        commission_id=step.commission_id,
        kind=step.kind,
        track=step.track,
        starts=starts,
        ends=ends,
        latest_start=latest_start,
        late_half_days=late_half_days,
        free_from=free_from,
        was_due_on=was_due_on,
        is_done=step.finished_at is not None,
        is_running=is_running,
    )
