"""How often somebody may try. The limits stand in settings.ACCOUNT_RATE_LIMITS, beside those of the sign-in library,
and are counted in the shared database cache, so that several web processes count together."""

from __future__ import annotations

from allauth.core import ratelimit
from django.http import HttpRequest, HttpResponse


def too_many(request: HttpRequest, action: str, *, key: str | None = None) -> HttpResponse | None:
    """The answer 429 where this POST is one too many, else None. A GET is not counted: it never acts.

    `key` names what is guarded where the limit counts per key ("…/key") instead of per address or person.
    """
    if ratelimit.consume(request, action=action, key=key):
        return None
    return ratelimit.respond_429(request)
