"""Placing one commission into what the others leave free: serial schedule generation on bit masks.

Forward pass in topological order; where a step would come too long after another, that other one is made to start
later and the pass begins again; then everything that stands on the floor is moved as late as its successors allow.
Every bound only ever rises, so this ends.
"""

from __future__ import annotations

from collections.abc import Mapping

from jobs.planning.calendars import first_open, last_open, span_mask
from jobs.planning.compiled import Compiled, Span, floor_from
from jobs.planning.network import Placed
from jobs.planning.profile import Profile

Places = dict[int, Placed]

AGAIN: Places = {}
"""Told apart by identity: a commission with nothing left to place has an empty answer too."""


def place_commission(
    compiled: Compiled,
    profile: Profile,
    commission_id: str,
    not_before: Mapping[int, int] | None = None,
    hold_back: bool = True,
) -> Places | None:
    """Places for all its steps, taken from the profile; None, and the profile untouched, where there is no room.

    `not_before`: start bounds by position on top of those of the instance. `hold_back`: carcasses as late as
    loading allows, to keep the floor free.
    """
    lower = {i: compiled.lower[i] for i in compiled.by_commission[commission_id]}
    for i, slot in (not_before or {}).items():
        lower[i] = max(lower[i], slot)
    spans = compiled.spans.get(commission_id, [])
    while True:
        trial = profile.copy()
        found = _forward(compiled, trial, compiled.by_commission[commission_id], lower)
        if found is None:
            return None
        if found is AGAIN:
            continue
        for span in spans if hold_back else ():
            _hold_back(compiled, trial, found, span)
        answer = _take_floor(compiled, trial, spans, found, lower)
        if answer is None:
            return None
        if answer:
            profile.levels = trial.levels
            return found


def _forward(compiled: Compiled, trial: Profile, positions: list[int], lower: dict[int, int]) -> Places | None:
    """None: no room on the axis. AGAIN: a bound in `lower` was raised."""
    places: Places = {}
    for i in positions:
        bound = lower[i]
        for arc in compiled.preds[i]:
            bound = max(bound, arc.earliest_start(places[arc.before].end))
        start = first_open(compiled.masks[i] & trial.room(compiled, i), bound)
        if start is None:
            return None
        for arc in compiled.preds[i]:
            needed = arc.earliest_end(start)
            if needed is not None and places[arc.before].end < needed:
                lower[arc.before] = compiled.first_start_ending_from(arc.before, needed)
                return AGAIN
        places[i] = Placed(start, compiled.end_of(i, start))
        trial.take_step(compiled, i, places[i])
    return places


def _hold_back(compiled: Compiled, trial: Profile, places: Places, span: Span) -> None:
    """Carcasses and what follows them as late as possible before loading, so that the floor is free longer."""
    for i in reversed(span.inside):
        if i == span.last:
            continue
        trial.give_back_step(compiled, i, places[i])
        start = latest_keeping_order(compiled, trial, places, i)
        if start is not None and start > places[i].start:
            places[i] = Placed(start, compiled.end_of(i, start))
        trial.take_step(compiled, i, places[i])


def latest_keeping_order(compiled: Compiled, trial: Profile, places: Mapping[int, Placed], i: int) -> int | None:
    """Latest start of i with all others where they are; its own demands must have been given back."""
    end = compiled.instance.slot_count
    for arc in compiled.succs[i]:
        end = min(end, arc.latest_end(places[arc.after].start))
    promise, latest = compiled.soft_end[i], compiled.soft_start[i]
    if promise is not None:
        end = min(end, promise)
    start = compiled.last_start_ending_by(i, end)
    if latest is not None:
        start = min(start, latest)
    for arc in compiled.preds[i]:
        until = arc.latest_start(places[arc.before].end)
        if until is not None:
            start = min(start, until)
    return last_open(compiled.masks[i] & trial.room(compiled, i), start)


def earliest_keeping_order(
    compiled: Compiled, trial: Profile, places: Mapping[int, Placed], i: int, not_before: int = 0
) -> int | None:
    """Earliest start of i with all others where they are; its own demands must have been given back."""
    bound = max(compiled.lower[i], not_before)
    for arc in compiled.preds[i]:
        bound = max(bound, arc.earliest_start(places[arc.before].end))
    for arc in compiled.succs[i]:
        needed = arc.earliest_end(places[arc.after].start)
        if needed is not None:
            bound = max(bound, compiled.first_start_ending_from(i, needed))
    return first_open(compiled.masks[i] & trial.room(compiled, i), bound)


def _take_floor(
    compiled: Compiled, trial: Profile, spans: list[Span], places: Places, lower: dict[int, int]
) -> bool | None:
    """True: taken. False: the carcasses must wait for the floor, begin again. None: no floor to be had."""
    for span in spans:
        wanted = span_mask(floor_from(compiled, span, places), places[span.last].end)
        blocked = wanted & ~trial.free(span.resource, span.amount)
        if blocked:
            if span.first is None:
                return None
            lower[span.first] = blocked.bit_length()
            return False
        trial.take(span.resource, span.amount, wanted)
    return True


def tidy(compiled: Compiled, profile: Profile, places: Places) -> None:
    """Move to its earliest place every step that does not stand on the floor: one plan among its equals.

    Never makes anything later, so no term of the cost rises. `profile` must hold exactly these places.
    """
    standing = {i for spans in compiled.spans.values() for span in spans for i in span.inside}
    placed = [i for i in compiled.order if i in places and i not in compiled.past and i not in standing]
    for i in sorted(placed, key=lambda i: (places[i].start, i)):
        profile.give_back_step(compiled, i, places[i])
        start = earliest_keeping_order(compiled, profile, places, i)
        if start is not None and start < places[i].start:
            places[i] = Placed(start, compiled.end_of(i, start))
        profile.take_step(compiled, i, places[i])
