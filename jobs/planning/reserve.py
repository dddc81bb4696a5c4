"""What has its day already is reserved before anything is placed: work under way, frozen days, dates agreed."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.planning.calendars import span_mask
from jobs.planning.compiled import Compiled
from jobs.planning.insertion import Places
from jobs.planning.network import Placed
from jobs.planning.profile import Profile

_UNKNOWN = 3


def reserve_known(compiled: Compiled, profile: Profile, commission_ids: Iterable[str]) -> Places:
    """Take these from the profile where there is room; also the floor their carcasses already stand on."""
    positions = []
    for commission_id in commission_ids:
        positions += compiled.by_commission[commission_id]
        for span in compiled.spans.get(commission_id, ()):
            if span.first is None:
                profile.take(span.resource, span.amount, _rest_of_axis(compiled))
    reserved: Places = {}
    for rank, i in sorted((_rank(compiled, i), i) for i in positions):
        start = compiled.lower[i]
        if rank < _UNKNOWN and (compiled.masks[i] & profile.room(compiled, i)) >> start & 1:
            reserved[i] = Placed(start, compiled.end_of(i, start))
            profile.take_step(compiled, i, reserved[i])
    return reserved


def _rank(compiled: Compiled, i: int) -> int:
    step = compiled.steps[i]
    known = (step.started_slot, step.frozen_slot, step.fixed_slot)
    return next((rank for rank, slot in enumerate(known) if slot is not None), _UNKNOWN)


def _rest_of_axis(compiled: Compiled) -> int:
    return span_mask(compiled.instance.first_slot, compiled.instance.slot_count)


def release(compiled: Compiled, profile: Profile, commission_id: str, reserved: Places) -> None:
    """Give a commission back what was reserved for it, just before it is placed."""
    for i in compiled.by_commission[commission_id]:
        if i in reserved:
            profile.give_back_step(compiled, i, reserved.pop(i))
    for span in compiled.spans.get(commission_id, ()):
        if span.first is None:
            profile.give_back(span.resource, span.amount, _rest_of_axis(compiled))


def is_held(compiled: Compiled, i: int) -> bool:
    """Under way or frozen: no search may put it later to make room for something else."""
    step = compiled.steps[i]
    return step.started_slot is not None or step.frozen_slot is not None
