from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.models import Commission
from jobs.queries.stage import stage_of

SHOWN = 200


@dataclass(frozen=True)
class CommissionRow:
    commission: Commission
    stage: str


def commission_list(past: bool) -> dict[str, Any]:
    """Live commissions, or the newest of the past ones, each with its stage in words. Three queries."""
    rows = (
        Commission.objects.filter(closed_on__isnull=not past)
        .select_related("client")
        .prefetch_related("steps")
        .order_by("-number")
    )
    return {
        "past": past,
        "rows": [CommissionRow(one, stage_of(one.steps.all())) for one in rows[:SHOWN]],
        "total": rows.count(),
        "shown": SHOWN,
    }
