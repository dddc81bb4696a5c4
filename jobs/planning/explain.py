"""Why a step stands where it stands: the binding reason, and the chain of reasons back to today or a fixed date."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from jobs.planning.calendars import first_open, last_open, open_run, span_mask
from jobs.planning.compiled import Compiled, compile_instance
from jobs.planning.network import Instance, Placed, Plan
from jobs.planning.profile import Profile
from jobs.planning.validate import validate

LONGEST_CHAIN = 40


@dataclass(frozen=True)
class Reason:
    """Why one step does not start earlier. `kind` is one of: done, under way, today, fixed, earliest, frozen, after,
    calendar, resource, floor, held back, window, free."""

    kind: str
    words: str
    because_of: str | None = None
    """Id of the step at which the chain goes on."""


class Explainer:
    """Reasons of one plan; made once, asked for any number of steps."""

    def __init__(self, instance: Instance, plan: Plan) -> None:
        good, _refused = validate(instance)
        set_aside = {one.commission_id for one in plan.refused}
        self.compiled = compiled = compile_instance(good)
        self.axis = instance.axis
        self.commissions = [id for id in compiled.by_commission if id not in set_aside]
        self.places: dict[int, Placed] = {
            compiled.index[id]: place for id, place in plan.places.items() if id in compiled.index
        }
        self.profile = Profile.empty(compiled)
        for id in self.commissions:
            self.profile.take_commission(compiled, id, self.places)
        self.calendars = {calendar.id: calendar for calendar in good.calendars}
        self.resources = sorted(good.resources, key=lambda resource: resource.id)
        self.words = {one.id: one.words for one in good.commissions}
        self.standing = {i for spans in compiled.spans.values() for span in spans for i in span.inside}
        self.holders = _holders(compiled, self.commissions)

    def reason(self, i: int) -> Reason:
        """The binding reason of the step at position i."""
        step, place = self.compiled.steps[i], self.places[i]
        if step.finished_slot is not None:
            return Reason("done", f"was finished on {self.axis.say(place.end - 1)}")
        if step.started_slot is not None:
            return Reason("under way", f"has been under way since {self.axis.say(step.started_slot)}")
        bound, why = self._bound(i)
        if bound >= place.start:
            return why
        return self._calendar(i, bound) or self._resource(i, bound, why) or self._later(i, why)

    def _bound(self, i: int) -> tuple[int, Reason]:
        """The latest of the bounds set by dates and by what must come before."""
        step, now = self.compiled.steps[i], self.compiled.instance.first_slot
        bounds = [(now, Reason("today", "can start at once"))]
        if step.earliest_slot is not None:
            bounds.append(
                (step.earliest_slot, Reason("earliest", f"may not start before {self.axis.say(step.earliest_slot)}"))
            )
        for arc in self.compiled.preds[i] + self.compiled.history[i]:
            slot = arc.earliest_start(self.places[arc.before].end)
            bounds.append((slot, self._after(arc.before, arc.least, arc.day_of_slot is not None)))
        if step.frozen_slot is not None:
            words = "stays as it is, within the next five working days"
            bounds.append((step.frozen_slot, Reason("frozen", words)))
        if step.fixed_slot is not None:
            words = f"is agreed for {self.axis.say(step.fixed_slot)}"
            bounds.append((step.fixed_slot, Reason("fixed", words)))
        # Of equal bounds the later in the list wins: a date agreed says more than the step before it.
        return max(reversed(bounds), key=lambda pair: pair[0])

    def _after(self, before: int, wait: int, in_days: bool) -> Reason:
        step, place = self.compiled.steps[before], self.places[before]
        unit = "days" if in_days else "half-days"
        gap = f" and the {wait} {unit} after it" if wait else ""
        words = f"follows {step.words}{gap} (done {self.axis.say(place.end - 1)})"
        if step.lead_days is not None and step.subcontractor_id is not None:
            other = next(o for o in self.compiled.instance.subcontractors if o.id == step.subcontractor_id)
            words = f"follows {step.words}{gap} ({other.words} needs {step.lead_days} working days)"
        return Reason("after", words, step.id)

    def _calendar(self, i: int, bound: int) -> Reason | None:
        """No allowed start between the bound and its place: whose calendar shuts the last slot before it?"""
        place = self.places[i]
        if first_open(self.compiled.masks[i], bound) != place.start:
            return None
        length = 1 if self.compiled.lead_ends[i] is not None else self.compiled.durations[i]
        shut = [
            self.calendars[need].words
            for need in self.compiled.steps[i].needs
            if not open_run(self.calendars[need].open_mask, length) >> (place.start - 1) & 1
        ]
        words = " and ".join(shut) or "the calendars taken together"
        return Reason("calendar", f"waits for {words}", self._link_on(i))

    def _link_on(self, i: int) -> str | None:
        """Where the chain goes on behind a calendar, a resource or the floor: the step that came last before it."""
        return self._bound(i)[1].because_of

    def _resource(self, i: int, bound: int, why: Reason) -> Reason | None:
        """No start with enough of everything free: which resource, and who holds it just before the place?"""
        compiled, place = self.compiled, self.places[i]
        self.profile.give_back_step(compiled, i, place)
        room = compiled.masks[i] & self.profile.room(compiled, i)
        short = self._short_of(i, bound) if first_open(room, bound) == place.start else None
        self.profile.take_step(compiled, i, place)
        if short is None:
            return None
        resource, slot = short
        name = self.resources[resource].words
        holder = self._holder(resource, i, slot)
        if holder is None:
            return Reason("resource", f"waits for {name}, not there on {self.axis.say(slot)}", why.because_of)
        step = compiled.steps[holder]
        words = f"waits for {name}, taken until then by {step.words} of {self.words[step.commission_id]}"
        return Reason("resource", words, step.id)

    def _short_of(self, i: int, bound: int) -> tuple[int, int] | None:
        """(resource, slot) that forbids the last start the calendars would have allowed before its place."""
        compiled, length = self.compiled, self.compiled.durations[i]
        start = last_open(compiled.masks[i], self.places[i].start - 1)
        if start is None or start < bound:
            return None
        for resource, amount in compiled.demands[i]:
            missing = span_mask(start, start + length) & ~self.profile.free(resource, amount)
            if missing:
                return resource, missing.bit_length() - 1
        return None

    def _holder(self, resource: int, i: int, slot: int) -> int | None:
        """Of the steps that hold the resource in that slot, the one that came last to it."""
        found = [
            j for j in self.holders.get(resource, ()) if j != i and self.places[j].start <= slot < self.places[j].end
        ]
        return max(found, key=lambda j: (self.places[j].start, -j), default=None)

    def _later(self, i: int, why: Reason) -> Reason:
        """It could start earlier. Held back for the floor, waiting for floor, or kept near what follows it."""
        compiled, place = self.compiled, self.places[i]
        for arc in compiled.succs[i]:
            needed = arc.earliest_end(self.places[arc.after].start)
            if needed is not None and compiled.end_of(i, place.start - 1) < needed:
                after = compiled.steps[arc.after]
                unit = "days" if arc.day_of_slot is not None else "half-days"
                words = f"is held back so that {after.words} comes within {arc.greatest} {unit}"
                return Reason("window", words, after.id)
        spans = compiled.spans.get(compiled.steps[i].commission_id, ())
        for span in spans:
            if span.first == i and self._floor_is_full(i, span.resource, span.amount):
                return Reason(
                    "floor",
                    f"waits for room on {self.resources[span.resource].words}",
                    self._longest(i) or why.because_of,
                )
        if i in self.standing:
            then = self._next_critical(i)
            until = f" until {compiled.steps[then].words} needs it" if then is not None else ""
            return Reason(
                "held back", f"is held back{until}, to keep the floor free", self._longest(i) or why.because_of
            )
        return Reason("free", f"could start from {self.axis.say(self._bound(i)[0])}", why.because_of)

    def _floor_is_full(self, i: int, resource: int, amount: int) -> bool:
        slot = self.places[i].start - 1
        return not self.profile.free(resource, amount) >> slot & 1

    def _next_critical(self, i: int) -> int | None:
        after = [arc.after for arc in self.compiled.succs[i]]
        return min(after, key=lambda j: (self.places[j].start, j), default=None)

    def _longest(self, i: int) -> str | None:
        """A held-back step explains nothing: go on with whatever else its loading waits for, the one in last."""
        compiled = self.compiled
        ahead, todo = {i}, [i]
        while todo:
            for arc in compiled.succs[todo.pop()]:
                if arc.after in self.standing and arc.after not in ahead:
                    ahead.add(arc.after)
                    todo.append(arc.after)
        others = {arc.before for j in ahead for arc in compiled.preds[j]} - ahead - self.standing
        if not others:
            return None
        return compiled.steps[max(others, key=lambda j: (self.places[j].end, -j))].id

    def chain(self, step_id: str) -> list[tuple[str, Reason]]:
        """(step id, reason) from the step back to today, a fixed date, or something that is not decided by a step."""
        found: list[tuple[str, Reason]] = []
        here: str | None = step_id
        seen: set[str] = set()
        while here is not None and here not in seen and len(found) < LONGEST_CHAIN:
            seen.add(here)
            position = self.compiled.index[here]
            reason = self.reason(position)
            if reason.because_of in seen:
                # What holds it is already told: go on with what it has to come after.
                link = self._link_on(position) if position not in self.compiled.past else None
                reason = replace(reason, because_of=None if link in seen else link)
            found.append((here, reason))
            here = reason.because_of
        return found


def _holders(compiled: Compiled, commissions: list[str]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for commission_id in commissions:
        for i in compiled.by_commission[commission_id]:
            for resource, _amount in compiled.demands[i]:
                found.setdefault(resource, []).append(i)
    return found


def explain_all(instance: Instance, plan: Plan) -> Mapping[str, Reason]:
    """The binding reason of every step in the plan."""
    explainer = Explainer(instance, plan)
    return {explainer.compiled.steps[i].id: explainer.reason(i) for i in sorted(explainer.places)}
