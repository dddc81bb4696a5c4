"""What a plan costs, in integers: broken dates far above moved dates, moved dates above floor.

Weights are our own choice: a half-day late on a date told to a client weighs as much as 40 half-days of floor.
"""

from __future__ import annotations

from collections.abc import Mapping

from jobs.planning.compiled import Compiled, floor_from
from jobs.planning.network import CostTerms, Placed

LATE_HALF_DAY = 10
"""For a date that only we know (the due date of a step); times the weight of the step."""
LATE_TOLD_HALF_DAY = 40
"""For a date told to a client; times the weight of the step."""
FLOOR_HALF_DAY = 1
MOVED_TOLD = 30
"""For each date told to a client that a re-plan moves at all, however little."""
SHIFT_HALF_DAY = 1
"""For each half-day by which a re-plan moves a step nobody outside was told of."""
MOVED = 3
"""For each such step that is moved at all: one long shift disturbs a workshop less than many short ones."""


def late_cost_per_half_day(compiled: Compiled, i: int) -> int:
    step = compiled.steps[i]
    return step.weight * (LATE_TOLD_HALF_DAY if step.told_client else LATE_HALF_DAY)


def commission_cost(compiled: Compiled, commission_id: str, places: Mapping[int, Placed]) -> int:
    """Lateness and floor of one commission."""
    late: int = sum(
        late_cost_per_half_day(compiled, i) * compiled.late_half_days(i, places[i])
        for i in compiled.by_commission[commission_id]
        if compiled.soft_start[i] is not None or compiled.soft_end[i] is not None
    )
    return late + floor_cost(compiled, commission_id, places)


def floor_cost(compiled: Compiled, commission_id: str, places: Mapping[int, Placed]) -> int:
    return sum(
        FLOOR_HALF_DAY * span.amount * (places[span.last].end - floor_from(compiled, span, places))
        for span in compiled.spans.get(commission_id, ())
    )


def plan_cost(
    compiled: Compiled, places: Mapping[int, Placed], before: Mapping[str, Placed] | None = None
) -> CostTerms:
    """All terms; those of moving only where the plan `before` is given (places by step id)."""
    floor = total = moved = shift = 0
    for commission_id, positions in compiled.by_commission.items():
        if any(i not in places for i in positions):
            continue  # set aside
        total += commission_cost(compiled, commission_id, places)
        floor += floor_cost(compiled, commission_id, places)
        for i in positions:
            told, by = churn_of(compiled, i, places[i], before or {})
            moved += told
            shift += by
    return CostTerms(total - floor, floor, moved, shift)


def churn_of(compiled: Compiled, i: int, place: Placed, before: Mapping[str, Placed]) -> tuple[int, int]:
    """Cost of moving step i away from its place before, told and internal."""
    step = compiled.steps[i]
    old = before.get(step.id)
    if old is None or old.start == place.start or step.started_slot is not None:
        return 0, 0
    if step.told_client:
        return MOVED_TOLD, 0
    return 0, MOVED + SHIFT_HALF_DAY * abs(place.start - old.start)
