from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest

from aftercare.models import FutureWork, MayWrite
from jobs.models import Client, Commission, Workshop

SHOWN = 12


def due_future_work(workshop: Workshop, now: dt.datetime) -> list[FutureWork]:
    """What is to be come back to today or was before, the oldest first. One query."""
    return list(
        FutureWork.objects.filter(settled_on__isnull=True, next_contact_on__lte=workshop.local_day(now))
        .select_related("commission")
        .order_by("next_contact_on", "pk")[:SHOWN]
    )


def board_section(request: HttpRequest, now: dt.datetime) -> tuple[str, dict[str, Any]]:
    """The foot of the job board. It names the commission and not the client: visitors read the wall."""
    workshop: Workshop = request.workshop  # type: ignore[attr-defined]
    return "aftercare/board_future_work.html", {"due": due_future_work(workshop, now)}


def future_work_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """What the commission page says of it, what is open first. One query."""
    works = list(FutureWork.objects.filter(commission=commission))
    return {"works": sorted(works, key=lambda work: work.settled_on is not None)}


def keeps_for_future_work(client: Client, today: dt.date) -> bool:
    """Whether something the client spoke of is still to be come back to, and they have not said no."""
    return (
        FutureWork.objects.filter(commission__client=client, settled_on__isnull=True, next_contact_on__gte=today)
        .exclude(may_write=MayWrite.NO)
        .exists()
    )
