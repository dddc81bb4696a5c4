"""The whole problem as one model: for small plans, for published test instances, and for the best known plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from jobs.planning.compiled import Compiled, compile_instance
from jobs.planning.first_plan import first_plan, make_plan
from jobs.planning.improve import places_of
from jobs.planning.insertion import Places
from jobs.planning.model import Model, add_lateness, build, start_masks
from jobs.planning.network import Instance, Plan
from jobs.planning.profile import Profile
from jobs.planning.reserve import is_held
from jobs.planning.solve import Answer, solve, solver_present, solver_version
from jobs.planning.validate import validate

Objective = Literal["cost", "makespan"]


@dataclass(frozen=True)
class WholeAnswer:
    """The plan, its objective value, and a bound that no plan can beat."""

    plan: Plan
    value: int
    bound: int


def solve_whole(
    instance: Instance,
    objective: Objective = "cost",
    hint: Plan | None = None,
    deterministic_time: float = 20.0,
    wall_limit_s: float = 5.0,
    workers: int = 1,
    seed: int = 1,
) -> WholeAnswer:
    """Best plan found within the limits, never worse than `hint` (the first plan where none is given).

    "makespan" counts the half-days from `first_slot` to the end of the last step and looks at nothing else.
    `Plan.proved_best` tells whether the value was proved. Without ortools the hint comes back, with bound 0.
    """
    hint = hint or first_plan(instance)
    good, _refused = validate(instance)
    compiled = compile_instance(good)
    set_aside = {one.commission_id for one in hint.refused}
    ids = [id for id in compiled.by_commission if id not in set_aside]
    places = places_of(compiled, hint, ids)
    now = _value(compiled, places, ids, objective, hint)
    if not solver_present():
        return WholeAnswer(hint, now, 0)
    answer = _solve(compiled, places, ids, objective, (deterministic_time, wall_limit_s, workers, seed), now)
    if answer.places is not None:
        places.update(answer.places)
    plan = replace(
        make_plan(compiled, places, hint.refused, instance),
        method="whole model",
        seed=seed,
        solver_version=solver_version(),
        proved_best=answer.proved_best,
        hit_time_limit=answer.hit_time_limit,
    )
    value = _value(compiled, places, ids, objective, plan)
    return WholeAnswer(plan, value, value if answer.proved_best else answer.bound)


def _value(compiled: Compiled, places: Places, ids: list[str], objective: Objective, plan: Plan) -> int:
    if objective == "cost":
        return plan.cost.late + plan.cost.floor
    ends = [places[i].end for id in ids for i in compiled.by_commission[id]]
    return max(ends, default=compiled.instance.first_slot) - compiled.instance.first_slot


def _solve(
    compiled: Compiled,
    places: Places,
    ids: list[str],
    objective: Objective,
    limits: tuple[float, float, int, int],
    now: int,
) -> Answer:
    deterministic_time, wall_limit_s, workers, seed = limits
    profile = Profile.empty(compiled)
    positions = [i for id in ids for i in compiled.by_commission[id]]
    horizon = compiled.instance.slot_count
    latest_end: dict[int, int] = {}
    if objective == "makespan":
        horizon = compiled.instance.first_slot + now
        latest_end = dict.fromkeys(positions, horizon)
    last_start = {i: places[i].start if is_held(compiled, i) else horizon for i in positions}
    masks = start_masks(compiled, profile, positions, last_start, latest_end)
    if masks is None or not positions:
        return Answer(None)
    model = build(compiled, profile, positions, masks, ids)
    if objective == "makespan":
        _minimise_last_end(model, horizon)
    else:
        add_lateness(model)
    return solve(model, places, deterministic_time, seed, wall_limit_s, light_presolve=False, workers=workers)


def _minimise_last_end(model: Model, horizon: int) -> None:
    first = model.compiled.instance.first_slot
    span = model.cp.new_int_var(0, horizon - first, "makespan")
    for end in model.ends.values():
        model.cp.add(span >= end - first)
    model.terms = [span]
