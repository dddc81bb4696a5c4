"""Part of a plan, or all of it, as a constraint model for CP-SAT. ortools is imported inside the functions only.

Calendars are domains of the start variables; what other commissions hold is taken out of the domains and capacities
before the model is built, which keeps it small. Leads and waits in calendar days are looked up by start slot.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from jobs.planning.arcs import Arc
from jobs.planning.calendars import first_open, last_open, span_mask
from jobs.planning.compiled import Compiled, Span
from jobs.planning.cost import (
    FLOOR_HALF_DAY,
    MOVED,
    MOVED_TOLD,
    SHIFT_HALF_DAY,
    late_cost_per_half_day,
)
from jobs.planning.network import Placed
from jobs.planning.profile import Profile


@dataclass
class Model:
    """A CP-SAT model over `positions`, with the masks its domains were made from."""

    compiled: Compiled
    profile: Profile
    positions: list[int]
    masks: dict[int, int]
    cp: Any
    starts: dict[int, Any] = field(default_factory=dict)
    ends: dict[int, Any] = field(default_factory=dict)
    intervals: dict[int, list[tuple[Any, int]]] = field(default_factory=dict)
    """Per resource: (interval, amount)."""
    stretchable: set[int] = field(default_factory=set)
    """Resources held by intervals of variable length (floor)."""
    terms: list[Any] = field(default_factory=list)
    most: int = 0
    """Upper bound of any lateness, in half-days."""


def start_masks(
    compiled: Compiled,
    profile: Profile,
    positions: Sequence[int],
    last_start: Mapping[int, int],
    latest_end: Mapping[int, int] | None = None,
) -> dict[int, int] | None:
    """Starts still possible for each step, cropped by least waits both ways; None where a step has none left.

    `positions` in topological order; `last_start` bounds each start, `latest_end` some ends.
    """
    masks: dict[int, int] = {}
    first: dict[int, int] = {}
    for i in positions:
        bound = compiled.lower[i]
        for arc in compiled.preds[i]:
            bound = max(bound, arc.earliest_start(compiled.end_of(arc.before, first[arc.before])))
        masks[i] = compiled.masks[i] & profile.room(compiled, i) & span_mask(bound, last_start[i] + 1)
        found = first_open(masks[i], bound)
        if found is None:
            return None
        first[i] = found
    last: dict[int, int] = {}
    for i in reversed(positions):
        end = (latest_end or {}).get(i, compiled.instance.slot_count)
        for arc in compiled.succs[i]:
            end = min(end, arc.latest_end(last[arc.after]))
        found = last_open(masks[i], compiled.last_start_ending_by(i, end))
        if found is None:
            return None
        last[i] = found
        masks[i] &= span_mask(0, found + 1)
    return masks


def build(
    compiled: Compiled, profile: Profile, positions: Sequence[int], masks: dict[int, int], commissions: Sequence[str]
) -> Model:
    """Variables, waits and resources of these commissions; the objective is added by the callers."""
    from ortools.sat.python import cp_model

    model = Model(compiled, profile, list(positions), masks, cp_model.CpModel())
    for i in positions:
        _add_step(model, i, cp_model.Domain)
    model.most = compiled.instance.slot_count
    for i in positions:
        for arc in compiled.preds[i]:
            _add_wait(model, arc)
    for commission_id in commissions:
        for span in compiled.spans.get(commission_id, ()):
            _add_floor(model, span)
    for resource in sorted(model.intervals):
        _add_capacity(model, resource)
    return model


def runs(mask: int) -> list[list[int]]:
    """Closed intervals [first, last] of the open slots of a mask."""
    found = []
    slot = 0
    while mask:
        gap = (mask & -mask).bit_length() - 1
        mask >>= gap
        slot += gap
        length = (~mask & (mask + 1)).bit_length() - 1
        found.append([slot, slot + length - 1])
        mask >>= length
        slot += length
    return found


def _add_step(model: Model, i: int, domain: Any) -> None:
    compiled, cp = model.compiled, model.cp
    start = cp.new_int_var_from_domain(domain.from_intervals(runs(model.masks[i])), f"s{i}")
    model.starts[i] = start
    if compiled.lead_ends[i] is None:
        model.ends[i] = start + compiled.durations[i]
    else:
        model.ends[i] = _looked_up(model, i, lambda slot: compiled.end_of(i, slot))
    for resource, amount in compiled.demands[i]:
        interval = cp.new_fixed_size_interval_var(start, compiled.durations[i], f"i{i}.{resource}")
        model.intervals.setdefault(resource, []).append((interval, amount))


def _looked_up(model: Model, i: int, value: Callable[[int], int]) -> Any:
    """An expression for value(start of i): affine where the table is, else an element constraint."""
    mask, start = model.masks[i], model.starts[i]
    low, high = first_open(mask, 0) or 0, mask.bit_length() - 1
    open_slots = [slot for slot in range(low, high + 1) if mask >> slot & 1]
    offsets = {value(slot) - slot for slot in open_slots}
    if len(offsets) == 1:
        return start + offsets.pop()
    table = [value(slot) for slot in range(low, high + 1)]
    target = model.cp.new_int_var(min(table), max(table), f"v{i}")
    model.cp.add_element(start - low, table, target)
    return target


def _add_wait(model: Model, arc: Arc) -> None:
    cp, after = model.cp, model.starts[arc.after]
    if arc.day_of_slot is None:
        cp.add(after >= model.ends[arc.before] + arc.least)
        if arc.greatest is not None:
            cp.add(after <= model.ends[arc.before] + arc.greatest)
        return
    end_of = model.compiled.end_of
    cp.add(after >= _looked_up(model, arc.before, lambda slot: arc.earliest_start(end_of(arc.before, slot))))
    if arc.greatest is not None:
        far = model.compiled.instance.slot_count

        def latest(slot: int) -> int:
            found = arc.latest_start(end_of(arc.before, slot))
            return far if found is None else found

        cp.add(after <= _looked_up(model, arc.before, latest))


def _add_floor(model: Model, span: Span) -> None:
    cp = model.cp
    start = model.compiled.instance.first_slot if span.first is None else model.starts[span.first]
    end = model.ends[span.last]
    size = cp.new_int_var(0, model.compiled.instance.slot_count, f"f{span.last}")
    interval = cp.new_interval_var(start, size, end, f"floor{span.last}")
    model.intervals.setdefault(span.resource, []).append((interval, span.amount))
    model.stretchable.add(span.resource)
    model.terms.append(FLOOR_HALF_DAY * span.amount * (end - start))


def _add_capacity(model: Model, resource: int) -> None:
    """Capacity is the most that is free in the window; where less is free, fixed blocks hold the difference."""
    held = model.intervals[resource]
    low = min((first_open(model.masks[i], 0) or 0) for i in model.positions)
    low = min(low, model.compiled.instance.first_slot) if resource in model.stretchable else low
    high = max(model.masks[i].bit_length() + model.compiled.durations[i] for i in model.positions)
    free = model.profile.amounts(resource, low, min(high, model.compiled.instance.slot_count))
    most = max(free, default=0)
    if sum(amount for _interval, amount in held) <= min(free, default=0):
        return
    blocks = _dips(free, most, low, zero_too=resource in model.stretchable)
    intervals = [interval for interval, _amount in held]
    demands = [amount for _interval, amount in held]
    for start, length, amount in blocks:
        intervals.append(model.cp.new_fixed_size_interval_var(start, length, f"d{resource}.{start}"))
        demands.append(amount)
    if most == 1:
        model.cp.add_no_overlap(intervals)
    else:
        model.cp.add_cumulative(intervals, demands, most)


def _dips(free: list[int], most: int, low: int, zero_too: bool) -> list[tuple[int, int, int]]:
    """(start, length, amount) of the blocks; slots with nothing free are already out of the fixed-length domains."""
    blocks: list[tuple[int, int, int]] = []
    for offset, there in enumerate(free):
        missing = most - there if there or zero_too else 0
        if blocks and blocks[-1][2] == missing and blocks[-1][0] + blocks[-1][1] == low + offset:
            blocks[-1] = (blocks[-1][0], blocks[-1][1] + 1, missing)
        else:
            blocks.append((low + offset, 1, missing))
    return [block for block in blocks if block[2] > 0]


def add_lateness(model: Model) -> None:
    """Cost of broken dates."""
    compiled, cp = model.compiled, model.cp
    for i in model.positions:
        latest, promise = compiled.soft_start[i], compiled.soft_end[i]
        cost = late_cost_per_half_day(compiled, i)
        if (latest is None and promise is None) or cost == 0:
            continue
        late = cp.new_int_var(0, model.most, f"late{i}")
        if latest is not None:
            cp.add(late >= model.starts[i] - latest)
        if promise is not None:
            cp.add(late >= model.ends[i] - promise)
        model.terms.append(cost * late)


def add_churn(model: Model, before: Mapping[str, Placed]) -> None:
    """Cost of moving: a count for dates told to clients, a small one and the size of the shift for the rest."""
    cp = model.cp
    for i in model.positions:
        step = model.compiled.steps[i]
        old = before.get(step.id)
        if old is None or step.started_slot is not None:
            continue
        start = model.starts[i]
        if step.told_client:
            moved = cp.new_bool_var(f"m{i}")
            cp.add(start == old.start).only_enforce_if(~moved)
            model.terms.append(MOVED_TOLD * moved)
        else:
            shift = cp.new_int_var(0, model.most, f"d{i}")
            cp.add(shift >= start - old.start)
            cp.add(shift >= old.start - start)
            moved = cp.new_bool_var(f"m{i}")
            cp.add(shift == 0).only_enforce_if(~moved)
            model.terms.append(SHIFT_HALF_DAY * shift + MOVED * moved)
