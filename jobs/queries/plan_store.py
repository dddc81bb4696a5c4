"""Plans as they are stored: dates and halves by step, whatever the axis of the day on which they are read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from jobs.models import PlanVersion
from jobs.planning.calendars import HalfDayAxis
from jobs.planning.compiled import compile_instance
from jobs.planning.cost import plan_cost
from jobs.planning.first_plan import first_plan, input_hash
from jobs.planning.network import CostTerms, Instance, Placed, Plan, Refused
from jobs.planning.replan import keep
from jobs.planning.validate import validate
from jobs.queries.live import LiveRecord, VersionRow


def plan_in_force(live: LiveRecord, instance: Instance) -> Plan:
    """The stored plan where it was made for this very input; else one near it, else a first one: always one that can
    be carried out. No query, and no solver."""
    digest = input_hash(instance)
    version = live.version
    if version is not None and version.input_hash == digest:
        return stored_plan(version, instance)
    return first_plan(instance) if version is None else keep(instance, stored_plan(version, instance))


def stored_plan(version: PlanVersion | VersionRow, instance: Instance) -> Plan:
    """A version along the axis of an instance, which may have changed since: then it says where things stood."""
    good, refused = validate(instance)
    compiled = compile_instance(good)
    places: dict[str, Placed] = {compiled.steps[i].id: place for i, place in compiled.past.items()}
    for key, stored in version.places.items():
        id = f"step:{key}"
        if id in compiled.index and id not in places:
            places[id] = _placed(instance.axis, stored)
    planned = {one.id for one in instance.commissions}
    kept = [Refused(f"commission:{key}", sentence) for key, sentence in version.refused]
    known = {one.commission_id for one in refused}
    kept = [one for one in kept if one.commission_id in planned and one.commission_id not in known]
    return Plan(
        places=places,
        cost=plan_cost(compiled, {compiled.index[id]: place for id, place in places.items()}),
        refused=tuple(sorted((*refused, *kept), key=lambda one: one.commission_id)),
        input_hash=version.input_hash,
    )


def _placed(axis: HalfDayAxis, stored: Sequence[Any]) -> Placed:
    first, first_half, last, last_half = stored
    start = axis.slot_on_or_after(dt.date.fromisoformat(first), first_half)
    end = axis.slot_on_or_after(dt.date.fromisoformat(last), last_half) + 1
    return Placed(start, max(start, end))


def places_to_store(instance: Instance, plan: Plan) -> dict[str, list[Any]]:
    """{step key: [first day, half, last day, half]} of what is not finished."""
    axis = instance.axis
    found = {}
    for step in instance.steps:
        place = plan.places.get(step.id)
        if place is not None and step.finished_slot is None:
            first, last = max(place.start, 0), max(place.end - 1, place.start, 0)
            found[key_of(step.id)] = [
                axis.date_of(first).isoformat(),
                first % 2,
                axis.date_of(last).isoformat(),
                last % 2,
            ]
    return found


def key_of(id: str) -> str:
    """The database key in an id such as "step:12"."""
    return id.partition(":")[2]


def moved_between(instance: Instance, before: Plan | None, after: Plan) -> list[list[Any]]:
    """[step key, day, half, new day, half, told] of every step still to begin that both plans know and that moved."""
    axis, found = instance.axis, []
    for step in sorted(instance.steps, key=lambda one: one.id):
        if before is None or step.started_slot is not None or step.finished_slot is not None:
            continue
        old, new = before.places.get(step.id), after.places.get(step.id)
        if old is not None and new is not None and old.start != new.start:
            days = [axis.date_of(old.start).isoformat(), old.start % 2, axis.date_of(new.start).isoformat()]
            found.append([int(key_of(step.id)), *days, new.start % 2, step.told_client])
    return found


def terms_of(cost: CostTerms) -> dict[str, int]:
    return {"late": cost.late, "floor": cost.floor, "moved_told": cost.moved_told, "shift": cost.shift}
