"""Parts of the site-day sheet from other pages: what else goes into the van, and the snags that are open."""

from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.models import Commission
from jobs.models.snag import VIEWING_RULE


def kit_part(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Kit, loose parts and spares in the order of their kinds. One query."""
    return {"items": list(commission.load_items.all())}


def snags_part(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Snags not yet done, with who sees to them. One query."""
    snags = commission.snags.filter(done_at__isnull=True).select_related("room", "person", "subcontractor")
    return {"snags": list(snags), "viewing_rule": VIEWING_RULE}
