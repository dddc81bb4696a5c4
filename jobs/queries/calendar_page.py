from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import models

from jobs.calendar_days import bank_holidays
from jobs.models import Absence, Closure, HelperDay, VanDay, Workshop

ENTRY_MODELS: dict[str, type[models.Model]] = {
    "closure": Closure,
    "absence": Absence,
    "helperday": HelperDay,
    "vanday": VanDay,
}


def calendar_page(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Every calendar day from a week ago on, and the bank holidays of the coming year. Four queries."""
    today = workshop.local_day(now)
    since = today - dt.timedelta(days=7)
    return {
        "closures": Closure.objects.filter(last_day__gte=since),
        "absences": Absence.objects.filter(last_day__gte=since).select_related("person"),
        "helper_days": HelperDay.objects.filter(day__gte=since).select_related("person"),
        "van_days": VanDay.objects.filter(day__gte=since),
        "bank_holidays": bank_holidays(workshop.nation, today, today + dt.timedelta(days=365)).items(),
    }
