"""Earliest and latest dates by waits and calendars alone, free of resources; the slack of a commission.

The forward and backward pass is that of the critical path method (Kelley and Walker 1959), with calendars and
greatest waits added, for which each pass is repeated until nothing moves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.planning.calendars import first_open, last_open
from jobs.planning.compiled import Compiled, compile_instance, to_place
from jobs.planning.network import Instance

WRAP = "wrap"


@dataclass(frozen=True)
class Window:
    """Earliest and latest place of one step, in slots; ends are exclusive."""

    earliest_start: int
    earliest_end: int
    latest_start: int
    latest_end: int

    @property
    def float_half_days(self) -> int:
        """How far it may slip without breaking a date; below zero where a date is already lost."""
        return self.latest_start - self.earliest_start


@dataclass(frozen=True)
class Slack:
    """Half-days to spare at the step where the strands meet (wrap), towards the next fixed client date."""

    half_days: int
    join_step_id: str
    fixed_step_id: str
    later_track: str
    later_step_id: str
    """The last step of the strand that comes in later."""


def earliest_starts(compiled: Compiled) -> dict[int, int]:
    """Forward pass. A step that no longer fits the axis gets the slot count, and so does all that follows it."""
    beyond = compiled.instance.slot_count
    floor = list(compiled.lower)
    starts: dict[int, int] = {}
    for _round in range(len(compiled.steps) + 1):
        moved = False
        for i in to_place(compiled):
            bound = floor[i]
            for arc in compiled.preds[i]:
                bound = max(bound, arc.earliest_start(_end(compiled, arc.before, starts[arc.before])))
            found = first_open(compiled.masks[i], min(bound, beyond))
            starts[i] = beyond if found is None else found
            for arc in compiled.preds[i]:
                # Too long after what it follows: that step has to wait for this one.
                needed = arc.earliest_end(starts[i])
                if needed is not None and starts[i] < beyond and starts[arc.before] < beyond:
                    first = compiled.first_start_ending_from(arc.before, needed)
                    if first > starts[arc.before]:
                        floor[arc.before], moved = first, True
        if not moved:
            break
    return starts


def _end(compiled: Compiled, i: int, start: int) -> int:
    return compiled.instance.slot_count if start >= compiled.instance.slot_count else compiled.end_of(i, start)


def latest_starts(
    compiled: Compiled,
    latest_end: Mapping[int, int],
    positions: Sequence[int] | None = None,
    use_dates: bool = False,
) -> dict[int, int]:
    """Backward pass from the given latest ends (and, with use_dates, from every fixed, latest and promised date).

    `positions`: those of one commission in topological order (no link leaves it); None for all of them.
    A latest start may lie before now, or before the axis (below zero): then the date cannot be kept any more.
    """
    far = compiled.instance.slot_count
    starts: dict[int, int] = {}
    cap: dict[int, int] = {}
    order = list(to_place(compiled)) if positions is None else positions
    for _round in range(len(compiled.steps) + 1):
        moved = False
        for i in reversed(order):
            end = latest_end.get(i, far)
            for arc in compiled.succs[i]:
                end = min(end, arc.latest_end(starts[arc.after]))
            start = min(compiled.last_start_ending_by(i, end), cap.get(i, far))
            if use_dates:
                start = _within_dates(compiled, i, start)
            found = last_open(compiled.open_starts[i], start)
            starts[i] = start if found is None else found
            for arc in compiled.preds[i]:
                before = starts.get(arc.before)
                until = None if before is None else arc.latest_start(compiled.end_of(arc.before, max(before, 0)))
                if until is not None and before is not None and before >= 0 and until < starts[i]:
                    cap[i], moved = min(cap.get(i, far), until), True
        if not moved:
            break
    return starts


def _within_dates(compiled: Compiled, i: int, start: int) -> int:
    latest, promise = compiled.soft_start[i], compiled.soft_end[i]
    if latest is not None:
        start = min(start, latest)
    if promise is not None:
        start = min(start, compiled.last_start_ending_by(i, promise))
    return start


def critical_path(instance: Instance) -> dict[str, Window]:
    """Window of each step that is not finished, by id.

    Latest dates come from the commission's own dates (fixed, latest, promised); a commission without any is measured
    against its own earliest end, so that its longest chain has float 0.
    Raises ValueError where the network has a cycle (run `validate` first).
    """
    compiled = compile_instance(instance)
    return windows_in(compiled, earliest_starts(compiled))


def windows_in(compiled: Compiled, early: Mapping[int, int]) -> dict[str, Window]:
    """`critical_path` of an instance compiled and passed forward already."""
    ends: dict[int, int] = {}
    for positions in compiled.by_commission.values():
        dated = any(compiled.soft_start[i] is not None or compiled.soft_end[i] is not None for i in positions)
        if positions and not dated:
            finish = max(_end(compiled, i, early[i]) for i in positions)
            ends.update(dict.fromkeys(positions, finish))
    late = latest_starts(compiled, ends, use_dates=True)
    return {
        compiled.steps[i].id: Window(early[i], _end(compiled, i, early[i]), late[i], _late_end(compiled, i, late[i]))
        for i in early
    }


def _late_end(compiled: Compiled, i: int, start: int) -> int:
    return compiled.end_of(i, start) if start >= 0 else start + compiled.durations[i]


def slack(instance: Instance, commission_id: str) -> Slack | None:
    """Latest start of wrap that keeps the next fixed client date, minus the later strand's earliest finish.

    Where wrap is done or the network has none, the first step still to come takes its place. None where no fixed or
    promised client date lies ahead. Half-days of the workshop; below zero: the date cannot be kept.
    """
    return slack_in(compile_instance(instance), commission_id)


def all_slacks(instance: Instance) -> dict[str, Slack | None]:
    """Slack of every commission at once (one forward pass): what the job board asks for."""
    compiled = compile_instance(instance)
    early = earliest_starts(compiled)
    return {commission_id: slack_in(compiled, commission_id, early) for commission_id in compiled.by_commission}


def slack_in(compiled: Compiled, commission_id: str, early: dict[int, int] | None = None) -> Slack | None:
    early = earliest_starts(compiled) if early is None else early
    positions = compiled.by_commission[commission_id]
    wraps = [i for i in positions if compiled.steps[i].kind == WRAP]
    for join in wraps + positions:
        fixed = _next_fixed(compiled, join, early)
        if fixed is not None:
            break
    else:
        return None
    late = latest_starts(compiled, {fixed: _fixed_end(compiled, fixed)}, positions)
    ready, strand = _later_strand(compiled, join, early)
    last = compiled.steps[strand]
    return Slack(late[join] - ready, compiled.steps[join].id, compiled.steps[fixed].id, last.track, last.id)


def _next_fixed(compiled: Compiled, join: int, early: dict[int, int]) -> int | None:
    """The dated step that `join` leads to (or is) whose date comes first."""
    reached, todo = {join}, [join]
    while todo:
        for arc in compiled.succs[todo.pop()]:
            if arc.after not in reached:
                reached.add(arc.after)
                todo.append(arc.after)
    dated = [(_fixed_end(compiled, i), i) for i in sorted(reached) if _has_client_date(compiled, i)]
    return min(dated)[1] if dated else None


def _has_client_date(compiled: Compiled, i: int) -> bool:
    step = compiled.steps[i]
    return step.fixed_slot is not None or step.promise_slot is not None


def _fixed_end(compiled: Compiled, i: int) -> int:
    """Latest end of a dated step that keeps its date."""
    step, ends = compiled.steps[i], []
    if step.fixed_slot is not None:
        ends.append(compiled.end_of(i, step.fixed_slot))
    if step.promise_slot is not None:
        ends.append(step.promise_slot)
    return min(ends)


def _later_strand(compiled: Compiled, join: int, early: dict[int, int]) -> tuple[int, int]:
    """Earliest slot at which `join` could start by its strands, and the last step of the one that decides."""
    ready, strand = compiled.instance.first_slot, join
    for arc in compiled.preds[join]:
        bound = arc.earliest_start(_end(compiled, arc.before, early[arc.before]))
        if bound > ready:
            ready, strand = bound, arc.before
    for arc in compiled.history[join]:
        bound = arc.earliest_start(compiled.past[arc.before].end)
        if bound > ready:
            ready, strand = bound, arc.before
    return ready, strand
