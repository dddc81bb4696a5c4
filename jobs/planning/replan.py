"""A new plan that moves as little as possible of the present one.

The whole model of what is not yet under way, hinted by the repaired plan, with a price on moving: a count for dates
told to clients, the size of the shift (and a small count) for everything else. The next five working days stay as
they are unless that has become impossible.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from jobs.planning.calendars import span_mask
from jobs.planning.compiled import Compiled, compile_instance
from jobs.planning.cost import plan_cost
from jobs.planning.first_plan import make_plan
from jobs.planning.insertion import Places, earliest_keeping_order
from jobs.planning.model import add_churn, add_lateness, build, start_masks
from jobs.planning.network import Instance, Placed, Plan
from jobs.planning.profile import Profile
from jobs.planning.repair import repair
from jobs.planning.solve import Answer, solve, solver_present, solver_version
from jobs.planning.validate import validate

FROZEN_HALF_DAYS = 10
"""The next five working days."""
DETERMINISTIC_TIME = 0.6
SAFETY_LIMIT_S = 10.0
ROOM_HALF_DAYS = 16
"""How far outside its old and its repaired place a step may be put; moving further is never worth it."""


def replan(instance: Instance, plan: Plan, seed: int = 1) -> Plan:
    """The plan for an instance that has changed: something overran, the sprayer is late, a client has a new date.

    `plan` is the present one, made for the instance before the change. The cost of the answer has the terms of
    moving in it, against `plan`.
    """
    compiled, repaired, shifted = _repaired(instance, plan)
    set_aside = shifted.refused
    if not solver_present():
        return shifted
    answer = _solve_whole(compiled, repaired, plan.places, {one.commission_id for one in set_aside}, seed)
    method = "re-plan"
    places = dict(repaired)
    if answer.places is None:
        method = "right-shift repair"
    else:
        places.update(answer.places)
        settle(compiled, places, plan.places)
        if plan_cost(compiled, places, plan.places).total > shifted.cost.total:
            places = repaired
    return replace(
        make_plan(compiled, places, set_aside, instance, plan.places),
        method=method,
        seed=seed,
        solver_version=solver_version(),
        proved_best=answer.proved_best,
        hit_time_limit=answer.hit_time_limit,
    )


def keep(instance: Instance, plan: Plan) -> Plan:
    """The present plan carried over to a changed instance without the solver: what still holds stays, the rest moves
    later. For a page that cannot wait for `replan`."""
    return _repaired(instance, plan)[2]


def _repaired(instance: Instance, plan: Plan) -> tuple[Compiled, Places, Plan]:
    good, refused = validate(freeze_next_days(instance, plan))
    compiled = compile_instance(good)
    places, no_room = repair(compiled, plan.places)
    shifted = make_plan(compiled, places, (*refused, *no_room), instance, plan.places)
    return compiled, places, replace(shifted, method="right-shift repair")


def settle(compiled: Compiled, places: Places, before: Mapping[str, Placed]) -> None:
    """Bring what was moved later as near to its old place as the others allow; no term of the cost rises.

    A told date that had to move costs the solver the same wherever it lands, but not the client.
    """
    profile = Profile.empty(compiled)
    firsts = {span.first for spans in compiled.spans.values() for span in spans}
    complete = [id for id, positions in compiled.by_commission.items() if all(i in places for i in positions)]
    for commission_id in complete:
        profile.take_commission(compiled, commission_id, places)
    for i in (i for id in complete for i in compiled.by_commission[id] if i not in firsts):
        old = before.get(compiled.steps[i].id)
        if old is None or places[i].start <= old.start:
            continue
        profile.give_back_step(compiled, i, places[i])
        start = earliest_keeping_order(compiled, profile, places, i, old.start)
        if start is not None and start < places[i].start:
            places[i] = Placed(start, compiled.end_of(i, start))
        profile.take_step(compiled, i, places[i])


def freeze_next_days(instance: Instance, plan: Plan) -> Instance:
    """The instance with the present place of everything that starts within the frozen half-days."""
    until = instance.first_slot + FROZEN_HALF_DAYS
    steps = []
    for step in instance.steps:
        old = plan.places.get(step.id)
        begun = step.started_slot is not None or step.finished_slot is not None
        if old is not None and not begun and instance.first_slot <= old.start < until:
            step = replace(step, frozen_slot=old.start)
        steps.append(step)
    return replace(instance, steps=tuple(steps))


def _solve_whole(
    compiled: Compiled, hint: Places, before: Mapping[str, Placed], set_aside: set[str], seed: int
) -> Answer:
    commissions = [id for id in compiled.by_commission if id not in set_aside]
    positions = [i for id in commissions for i in compiled.by_commission[id]]
    profile = Profile.empty(compiled)
    last_start = {i: _last(compiled, i, hint, before) for i in positions}
    masks = start_masks(compiled, profile, positions, last_start)
    if masks is None or not positions:
        return Answer(None)
    for i in positions:
        masks[i] &= _window(compiled, i, hint, before)
    model = build(compiled, profile, positions, masks, commissions)
    add_lateness(model)
    add_churn(model, before)
    return solve(model, hint, DETERMINISTIC_TIME, seed, SAFETY_LIMIT_S)


def _last(compiled: Compiled, i: int, hint: Places, before: Mapping[str, Placed]) -> int:
    old = before.get(compiled.steps[i].id, hint[i])
    return max(old.start, hint[i].start) + ROOM_HALF_DAYS


def _window(compiled: Compiled, i: int, hint: Places, before: Mapping[str, Placed]) -> int:
    """Frozen and under way: where the repair could leave it. The rest: around its old and its repaired place."""
    step = compiled.steps[i]
    if step.frozen_slot == hint[i].start or step.started_slot is not None:
        return span_mask(hint[i].start, hint[i].start + 1)
    old = before.get(step.id, hint[i])
    return span_mask(min(old.start, hint[i].start) - ROOM_HALF_DAYS, _last(compiled, i, hint, before) + 1)
