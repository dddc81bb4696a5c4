from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.models import Visit, VisitKind, VisitState, Workshop

RECENT = dt.timedelta(days=60)


def return_visit_page(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Return visits to arrange, arranged, and of the last two months. Three queries."""
    rows = Visit.objects.filter(kind=VisitKind.RETURN).select_related("commission__client", "person")
    return {
        "to_arrange": list(rows.filter(state=VisitState.TO_ARRANGE)),
        "arranged": list(rows.filter(state=VisitState.ARRANGED)),
        "done": list(rows.filter(state=VisitState.DONE, starts_at__gte=now - RECENT).order_by("-starts_at")),
    }
