from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.models import Subcontractor, SubcontractorClosure, Workshop
from jobs.queries.turnaround import turnarounds
from jobs.turnaround import turnaround_of

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def subcontractor_list(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Everybody we send work to, with the next closure. Two queries."""
    coming: dict[int, SubcontractorClosure] = {}
    for closure in SubcontractorClosure.objects.filter(last_day__gte=workshop.local_day(now)):
        coming.setdefault(closure.subcontractor_id, closure)
    return {"rows": [(one, coming.get(one.pk)) for one in Subcontractor.objects.order_by("-is_active", "name")]}


def subcontractor_page(subcontractor: Subcontractor, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    since = workshop.local_day(now) - dt.timedelta(days=7)
    return {
        "subcontractor": subcontractor,
        "closures": list(subcontractor.closures.filter(last_day__gte=since)),
        "facts": [
            ("What they do", subcontractor.trade),
            ("E-mail", subcontractor.email),
            ("Telephone", subcontractor.phone.as_national if subcontractor.phone else ""),
            ("Address", subcontractor.address),
            ("Days they work", ", ".join(DAY_NAMES[day] for day in sorted(subcontractor.weekdays))),
            ("Turnaround they state", f"{subcontractor.turnaround_days} working days"),
            ("On record", turnarounds(workshop).get(subcontractor.pk, turnaround_of([])).in_words),
            ("Notes", subcontractor.notes),
        ],
    }
