"""The first plan: every commission placed in turn, standard library only, a valid plan every time."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from random import Random

from jobs.planning.compiled import Compiled, compile_instance
from jobs.planning.cost import commission_cost, plan_cost
from jobs.planning.insertion import Places, place_commission, tidy
from jobs.planning.network import Instance, Placed, Plan, Refused
from jobs.planning.profile import Profile
from jobs.planning.reorder import reorder
from jobs.planning.reserve import release, reserve_known
from jobs.planning.validate import validate

OTHER_ORDERS = 40
"""Cheap tries after the first pass: some 20 ms at 40 commissions."""


def first_plan(instance: Instance) -> Plan:
    """Commissions in the order of their dates, each as early as the ones before it allow; then a few other orders.

    Commissions that cannot be planned are in `Plan.refused`, each with its sentence.
    """
    good, refused = validate(instance)
    compiled = compile_instance(good)
    places, no_room = place_all(compiled)
    _try_other_orders(compiled, places, {one.commission_id for one in no_room})
    return make_plan(compiled, places, (*refused, *no_room), instance)


def _try_other_orders(compiled: Compiled, places: Places, set_aside: set[str]) -> None:
    ids = [id for id, positions in compiled.by_commission.items() if positions and id not in set_aside]
    profile = Profile.empty(compiled)
    for commission_id in ids:
        profile.take_commission(compiled, commission_id, places)
    costs = {id: commission_cost(compiled, id, places) for id in ids}
    reorder(compiled, profile, places, costs, OTHER_ORDERS, Random(OTHER_ORDERS))
    tidy(compiled, profile, places)


def make_plan(
    compiled: Compiled,
    places: Places,
    refused: tuple[Refused, ...],
    instance: Instance,
    before: Mapping[str, Placed] | None = None,
) -> Plan:
    return Plan(
        places={compiled.steps[i].id: places[i] for i in sorted(places)},
        cost=plan_cost(compiled, places, before),
        refused=tuple(sorted(refused, key=lambda one: one.commission_id)),
        input_hash=input_hash(instance),
    )


def place_all(compiled: Compiled) -> tuple[Places, tuple[Refused, ...]]:
    """All commissions by serial insertion. What has its day already (under way, frozen, agreed) is reserved first."""
    profile = Profile.empty(compiled)
    reserved = reserve_known(compiled, profile, compiled.by_commission)
    places: Places = dict(compiled.past)
    refused = []
    for commission_id in by_urgency(compiled):
        release(compiled, profile, commission_id, reserved)
        found = place_commission(compiled, profile, commission_id)
        if found is None:
            refused.append(say_no_room(compiled, commission_id))
        else:
            places.update(found)
    return places, tuple(refused)


def say_no_room(compiled: Compiled, commission_id: str) -> Refused:
    words = {one.id: one.words for one in compiled.instance.commissions}
    last = compiled.instance.axis.say(compiled.instance.slot_count - 1)
    return Refused(
        commission_id,
        f"{words[commission_id]}: there is no room for all its steps before the calendar ends ({last}); "
        "lengthen the calendar, or free hands, days or floor.",
    )


def by_urgency(compiled: Compiled) -> list[str]:
    """What is under way first, then by earliest date, then by id."""

    def key(commission_id: str) -> tuple[bool, int, str]:
        positions = compiled.by_commission[commission_id]
        dates = [compiled.soft_end[i] for i in positions] + [compiled.soft_start[i] for i in positions]
        due = min((slot for slot in dates if slot is not None), default=compiled.instance.slot_count)
        standing = any(span.first is None for span in compiled.spans.get(commission_id, ()))
        return not standing, due, commission_id

    return sorted(compiled.by_commission, key=key)


def input_hash(instance: Instance) -> str:
    """Same input, same hash, whatever the order of the rows."""
    lines = [f"first {instance.first_slot}", repr(instance.axis.days)]
    for step in instance.steps:
        values = [sorted(v.items()) if isinstance(v, Mapping) else v for v in vars(step).values()]
        lines.append(repr(values))
    for rows in (
        instance.commissions,
        instance.links,
        instance.floor_spans,
        instance.resources,
        instance.calendars,
        instance.subcontractors,
    ):
        lines += [repr(row) for row in rows]
    return hashlib.sha256("\n".join(sorted(lines)).encode()).hexdigest()
