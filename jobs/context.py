from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest


def workshop(request: HttpRequest) -> dict[str, Any]:
    """What every page may say: whose workshop, what time it is, and whether mail really goes out."""
    return {
        "workshop": getattr(request, "workshop", None),
        "now": getattr(request, "now", None),
        "mail_is_configured": settings.MAIL_IS_CONFIGURED,
    }
