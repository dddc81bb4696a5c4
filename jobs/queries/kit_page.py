"""What has to be in the van besides the pieces, and what of it is not here yet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.db.models import F

from jobs.calendar_days import DayRange, add_working_days
from jobs.models import Closure, Commission, KitList, LoadItem, StepKind, VisitKind, VisitState, Workshop
from jobs.queries.carry_page import carry_of

SHOWN_DAYS_BEFORE = 5  # working days: time to order and to get it; common practice, no source


def load_day(commission: Commission, workshop: Workshop, now: dt.datetime) -> dt.date | None:
    """The day of the next delivery or fitting that is arranged, else the day set for loading. At most two queries."""
    visit = (
        commission.visits.filter(
            state=VisitState.ARRANGED, kind__in=[VisitKind.DELIVERY, VisitKind.FITTING], starts_at__gte=now
        )
        .order_by("starts_at")
        .first()
    )
    if visit is not None and visit.starts_at is not None:
        return workshop.local_day(visit.starts_at)
    step = commission.steps.filter(kind=StepKind.LOAD, finished_at__isnull=True).first()
    return (step.promised_on or step.earliest_on) if step else None


def shown_from(day: dt.date, workshop: Workshop) -> dt.date:
    """From this day on a shortage is shown: five working days before loading. One query."""
    closures = [DayRange(one.first_day, one.last_day, one.reason) for one in Closure.objects.all()]
    return load_shown_from(day, workshop, closures)


def load_shown_from(day: dt.date, workshop: Workshop, closures: Iterable[DayRange] = ()) -> dt.date:
    return add_working_days(
        day, -SHOWN_DAYS_BEFORE, nation=workshop.nation, weekdays=workshop.weekdays, closures=closures
    )


def pressing_shortages(commission: Commission, workshop: Workshop, now: dt.datetime) -> list[LoadItem]:
    """What is short and has to be seen to now; without a day for loading, nothing presses. One to four queries."""
    short = list(commission.load_items.filter(in_hand__lt=F("needed")))
    if not short:
        return []
    day = load_day(commission, workshop, now)
    if day is None or workshop.local_day(now) < shown_from(day, workshop):
        return []
    return short


def kit_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    items = list(commission.load_items.select_related("loaded_by"))
    day = load_day(commission, workshop, now)
    return {
        "commission": commission,
        "items": items,
        "short": [item for item in items if item.short],
        "load_day": day,
        "shown_from": shown_from(day, workshop) if day else None,
        "is_pressing": day is not None and workshop.local_day(now) >= shown_from(day, workshop),
        "loaded": sum(1 for item in items if item.loaded_at is not None),
        "kit_lists": KitList.objects.all(),
        "heavy": carry_of(commission, workshop, now).heavy,
    }


def kit_lists_page() -> dict[str, Any]:
    return {"kit_lists": KitList.objects.prefetch_related("items")}
