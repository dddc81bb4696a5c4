"""What is wanted next of a commission, in plain sentences for the wall: no names, no money, no absences.

Step names are free text, so the wall does not say them: it has words of its own for every kind of step.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from jobs.models import Step, StepKind, Track, Visit, VisitKind, VisitState
from jobs.queries.live import LiveRecord
from jobs.queries.plan import CommissionPlan, PlannedStep
from jobs.queries.planning_input import fixing_visits
from jobs.queries.stage import SPLIT_TRACKS
from jobs.queries.words import say_clock, say_day

K = StepKind
VISIT_WORDS = {
    VisitKind.SURVEY: "Survey",
    VisitKind.DELIVERY: "Carry in",
    VisitKind.FITTING: "Fit",
    VisitKind.RETURN: "Return visit",
    VisitKind.OTHER: "Visit",
}
# "{day}" is the last day of it; where two are given, the first is said until it has been begun.
WORDS_BY_KIND: dict[str, tuple[str, str]] = {
    K.SURVEY: ("Book the survey", "Survey under way"),
    K.DRAWING: ("Draw, by {day}", "Drawing done {day}"),
    K.DOORS: ("Make doors, by {day}", "Doors made {day}"),
    K.SPRAYER_OUT: ("Doors to the sprayer {day}", "Doors to the sprayer {day}"),
    K.INSPECT: ("Inspect doors {day}", "Inspect doors {day}"),
    K.MATERIALS: ("Order materials", "Materials in {day}"),
    K.BOUGHT_IN: ("Order bought-in parts", "Bought-in parts in {day}"),
    K.WRAP: ("Wrap, by {day}", "Wrapped {day}"),
    K.LOAD: ("Load, by {day}", "Loaded {day}"),
    K.DELIVER: ("Book the carry in", "Carrying in"),
    K.FIT: ("Fit, from {start}", "Fitting until {day}"),
    K.SNAGS: ("Look at snags, by {day}", "Snags put right {day}"),
    K.HANDOVER: ("Hand over, by {day}", "Hand over {day}"),
    K.RETURN_VISIT: ("Return visit to arrange", "Return visit under way"),
    K.REDO: ("Make good, by {day}", "Made good {day}"),
}
OTHER_WORDS = ("Other work, by {day}", "Other work done {day}")
# Things that are with somebody else: what we wait for, and the sentences while waiting and when overdue.
AWAITED = {
    K.SPRAYER_BACK: ("doors", "Doors due back {day}", "Doors were due back {due}"),
    K.MATERIALS: ("materials", "Materials in {day}", "Materials were due {due}"),
    K.BOUGHT_IN: ("parts", "Bought-in parts in {day}", "Bought-in parts were due {due}"),
    K.APPROVAL: ("go-ahead", "Waiting for the go-ahead", "Still waiting for the go-ahead"),
    K.DEPOSIT: ("go-ahead", "Waiting for the go-ahead", "Still waiting for the go-ahead"),
}


@dataclass(frozen=True)
class Said:
    """One sentence; a late one gets the sign and the colour on the wall."""

    words: str
    is_late: bool = False


@dataclass(frozen=True)
class Awaited:
    """Something we wait for from somebody else, and until when."""

    what: str
    day: dt.date | None
    is_overdue: bool = False


class NextWords:
    """The sentences of one commission."""

    def __init__(self, live: LiveRecord, plan: CommissionPlan) -> None:
        self.live, self.plan = live, plan
        self.steps = live.steps.get(plan.commission_id, ())
        self.planned = {step.step_id: step for step in plan.steps}
        self.visits = fixing_visits(live, plan.commission_id)
        self.ready = [step for step in self.steps if live.is_ready(step)]

    def sentences(self) -> tuple[Said, ...]:
        """Late ones first, at most three, never the same twice."""
        if self.plan.refused_because:
            return (Said("Its steps cannot be planned: look at its page", is_late=True),)
        said = [*self._missed_visits(), *self._late_by_the_plan()]
        if not any(step.finished_at is None for step in self.steps):
            return tuple(said) or (Said("Everything is done"),)
        said += self._strands() if any(step.track in SPLIT_TRACKS for step in self.ready) else []
        said += [self._step(step) for step in self._wanted() if step.track not in SPLIT_TRACKS]
        if not any(step.track in SPLIT_TRACKS for step in self.ready):
            said += self._next_visit(said)
        kept = sorted(dict.fromkeys(said), key=lambda one: not one.is_late)
        return tuple(kept[:3])

    def awaited(self) -> tuple[Awaited, ...]:
        """What is with somebody else now."""
        found = {}
        for step in self.ready:
            planned = self.planned.get(step.pk)
            if step.kind in AWAITED and planned and planned.is_running:
                overdue = planned.was_due_on is not None
                day = None if step.kind in (K.APPROVAL, K.DEPOSIT) else self._back_on(planned)
                found[AWAITED[K(step.kind)][0]] = Awaited(AWAITED[K(step.kind)][0], day, overdue)
        return tuple(found.values())

    def _wanted(self) -> list[Step]:
        """The open step of each strand that comes first."""
        wanted: dict[str, Step] = {}
        for step in self.ready:
            if step.kind in (K.APPROVAL, K.DEPOSIT) or step.track not in wanted:
                wanted[step.kind if step.kind in (K.APPROVAL, K.DEPOSIT) else step.track] = step
        return list(wanted.values())

    def _strands(self) -> list[Said]:
        """The strands: doors, carcasses, and bought-in parts only where they are to be ordered or come in last."""
        wanted = [step for step in self._wanted() if step.track in SPLIT_TRACKS]
        to_order = [step for step in wanted if step.kind in (K.MATERIALS, K.BOUGHT_IN) and not self._is_running(step)]
        said = [self._step(step) for step in wanted if step not in to_order and not self._comes_in_time(step)]
        if len(to_order) == 2:
            return [*said, Said("Order materials and bought-in parts")]
        return said + [self._step(step) for step in to_order]

    def _is_running(self, step: Step) -> bool:
        planned = self.planned.get(step.pk)
        return planned is not None and planned.is_running

    def _comes_in_time(self, step: Step) -> bool:
        """Bought-in parts that nothing waits for."""
        planned = self.planned.get(step.pk)
        if step.track != Track.BOUGHT_IN or planned is None or planned.was_due_on is not None:
            return False
        others = [one.ends.day for one in self.plan.steps if one.track in (Track.DOORS, Track.CARCASSES)]
        return self._back_on(planned) <= max(others, default=dt.date.min)

    def _step(self, step: Step) -> Said:
        planned = self.planned.get(step.pk)
        visit = self.visits.get(step.pk) or self.visits.get(step.kind)
        if visit is not None and not (planned and planned.is_running):
            return Said(self.say_visit(visit))
        if planned is None:
            return Said(WORDS_BY_KIND.get(step.kind, OTHER_WORDS)[0].split(",")[0])
        if step.kind in AWAITED and planned.is_running:
            return self._awaiting(step, planned)
        if step.track == Track.CARCASSES and step.kind != K.MATERIALS:
            return self._strand_done(planned)
        words = WORDS_BY_KIND.get(step.kind, OTHER_WORDS)[int(planned.is_running)]
        return Said(
            words.format(day=self._say(self._aim(planned)), start=self._say(planned.starts.day)),
            is_late=planned.is_late and self._is_short,
        )

    def _awaiting(self, step: Step, planned: PlannedStep) -> Said:
        _, waiting, overdue = AWAITED[K(step.kind)]
        if planned.was_due_on is not None:
            return Said(overdue.format(due=self._say(planned.was_due_on)), is_late=True)
        return Said(waiting.format(day=self._say(self._back_on(planned))))

    def _strand_done(self, planned: PlannedStep) -> Said:
        """Whole strand, as that is what the knot waits for."""
        last = [step for step in self.plan.steps if step.track == planned.track][-1]
        return Said(f"Carcasses done {self._say(last.ends.day)}")

    def _aim(self, planned: PlannedStep) -> dt.date:
        """The day to say: once begun, when it will be done; before, the latest start that keeps the dates."""
        if planned.is_running or planned.latest_start is None or self.plan.slack_half_days is None:
            return planned.ends.day
        return max(planned.latest_start.day, self.live.today)

    def _back_on(self, planned: PlannedStep) -> dt.date:
        return (planned.free_from or planned.ends).day

    @property
    def _is_short(self) -> bool:
        return self.plan.slack_half_days is not None and self.plan.slack_half_days < 0

    def _next_visit(self, said: list[Said]) -> list[Said]:
        """The next visit of the job, after what has to be done for it."""
        coming = sorted(
            (visit for visit in self.visits.values() if visit.kind != VisitKind.RETURN and visit.starts_at),
            key=lambda visit: visit.starts_at or self.live.now,
        )
        words = [Said(self.say_visit(coming[0]))] if coming else []
        return [one for one in words if one not in said]

    def _missed_visits(self) -> list[Said]:
        return [
            Said(
                f"{VISIT_WORDS[VisitKind(visit.kind)]} was booked for {self._say(self._day(visit))}: done?",
                is_late=True,
            )
            for visit in self.live.visits.get(self.plan.commission_id, ())
            if visit.state == VisitState.ARRANGED
            and visit.kind != VisitKind.RETURN
            and visit.ends_at is not None
            and visit.ends_at <= self.live.now
        ]

    def _late_by_the_plan(self) -> list[Said]:
        """There would be time, but others hold the hands, the van or the floor."""
        if self.plan.late_half_days == 0 or self._is_short:
            return []
        return [Said("The plan has no room for it in time", is_late=True)]

    def say_visit(self, visit: Visit) -> str:
        """ "Carry in Thu 11, let in 8:30 to 9:15"; "Survey Wed 17, 10:00"."""
        words = f"{VISIT_WORDS[VisitKind(visit.kind)]} {self._say(self._day(visit))}"
        access = self.live.visit_access.get(visit.pk)
        if access is None and visit.kind == VisitKind.DELIVERY:
            access = self.live.access.get(visit.commission_id)
        if access is not None:
            return f"{words}, let in {say_clock(access.slot_starts)} to {say_clock(access.slot_ends)}"
        assert visit.starts_at is not None
        return f"{words}, {say_clock(self.live.workshop.local(visit.starts_at).time())}"

    def _day(self, visit: Visit) -> dt.date:
        assert visit.starts_at is not None
        return self.live.workshop.local_day(visit.starts_at)

    def _say(self, day: dt.date) -> str:
        return say_day(day, self.live.today)
