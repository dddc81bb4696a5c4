"""When somebody last proved themselves by a second factor, from what the sign-in library notes in the session."""

from __future__ import annotations

import datetime as dt

from allauth.account.authentication import get_authentication_records
from allauth.mfa.models import Authenticator
from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import urlencode

from jobs.models import Person

FACTORS = [Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN]


def factors_of(person: Person) -> set[str]:
    """The kinds of second factor a person has set up; recovery codes alone are none. One query."""
    return set(Authenticator.objects.filter(user=person, type__in=FACTORS).values_list("type", flat=True))


def second_factor_at(request: HttpRequest) -> dt.datetime | None:
    """The latest proof in this session by a factor that is still set up; None where there is none."""
    person = request.user
    if not isinstance(person, Person):
        return None
    records = [one for one in get_authentication_records(request, person) if one.get("method") == "mfa"]
    standing = set(Authenticator.objects.filter(user=person).values_list("pk", flat=True))
    times = [one["at"] for one in records if one.get("id") in standing]
    return dt.datetime.fromtimestamp(max(times), dt.UTC) if times else None


def address_to_prove(person: Person, back: str) -> str:
    """Where to give the second factor again before coming back to `back`."""
    name = "mfa_reauthenticate" if Authenticator.Type.TOTP in factors_of(person) else "mfa_reauthenticate_webauthn"
    return f"{reverse(name)}?{urlencode({'next': back})}"
