"""What aftercare lets people look for. One query each."""

from __future__ import annotations

from django.urls import reverse

from aftercare.models import FutureWork
from jobs.queries.search import in_every_word
from jobs.registries import Found, SearchText


def found_future_work(text: SearchText, limit: int) -> list[Found]:
    """What clients spoke of having made later."""
    fields = ("what", "room", "timing", "commission__number", "commission__nickname")
    rows = FutureWork.objects.filter(in_every_word(text, *fields)).select_related("commission")
    return [
        Found(
            one.what,
            f"{one.commission}{', settled' if one.settled_on else ''}",
            reverse("edit_future_work", args=[one.pk]),
        )
        for one in rows.order_by("-pk")[:limit]
    ]
