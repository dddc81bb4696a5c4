"""Running CP-SAT so that the same model gives the same answer: one worker, fixed seed, deterministic time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.metadata import version
from importlib.util import find_spec

from jobs.planning.insertion import Places
from jobs.planning.model import Model
from jobs.planning.network import Placed


@dataclass(frozen=True)
class Answer:
    """`places` is None where nothing was found in the time given."""

    places: Places | None
    proved_best: bool = False
    hit_time_limit: bool = False
    objective: int = 0
    bound: int = 0


def solver_present() -> bool:
    """Whether ortools is installed; without it the first plan and right-shift repair stand."""
    return find_spec("ortools") is not None


def solver_version() -> str:
    if not solver_present():
        return ""
    return f"ortools {version('ortools')}"


def solve(
    model: Model,
    hint: Mapping[int, Placed],
    deterministic_time: float,
    seed: int,
    wall_limit_s: float,
    light_presolve: bool = True,
    workers: int = 1,
) -> Answer:
    """Minimise the sum of the model's terms. `wall_limit_s` is a safety net; an answer it cut short says so."""
    from ortools.sat.python import cp_model

    if model.terms:
        model.cp.minimize(sum(model.terms))
    for i, start in model.starts.items():
        if i in hint:
            model.cp.add_hint(start, hint[i].start)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = workers
    parameters.random_seed = seed % 2_000_000_000
    parameters.max_deterministic_time = deterministic_time
    parameters.max_time_in_seconds = wall_limit_s
    if light_presolve:
        parameters.cp_model_probing_level = 0
        parameters.symmetry_level = 0
        parameters.max_presolve_iterations = 1
    status = solver.solve(model.cp)
    cut_short = solver.wall_time >= wall_limit_s and status != cp_model.OPTIMAL
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer(None, hit_time_limit=cut_short)
    places: Places = {}
    for i, variable in model.starts.items():
        start = int(solver.value(variable))
        places[i] = Placed(start, model.compiled.end_of(i, start))
    proved = status == cp_model.OPTIMAL
    return Answer(places, proved, cut_short, round(solver.objective_value), round(solver.best_objective_bound))
