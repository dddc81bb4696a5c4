from __future__ import annotations

import datetime as dt

from django.db.models import Exists, OuterRef, Q
from django.db.models.functions import Coalesce

from jobs.models import Commission, SlotOffer, VisitSlot


def open_offers(commission: Commission, now: dt.datetime) -> list[SlotOffer]:
    """The times a client may still pick: to come, and free but for the visit they would move. One query."""
    taken = VisitSlot.objects.filter(
        # An offer without a visit compares with 0, which no visit has: SQL's "not equal to nothing" would be unknown.
        ~Q(visit=Coalesce(OuterRef("visit"), 0)),
        person=OuterRef("person"),
        starts_at__gte=OuterRef("starts_at"),
        starts_at__lt=OuterRef("ends_at"),
    )
    rows = SlotOffer.objects.filter(
        commission=commission, taken_at__isnull=True, withdrawn_at__isnull=True, starts_at__gt=now
    )
    return list(
        rows.filter(~Exists(taken)).select_related("commission", "person", "visit").order_by("kind", "starts_at")
    )
