"""Right-shift repair: a valid plan close to the present one, standard library only.

Commissions whose places still hold stay exactly where they are; the others are put back with no step earlier than
it stood. It is the hint of every re-plan and its answer where the solver is missing or finds nothing in time.
"""

from __future__ import annotations

from collections.abc import Mapping

from jobs.planning.calendars import span_mask
from jobs.planning.compiled import Compiled, floor_from
from jobs.planning.first_plan import by_urgency, say_no_room
from jobs.planning.insertion import Places, place_commission
from jobs.planning.network import Placed, Refused
from jobs.planning.profile import Profile
from jobs.planning.reserve import release, reserve_known


def repair(compiled: Compiled, before: Mapping[str, Placed]) -> tuple[Places, tuple[Refused, ...]]:
    """Places for all commissions, and those for which there was no room left."""
    profile = Profile.empty(compiled)
    reserved = reserve_known(compiled, profile, compiled.by_commission)
    places: Places = dict(compiled.past)
    disturbed = []
    for commission_id in by_urgency(compiled):
        release(compiled, profile, commission_id, reserved)
        kept = _as_it_was(compiled, profile, commission_id, before)
        if kept is None:
            reserved.update(reserve_known(compiled, profile, [commission_id]))
            disturbed.append(commission_id)
        else:
            places.update(kept)
    refused = []
    for commission_id in disturbed:
        release(compiled, profile, commission_id, reserved)
        found = _shifted(compiled, profile, commission_id, before)
        if found is None:
            refused.append(say_no_room(compiled, commission_id))
        else:
            places.update(found)
    return places, tuple(refused)


def _as_it_was(
    compiled: Compiled, profile: Profile, commission_id: str, before: Mapping[str, Placed]
) -> Places | None:
    """All old places, taken from the profile, if every one of them is still possible."""
    trial = profile.copy()
    kept: Places = {}
    for i in compiled.by_commission[commission_id]:
        old = before.get(compiled.steps[i].id)
        if old is None:
            return None
        start = max(old.start, compiled.lower[i]) if compiled.steps[i].started_slot is not None else old.start
        free = compiled.masks[i] & trial.room(compiled, i)
        if not free >> start & 1:
            return None
        kept[i] = Placed(start, compiled.end_of(i, start))
        for arc in compiled.preds[i]:
            end, until = kept[arc.before].end, arc.latest_start(kept[arc.before].end)
            if start < arc.earliest_start(end) or (until is not None and start > until):
                return None
        trial.take_step(compiled, i, kept[i])
    for span in compiled.spans.get(commission_id, ()):
        wanted = span_mask(floor_from(compiled, span, kept), kept[span.last].end)
        if wanted & ~trial.free(span.resource, span.amount):
            return None
        trial.take(span.resource, span.amount, wanted)
    profile.levels = trial.levels
    return kept


def _shifted(compiled: Compiled, profile: Profile, commission_id: str, before: Mapping[str, Placed]) -> Places | None:
    """Nothing earlier than before; where that leaves no room, anywhere."""
    positions = compiled.by_commission[commission_id]
    old = {i: before[compiled.steps[i].id].start for i in positions if compiled.steps[i].id in before}
    found = place_commission(compiled, profile, commission_id, old, hold_back=False)
    return found if found is not None else place_commission(compiled, profile, commission_id)
