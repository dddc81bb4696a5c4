from __future__ import annotations

import datetime as dt

from allauth.mfa.models import Authenticator
from django.apps import apps
from django.db.models import Exists, OuterRef, Subquery

from jobs.models import Heartbeat, Person, Workshop

SWEEP = "sweep"
# The worker sweeps each minute.
STALE_AFTER = dt.timedelta(minutes=3)


def the_workshop() -> Workshop | None:
    """The one workshop, or None on an empty installation; with `last_sweep_at`, so that every page can warn. One
    query."""
    beat = Heartbeat.objects.filter(name=SWEEP).order_by().values("last_ok_at")[:1]
    return Workshop.objects.annotate(last_sweep_at=Subquery(beat)).order_by("pk").first()


def last_sweep(workshop: Workshop | None) -> dt.datetime | None:
    return getattr(workshop, "last_sweep_at", None)


def is_stalled(workshop: Workshop | None, now: dt.datetime) -> bool:
    """Whether nothing has been swept for three minutes, or ever."""
    at = last_sweep(workshop)
    return at is None or now - at > STALE_AFTER


def people_list() -> list[Person]:
    """Everybody of the workshop, each with `has_factors`: whether a second factor is set up. One query."""
    factors = Authenticator.objects.filter(user=OuterRef("pk"))
    return list(Person.objects.annotate(has_factors=Exists(factors)))


def what_the_demo_holds() -> list[tuple[str, int]]:
    """What emptying takes, in words and numbers, as the page says it. One query each."""
    named = [
        ("clients", "Client"), ("commissions with all their sheets", "Commission"), ("visits", "Visit"),
        ("messages and calls", "Message"), ("photographs", "Photograph"), ("subcontractors", "Subcontractor"),
        ("vans", "Van"), ("kit lists", "KitList"), ("parking rules", "ParkingRule"), ("closures", "Closure"),
    ]  # fmt: skip
    return [(words, apps.get_model("jobs", name)._default_manager.count()) for words, name in named]
