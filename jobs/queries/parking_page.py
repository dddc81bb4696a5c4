"""Places to park: by when each has to be asked for."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from jobs.calendar_days import add_working_days
from jobs.models import Commission, ParkingPlan, ParkingRule, Workshop

# Two working days more than the council asks, for a form that comes back; common practice, no source.
SPARE_WORKING_DAYS = 2
MONDAY_TO_FRIDAY = (0, 1, 2, 3, 4)


@dataclass(frozen=True)
class ParkingRow:
    plan: ParkingPlan
    apply_by: dt.date
    is_late: bool

    @property
    def state(self) -> str:
        if self.plan.granted_on is not None:
            return "granted"
        return "applied for" if self.plan.applied_on is not None else "to apply for"


def apply_by(day: dt.date, notice_working_days: int, nation: str) -> dt.date:
    """The day wanted, less the council's notice, less two: in the council's working days, Monday to Friday without
    bank holidays, whatever the workshop's own."""
    return add_working_days(
        day, -(notice_working_days + SPARE_WORKING_DAYS), nation=nation, weekdays=MONDAY_TO_FRIDAY
    )


def parking_rows(commission: Commission, workshop: Workshop, now: dt.datetime) -> list[ParkingRow]:
    today = workshop.local_day(now)
    rows = []
    for plan in commission.parking_plans.select_related("rule"):
        by = apply_by(plan.day, plan.rule.notice_working_days, workshop.nation)
        rows.append(ParkingRow(plan, by, plan.applied_on is None and plan.granted_on is None and by < today))
    return rows


def parking_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    return {
        "commission": commission,
        "rows": parking_rows(commission, workshop, now),
        "rules": ParkingRule.objects.exists(),
    }


def parking_and_keys_part(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """For the site day: what is planned from today on, and who holds the keys. Never the tag: beside an address it
    would say which door it opens. Three queries."""
    workshop = Workshop.objects.order_by("pk")[0]
    today = workshop.local_day(now)
    return {
        "parking": [row for row in parking_rows(commission, workshop, now) if row.plan.day >= today],
        "keys": list(commission.client_keys.filter(returned_at__isnull=True).select_related("holder")),
    }
