"""What the rooms, the pieces and the way in know of a client, taken away when the client is forgotten."""

from __future__ import annotations

import datetime as dt

from jobs.models import Declaration, RoomFeature, RoutePlace, SiteAct, SitePhotograph, Survey, WorkSince


def forget_site(client_id: int, now: dt.datetime) -> None:
    """For the registry of erasers: how one gets into the house and what is in it goes, and what the client said.
    Pieces and sizes of our own work stay; they say nothing of a person."""
    RoutePlace.objects.filter(commission__client_id=client_id).delete()
    RoomFeature.objects.filter(room__commission__client_id=client_id).delete()
    Declaration.objects.filter(commission__client_id=client_id).delete()
    WorkSince.objects.filter(commission__client_id=client_id).delete()
    SitePhotograph.objects.filter(commission__client_id=client_id).delete()
    SiteAct.objects.filter(commission__client_id=client_id).update(payload={}, sentence="")
    Survey.objects.filter(room__commission__client_id=client_id).update(notes="", wall_type="", floor_build_up="")
