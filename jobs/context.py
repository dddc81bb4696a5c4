from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from jobs.queries.workshop import is_stalled


def _is_stalled(request: HttpRequest) -> bool:
    """No query: the time of the last sweep came with the workshop."""
    workshop, now = getattr(request, "workshop", None), getattr(request, "now", None)
    return workshop is not None and now is not None and is_stalled(workshop, now)


def workshop(request: HttpRequest) -> dict[str, Any]:
    """What every page may say: whose workshop, what time it is, and whether mail really goes out."""
    return {
        "workshop": getattr(request, "workshop", None),
        "now": getattr(request, "now", None),
        "sweep_is_stalled": _is_stalled(request),
        "mail_is_configured": settings.MAIL_IS_CONFIGURED,
    }
