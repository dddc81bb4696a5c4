"""The chance of each promise: the plan played through many times with durations as they really turned out.

Durations are drawn from the workshop's own log of actual against allowance, kind by kind. A kind with few logs leans
on the overall log: with n of its own it has weight n / (n + 8). One factor a commission is shared by all its steps,
because a hard job is hard throughout, and independent draws alone would make the forecast too sure of itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from jobs.planning.compiled import Compiled, compile_instance, to_place
from jobs.planning.first_plan import input_hash
from jobs.planning.network import Instance, Plan
from jobs.planning.playing import play
from jobs.planning.validate import validate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

SHRINK = 8
"""Logs of its own at which a kind counts half (our own choice)."""
ENOUGH_LOGS = 10
DEFAULT_RATIOS = (0.7, 0.8, 0.9, 1.0, 1.0, 1.1, 1.2, 1.35, 1.5, 1.8)
"""Spread used while the workshop has too few logs of its own; our guess, and labelled as such."""
DEFAULT_COMMISSION_SD = 0.1
LONGEST_RATIO = 5.0
POOL_SHIFT = 6
"""Tables of 1,024 ratios, picked from by the upper ten of 16 random bits."""


@dataclass(frozen=True)
class Log:
    """One finished step: what it took over what was allowed for it."""

    kind: str
    commission_id: str
    ratio: float


@dataclass(frozen=True)
class PromiseForecast:
    """Ends are exclusive slots: the work is over before that slot begins."""

    commission_id: str
    step_id: str
    promise_slot: int | None
    p50_end: int
    p80_end: int
    chance: float | None
    """Share of samples that keep the promise; None where nothing was promised."""


@dataclass(frozen=True)
class Forecast:
    """`spread_words` says where the spread comes from; show it beside every figure."""

    promises: tuple[PromiseForecast, ...]
    samples: int
    logs: int
    enough_history: bool
    spread_words: str
    seed: int


def forecast(instance: Instance, plan: Plan, logs: Sequence[Log], samples: int = 2000) -> Forecast:
    """P50, P80 and the chance of each promise. 2,000 samples for a page, 10,000 for the worker.

    Steps keep the order the plan gives them on every resource; what has a date agreed does not start before it; a
    missed slot means the next one allowed. Seeded by the input, so the same input gives the same figures.
    """
    import numpy as np

    good, _refused = validate(instance)
    compiled = compile_instance(good)
    set_aside = {one.commission_id for one in plan.refused}
    positions = [i for i in to_place(compiled) if compiled.steps[i].commission_id not in set_aside]
    usable = [log for log in logs if 0 < log.ratio <= LONGEST_RATIO]
    enough = len(usable) >= ENOUGH_LOGS
    seed = int(input_hash(instance)[:12], 16)
    rng = np.random.default_rng([seed, len(usable)])
    ratios = _draw_ratios(compiled, positions, usable if enough else [], samples, rng)
    ends = play(compiled, plan, positions, ratios)
    return Forecast(
        tuple(_promise(compiled, i, ends[i]) for i in _watched(compiled, positions)),
        samples,
        len(usable),
        enough,
        _say_spread(len(usable), enough),
        seed,
    )


def _say_spread(count: int, enough: bool) -> str:
    if enough:
        return f"from {count} steps logged in this workshop"
    return (
        f"not enough history ({count} of {ENOUGH_LOGS} steps logged): "
        "a default spread is used, which is our guess and not your workshop"
    )


def _watched(compiled: Compiled, positions: Sequence[int]) -> list[int]:
    """Steps with a date, and the last step of each commission's fitting (handover) even without one."""
    return [
        i
        for i in positions
        if compiled.soft_end[i] is not None
        or compiled.soft_start[i] is not None
        or compiled.steps[i].kind == "handover"
    ]


def _promise(compiled: Compiled, i: int, ends: Samples) -> PromiseForecast:
    import numpy as np

    step = compiled.steps[i]
    count = len(ends)
    at = [max(0, -(-count * share // 100) - 1) for share in (50, 80)]
    parts = np.partition(ends, at)
    latest = compiled.soft_end[i]
    soft_start = compiled.soft_start[i]
    if latest is None and soft_start is not None:
        latest = soft_start + compiled.durations[i]
    chance = None if latest is None else float(np.count_nonzero(ends <= latest + 1e-3)) / count
    p50, p80 = (int(np.ceil(parts[k] - 1e-3)) for k in at)
    return PromiseForecast(step.commission_id, step.id, latest, p50, p80, chance)


def weights_of(kinds: Mapping[str, int]) -> dict[str, float]:
    """Weight of a kind's own log against the overall one, by number of logs."""
    return {kind: count / (count + SHRINK) for kind, count in kinds.items()}


def commission_sd(logs: Sequence[Log]) -> float:
    """Spread of a whole commission: between-commission part of the variance of log ratios' means, at least 0.

    Method of moments for one-way random effects: variance of means less the within variance over the group size.
    """
    groups: dict[str, list[float]] = {}
    for log in logs:
        groups.setdefault(log.commission_id, []).append(log.ratio)
    several = [group for group in groups.values() if len(group) > 1]
    if len(several) < 3:
        return DEFAULT_COMMISSION_SD
    means = [sum(group) / len(group) for group in several]
    overall = sum(means) / len(means)
    between = sum((mean - overall) ** 2 for mean in means) / (len(means) - 1)
    within = sum(
        sum((ratio - mean) ** 2 for ratio in group) / (len(group) - 1) / len(group)
        for group, mean in zip(several, means, strict=True)
    ) / len(several)
    return sqrt(max(0.0, between - within))


def _draw_ratios(
    compiled: Compiled, positions: Sequence[int], logs: Sequence[Log], samples: int, rng: np.random.Generator
) -> dict[int, Samples]:
    """Ratios per step and sample, the commission's shared factor in them."""
    import numpy as np

    overall = np.array([log.ratio for log in logs] or DEFAULT_RATIOS, dtype=np.float32)
    own: dict[str, Samples] = {}
    for kind in sorted({log.kind for log in logs}):
        own[kind] = np.array([log.ratio for log in logs if log.kind == kind], dtype=np.float32)
    weights = weights_of({kind: len(ratios) for kind, ratios in own.items()})
    sd = commission_sd(logs) if logs else DEFAULT_COMMISSION_SD
    ids = sorted({compiled.steps[i].commission_id for i in positions})
    shared = rng.standard_normal((len(ids), samples), dtype=np.float32)
    shared = np.exp(np.float32(sd) * shared - np.float32(sd * sd / 2))
    factor = dict(zip(ids, shared, strict=True))
    kinds = {compiled.steps[i].kind for i in positions}
    pools = {kind: _pool(overall, own.get(kind), weights.get(kind, 0.0)) for kind in sorted(kinds)}
    rows = rng.integers(0, 1 << 16, size=(len(positions), samples), dtype=np.uint16) >> POOL_SHIFT
    drawn = {}
    for i, row in zip(positions, rows, strict=True):
        step = compiled.steps[i]
        picked = pools[step.kind][row]
        drawn[i] = picked * factor[step.commission_id] if step.lead_days is None else picked
    return drawn


def _pool(overall: Samples, own: Samples | None, weight: float) -> Samples:
    """Mixture of a kind's own ratios and the overall ones, as a table of equally likely values.

    A row is picked by a random 16-bit number: cheap, and fine enough for a spread of a few dozen logs.
    """
    import numpy as np

    rows = (1 << 16) >> POOL_SHIFT
    if own is None:
        return _spread(overall, rows)
    mine = round(rows * weight)
    return np.concatenate([_spread(own, mine), _spread(overall, rows - mine)])


def _spread(values: Samples, rows: int) -> Samples:
    """`rows` values evenly taken from the sorted sample."""
    import numpy as np

    index = (np.arange(rows) * len(values)) // max(1, rows)
    return np.sort(values)[index]
