"""A better plan from a valid one: five commissions at a time are taken out and put back as well as can be.

Fixed number of iterations, deterministic time, one worker: the same input gives the same plan. Without ortools the
plan comes back as it was.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

from jobs.planning.compiled import Compiled, compile_instance
from jobs.planning.cost import commission_cost, late_cost_per_half_day
from jobs.planning.first_plan import make_plan
from jobs.planning.insertion import Places, tidy
from jobs.planning.model import add_lateness, build, start_masks
from jobs.planning.network import Instance, Placed, Plan
from jobs.planning.profile import Profile
from jobs.planning.reorder import choose_near, reorder
from jobs.planning.reserve import is_held
from jobs.planning.solve import solve, solver_present, solver_version
from jobs.planning.validate import validate

COMMISSIONS_AT_ONCE = 5
DETERMINISTIC_TIME = 0.03
SAFETY_LIMIT_S = 5.0
FIRST_TRIES = 200
REORDER_TRIES = 40
"""Cheap tries before each run of the solver."""
LATEST_SHIFT_HALF_DAYS = 40
"""How far behind its present place a step may be put by one iteration; keeps the models small."""


def improve(
    instance: Instance,
    plan: Plan,
    iterations: int = 20,
    seed: int = 1,
    keep_going: Callable[[int, int], bool] | None = None,
) -> Plan:
    """A valid plan that costs no more. 20 iterations for a page, 100 for the worker.

    `keep_going(iteration, cost)` is asked before each iteration, for progress and to stop early; a plan stopped
    that way may differ from run to run.
    """
    if not solver_present():
        return plan
    compiled = compile_instance(validate(instance)[0])
    set_aside = {one.commission_id for one in plan.refused}
    ids = [id for id in compiled.by_commission if id not in set_aside and compiled.by_commission[id]]
    places = places_of(compiled, plan, ids)
    profile = Profile.empty(compiled)
    for commission_id in ids:
        profile.take_commission(compiled, commission_id, places)
    costs = {id: commission_cost(compiled, id, places) for id in ids}
    rng, cut_short = Random(seed), False
    if iterations > 0:
        reorder(compiled, profile, places, costs, FIRST_TRIES, rng)
    for iteration in range(iterations):
        if keep_going is not None and not keep_going(iteration, sum(costs.values())):
            break
        reorder(compiled, profile, places, costs, REORDER_TRIES, rng)
        chosen = sorted(choose_near(compiled, places, costs, COMMISSIONS_AT_ONCE, rng))
        cut_short |= _one_neighbourhood(compiled, profile, places, chosen, rng)
        costs.update({id: commission_cost(compiled, id, places) for id in chosen})
    tidy(compiled, profile, places)
    return replace(
        make_plan(compiled, places, plan.refused, instance),
        method="improved",
        seed=seed,
        solver_version=solver_version(),
        hit_time_limit=cut_short,
    )


def places_of(compiled: Compiled, plan: Plan, commission_ids: list[str]) -> Places:
    """Places by position of a plan's commissions, the past included."""
    places: Places = dict(compiled.past)
    for commission_id in commission_ids:
        for i in compiled.by_commission[commission_id]:
            places[i] = plan.places[compiled.steps[i].id]
    return places


def _one_neighbourhood(compiled: Compiled, profile: Profile, places: Places, chosen: list[str], rng: Random) -> bool:
    """Solve the chosen commissions against the rest; True where the safety limit cut the search short."""
    seed = rng.randrange(1_000_000)
    for commission_id in chosen:
        profile.give_back_commission(compiled, commission_id, places)
    positions = [i for id in chosen for i in compiled.by_commission[id]]
    now = sum(commission_cost(compiled, id, places) for id in chosen)
    masks = _cropped_masks(compiled, profile, positions, places, now)
    cut_short = False
    if masks is not None:
        model = build(compiled, profile, positions, masks, chosen)
        add_lateness(model)
        answer = solve(model, places, DETERMINISTIC_TIME, seed, SAFETY_LIMIT_S)
        cut_short = answer.hit_time_limit
        if answer.places is not None:
            trial: dict[int, Placed] = {**places, **answer.places}
            if sum(commission_cost(compiled, id, trial) for id in chosen) <= now:
                places.update(answer.places)
    for commission_id in chosen:
        profile.take_commission(compiled, commission_id, places)
    return cut_short


def _cropped_masks(
    compiled: Compiled, profile: Profile, positions: list[int], places: Places, now: int
) -> dict[int, int] | None:
    """No step so late that its lateness alone would cost more than the whole neighbourhood does now."""
    last_start, latest_end = {}, {}
    for i in positions:
        last_start[i] = places[i].start + (0 if is_held(compiled, i) else LATEST_SHIFT_HALF_DAYS)
        cost = late_cost_per_half_day(compiled, i)
        latest, promise = compiled.soft_start[i], compiled.soft_end[i]
        if cost and latest is not None:
            last_start[i] = min(last_start[i], max(places[i].start, latest + now // cost))
        if cost and promise is not None:
            latest_end[i] = max(places[i].end, promise + now // cost)
    return start_masks(compiled, profile, positions, last_start, latest_end)
