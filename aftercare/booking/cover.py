"""Pick day rounds so that every visit is in one: exact with a solver, or one good round after another without.

The exact way is a set-partitioning model for CP-SAT, one worker, fixed seed and deterministic time: the same
input gives the same rounds (for one version of the solver).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from aftercare.booking.routes import RoundSettings, RoundVisit, Route

__all__ = ["Cover", "cover_exactly", "cover_greedily"]

SEED = 1
DETERMINISTIC_SECONDS = 20.0
# A safety net only: a clock on the wall is never repeatable, so the normal stop is the deterministic one.
WALL_SECONDS = 30.0


@dataclass(frozen=True)
class Cover:
    """The rounds picked, and whether no cheaper pick exists."""

    routes: tuple[Route, ...]
    proved: bool


def unplaced_cost(visit: RoundVisit, settings: RoundSettings) -> int:
    """Leaving an agreed visit out is dearer than leaving out any number of open ones."""
    return settings.unplaced_cost_minutes * (100 if visit.agreed else 1)


def cover_greedily(routes: Sequence[Route], visits: Sequence[RoundVisit], settings: RoundSettings) -> Cover:
    """Take the round that is cheapest for each visit in it, again and again, agreed visits first.

    Where that leaves a visit out, each round that would take it in is tried in the place of those it clashes
    with, for as long as the whole gets cheaper.
    """

    def worth(route: Route) -> tuple[float, date, tuple[int, ...]]:
        agreed = sum(visits[n].agreed for n in route.order)
        return (-agreed * 10_000 + route.cost_minutes / len(route.order), route.day, route.order)

    def cost(chosen: Sequence[Route]) -> int:
        missing = set(range(len(visits))) - {n for route in chosen for n in route.order}
        left_out = sum(unplaced_cost(visits[n], settings) for n in missing)
        return left_out + sum(route.cost_minutes for route in chosen)

    ranked = sorted(routes, key=worth)
    best = _filled_up([], ranked)
    better = True
    while better:
        missing = set(range(len(visits))) - {n for route in best for n in route.order}
        better = False
        for route in (route for route in ranked if not missing.isdisjoint(route.order)):
            trial = _filled_up([route, *(other for other in best if not _clash(route, other))], ranked)
            if cost(trial) < cost(best):
                best, better = trial, True
                break
    return Cover(tuple(sorted(best, key=lambda route: route.day)), proved=False)


def _clash(route: Route, other: Route) -> bool:
    return route.day == other.day or not set(route.order).isdisjoint(other.order)


def _filled_up(chosen: list[Route], ranked: Sequence[Route]) -> list[Route]:
    """The rounds chosen and every further one, in rank, that clashes with none of them."""
    chosen = list(chosen)
    days = {route.day for route in chosen}
    placed = {n for route in chosen for n in route.order}
    for route in ranked:
        if route.day not in days and placed.isdisjoint(route.order):
            chosen.append(route)
            days.add(route.day)
            placed.update(route.order)
    return chosen


def cover_exactly(
    routes: Sequence[Route],
    visits: Sequence[RoundVisit],
    settings: RoundSettings,
    deterministic_seconds: float = DETERMINISTIC_SECONDS,
) -> Cover:
    """The cheapest pick: each visit in one round or left out at a price, one round a day.

    Raises ImportError when the solver is not installed. Where its time runs out it returns the best pick so
    far, or the greedy one, marked as not proved.
    """
    from ortools.sat.python import cp_model

    greedy = cover_greedily(routes, visits, settings)
    model = cp_model.CpModel()
    picked = [model.new_bool_var(f"route{number}") for number in range(len(routes))]
    left_out = [model.new_bool_var(f"left_out{number}") for number in range(len(visits))]
    for n in range(len(visits)):
        model.add_exactly_one([picked[r] for r, route in enumerate(routes) if n in route.order] + [left_out[n]])
    for day in sorted({route.day for route in routes}):
        model.add_at_most_one(picked[r] for r, route in enumerate(routes) if route.day == day)
    model.minimize(
        sum(route.cost_minutes * picked[r] for r, route in enumerate(routes))
        + sum(unplaced_cost(visit, settings) * left_out[n] for n, visit in enumerate(visits))
    )
    for r, route in enumerate(routes):
        model.add_hint(picked[r], route in greedy.routes)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = deterministic_seconds
    solver.parameters.max_time_in_seconds = WALL_SECONDS
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return greedy
    chosen = [route for r, route in enumerate(routes) if solver.boolean_value(picked[r])]
    return Cover(tuple(sorted(chosen, key=lambda route: route.day)), proved=status == cp_model.OPTIMAL)
