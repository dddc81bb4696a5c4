"""An instance turned into arrays by position: what every method of the planner works on.

Positions are those of the steps sorted by id. History is folded in here: finished steps and leads under way have a
place that cannot change, and what they demand of later steps becomes a bound on those steps.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from jobs.planning.arcs import Arc
from jobs.planning.calendars import first_open, open_run
from jobs.planning.network import DAYS, FloorSpan, Instance, Link, Placed, Step


@dataclass(frozen=True)
class Span:
    """Floor of one commission, by position; `first` is None where its carcasses are already standing."""

    first: int | None
    last: int
    resource: int
    amount: int
    inside: tuple[int, ...]
    """Steps on a path from the first to the last, which may be held back to keep the floor free."""


@dataclass
class Compiled:
    instance: Instance
    steps: tuple[Step, ...]
    index: dict[str, int]
    resource_index: dict[str, int]
    order: list[int] = field(default_factory=list)
    """All positions in topological order."""
    by_commission: dict[str, list[int]] = field(default_factory=dict)
    """Positions of each commission that are still to be placed, in topological order."""
    preds: list[list[Arc]] = field(default_factory=list)
    succs: list[list[Arc]] = field(default_factory=list)
    history: list[list[Arc]] = field(default_factory=list)
    """Arcs whose `before` lies in the past: already folded into `lower` and `soft_start`."""
    durations: list[int] = field(default_factory=list)
    lead_ends: list[tuple[int, ...] | None] = field(default_factory=list)
    demands: list[tuple[tuple[int, int], ...]] = field(default_factory=list)
    open_starts: list[int] = field(default_factory=list)
    """Start masks by calendars alone."""
    masks: list[int] = field(default_factory=list)
    """Start masks with everything known beforehand: calendars, now, earliest and fixed dates."""
    lower: list[int] = field(default_factory=list)
    soft_start: list[int | None] = field(default_factory=list)
    """Latest start that breaks no date (fixed and latest dates, windows that began in the past)."""
    soft_end: list[int | None] = field(default_factory=list)
    past: dict[int, Placed] = field(default_factory=dict)
    spans: dict[str, list[Span]] = field(default_factory=dict)
    capacity: list[list[int]] = field(default_factory=list)
    """Per resource and slot. Floor that is already stood on counts as there, even where that is too much."""

    def end_of(self, i: int, start: int) -> int:
        table = self.lead_ends[i]
        return start + self.durations[i] if table is None else table[start]

    def last_start_ending_by(self, i: int, end: int) -> int:
        """Latest start whose end is not after `end`, calendars aside; below zero where there is none."""
        table = self.lead_ends[i]
        return end - self.durations[i] if table is None else bisect_right(table, end) - 1

    def first_start_ending_from(self, i: int, end: int) -> int:
        """Earliest start whose end is not before `end`, calendars aside."""
        table = self.lead_ends[i]
        return end - self.durations[i] if table is None else bisect_left(table, end)

    def late_half_days(self, i: int, place: Placed) -> int:
        late = 0
        latest, promise = self.soft_start[i], self.soft_end[i]
        if latest is not None:
            late = max(late, place.start - latest)
        if promise is not None:
            late = max(late, place.end - promise)
        return late


def compile_instance(instance: Instance) -> Compiled:
    """Raises ValueError on a cycle or an unknown id: run `validate` first, which says so in sentences."""
    steps = tuple(sorted(instance.steps, key=lambda step: step.id))
    resources = sorted(instance.resources, key=lambda resource: resource.id)
    compiled = Compiled(
        instance,
        steps,
        {step.id: i for i, step in enumerate(steps)},
        {resource.id: r for r, resource in enumerate(resources)},
    )
    _add_durations(compiled)
    _add_past(compiled)
    _add_arcs(compiled)
    _add_masks(compiled)
    _add_history(compiled)
    compiled.order = topological_order(compiled)
    for commission in sorted(instance.commissions, key=lambda commission: commission.id):
        compiled.by_commission[commission.id] = []
    for i in compiled.order:
        if i not in compiled.past:
            compiled.by_commission[steps[i].commission_id].append(i)
    for span in instance.floor_spans:
        _add_span(compiled, span)
    compiled.capacity = [list(resource.capacity) for resource in resources]
    _add_standing_floor(compiled)
    return compiled


def _add_durations(compiled: Compiled) -> None:
    instance = compiled.instance
    subcontractors = {other.id: other for other in instance.subcontractors}
    tables: dict[tuple[str, int], tuple[int, ...]] = {}
    for step in compiled.steps:
        table = None
        if step.lead_days is not None:
            key = (step.subcontractor_id or "", step.lead_days)
            if key not in tables:
                other = subcontractors[key[0]]
                tables[key] = other.ready_table(key[1])
            table = tables[key]
        compiled.lead_ends.append(table)
        compiled.durations.append(_half_days_to_plan(step, instance.first_slot))
        compiled.demands.append(
            tuple(sorted((compiled.resource_index[r], n) for r, n in step.demands.items() if n > 0))
        )


def _half_days_to_plan(step: Step, first_slot: int) -> int:
    if step.started_slot is None:
        return step.duration_half_days
    if step.remaining_half_days is not None:
        return step.remaining_half_days
    return max(1, step.duration_half_days - max(0, first_slot - step.started_slot))


def _add_past(compiled: Compiled) -> None:
    now = compiled.instance.first_slot
    for i, step in enumerate(compiled.steps):
        if step.finished_slot is not None:
            start = step.finished_slot if step.started_slot is None else step.started_slot
            compiled.past[i] = Placed(min(start, step.finished_slot), step.finished_slot)
        elif step.started_slot is not None and step.lead_days is not None:
            # Overdue at the subcontractor: the earliest it can come back is now.
            ready = compiled.end_of(i, max(step.started_slot, 0))
            compiled.past[i] = Placed(step.started_slot, max(ready, now))


def _add_arcs(compiled: Compiled) -> None:
    compiled.preds = [[] for _ in compiled.steps]
    compiled.succs = [[] for _ in compiled.steps]
    compiled.history = [[] for _ in compiled.steps]
    for link in sorted(compiled.instance.links, key=lambda link: (link.before, link.after)):
        arc = _arc(compiled, link)
        step = compiled.steps[arc.after]
        if arc.after in compiled.past or step.started_slot is not None:
            continue  # it has begun, so whatever it waited for no longer binds
        if arc.before in compiled.past:
            compiled.history[arc.after].append(arc)
        else:
            compiled.preds[arc.after].append(arc)
            compiled.succs[arc.before].append(arc)


def _arc(compiled: Compiled, link: Link) -> Arc:
    days = compiled.instance.axis.ordinals if link.unit == DAYS else None
    return Arc(compiled.index[link.before], compiled.index[link.after], link.least_wait, link.greatest_wait, days)


def _add_masks(compiled: Compiled) -> None:
    instance = compiled.instance
    open_masks = {calendar.id: calendar.open_mask for calendar in instance.calendars}
    for i, step in enumerate(compiled.steps):
        mask = instance.axis.all_open
        for calendar_id in step.needs:
            mask &= open_masks[calendar_id]
        table = compiled.lead_ends[i]
        if table is None:
            mask = open_run(mask, max(1, compiled.durations[i]))
        else:
            mask &= (1 << bisect_left(table, instance.slot_count)) - 1
        compiled.open_starts.append(mask)
        bounds = (instance.first_slot, step.earliest_slot, step.fixed_slot, step.frozen_slot)
        lower = max(bound for bound in bounds if bound is not None)
        compiled.lower.append(lower)
        compiled.masks.append(mask >> lower << lower)
        latest = [slot for slot in (step.fixed_slot, step.latest_slot) if slot is not None]
        compiled.soft_start.append(min(latest, default=None))
        compiled.soft_end.append(step.promise_slot)


def _add_history(compiled: Compiled) -> None:
    """A window opened by something already done cannot be moved any more, so missing it is late, not impossible."""
    for i, arcs in enumerate(compiled.history):
        for arc in arcs:
            end = compiled.past[arc.before].end
            raise_lower(compiled, i, arc.earliest_start(end))
            latest, window = compiled.soft_start[i], arc.latest_start(end)
            if window is not None:
                compiled.soft_start[i] = window if latest is None else min(latest, window)


def raise_lower(compiled: Compiled, i: int, slot: int) -> None:
    """No start of step i before slot."""
    if slot > compiled.lower[i]:
        compiled.lower[i] = slot
        compiled.masks[i] = compiled.masks[i] >> slot << slot


def topological_order(compiled: Compiled) -> list[int]:
    """Kahn's algorithm, smallest position first. Raises ValueError where there is a cycle."""
    waiting = [len(arcs) for arcs in compiled.preds]
    ready = sorted((i for i, count in enumerate(waiting) if count == 0), reverse=True)
    order: list[int] = []
    while ready:
        i = ready.pop()
        order.append(i)
        for arc in compiled.succs[i]:
            waiting[arc.after] -= 1
            if waiting[arc.after] == 0:
                ready.append(arc.after)
    if len(order) < len(compiled.steps):
        raise ValueError("the steps go round in a circle")
    return order


def _add_span(compiled: Compiled, span: FloorSpan) -> None:
    first, last = compiled.index[span.first_step], compiled.index[span.last_step]
    if last in compiled.past:
        return  # loaded: the floor is free again
    begun = first in compiled.past or compiled.steps[first].started_slot is not None
    inside = _reached(compiled.succs, first, "after") & _reached(compiled.preds, last, "before")
    found = Span(
        None if begun else first,
        last,
        compiled.resource_index[span.resource_id],
        span.amount,
        tuple(i for i in compiled.order if i in inside),
    )
    compiled.spans.setdefault(span.commission_id, []).append(found)


def _add_standing_floor(compiled: Compiled) -> None:
    standing: dict[int, int] = {}
    for spans in compiled.spans.values():
        for span in spans:
            if span.first is None:
                standing[span.resource] = standing.get(span.resource, 0) + span.amount
    now = compiled.instance.first_slot
    for resource, amount in standing.items():
        have = compiled.capacity[resource]
        have[now:] = [max(there, amount) for there in have[now:]]


def _reached(arcs_of: list[list[Arc]], start: int, side: str) -> set[int]:
    seen, todo = {start}, [start]
    while todo:
        for arc in arcs_of[todo.pop()]:
            other: int = getattr(arc, side)
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return seen


def floor_from(compiled: Compiled, span: Span, places: Mapping[int, Placed]) -> int:
    """Slot from which the floor is taken: now, where the carcasses already stand."""
    return compiled.instance.first_slot if span.first is None else places[span.first].start


def earliest_possible(compiled: Compiled, i: int) -> int | None:
    """First start of step i by its own calendars and dates."""
    return first_open(compiled.masks[i], compiled.lower[i])


def to_place(compiled: Compiled) -> Iterator[int]:
    """Positions still to be placed, in topological order."""
    return (i for i in compiled.order if i not in compiled.past)
