from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import (
    AccessArrangement,
    Client,
    ClientAway,
    FinishRecord,
    Person,
    Room,
)
from jobs.refusal import Refusal


@transaction.atomic
def add_client(*, now: dt.datetime, actor: Person | None, **fields: Any) -> Client:
    client = Client(**fields)
    return save_client(client=client, now=now, actor=actor)


@transaction.atomic
def save_client(*, client: Client, now: dt.datetime, actor: Person | None) -> Client:
    if not client.name.strip():
        raise Refusal("name", "Give the client's name.")
    is_new = client.pk is None
    client.save()
    write_line(act="add_client" if is_new else "edit_client", now=now, actor=actor, client=client.pk)
    return client


@transaction.atomic
def add_client_away(
    *, client: Client, first_day: dt.date, last_day: dt.date, now: dt.datetime, actor: Person | None
) -> ClientAway:
    check_range(first_day, last_day)
    away = ClientAway.objects.create(client=client, first_day=first_day, last_day=last_day)
    write_line(act="add_client_away", now=now, actor=actor, client=client.pk)
    return away


@transaction.atomic
def remove_client_away(*, away: ClientAway, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_client_away", now=now, actor=actor, client=away.client_id)
    away.delete()


def check_range(first_day: dt.date, last_day: dt.date) -> None:
    if last_day < first_day:
        raise Refusal("last_day", "The last day lies before the first: swap them or give a later one.")
    if (last_day - first_day).days > 366:
        raise Refusal("last_day", "That is longer than a year: check the year that was typed.")


@transaction.atomic
def arrange_access(*, access: AccessArrangement, now: dt.datetime, actor: Person | None) -> AccessArrangement:
    """Who lets us in, when and how; new or changed."""
    if access.slot_ends <= access.slot_starts:
        raise Refusal("slot_ends", "The access slot would end before it starts: give a later end.")
    access.save()
    write_line(act="arrange_access", now=now, actor=actor, commission=access.commission, access=access.pk)
    return access


@transaction.atomic
def save_room(*, room: Room, now: dt.datetime, actor: Person | None) -> Room:
    for field, words in (("window_facing_deg", "the window faces"), ("furniture_facing_deg", "the doors face")):
        bearing = getattr(room, field)
        if bearing is not None and not 0 <= bearing <= 359:
            raise Refusal(
                field,
                f"The way {words} is a compass bearing from 0 to 359 degrees (north 0, east 90); {bearing} is none.",
            )
    if Room.objects.filter(commission=room.commission, name__iexact=room.name).exclude(pk=room.pk).exists():
        raise Refusal("name", f"This commission has a room called {room.name} already: give another name.")
    room.save()
    write_line(act="save_room", now=now, actor=actor, commission=room.commission, room=room.pk)
    return room


@transaction.atomic
def record_finish(*, finish: FinishRecord, now: dt.datetime, actor: Person | None) -> FinishRecord:
    if finish.sheen_percent is not None and not 0 <= finish.sheen_percent <= 100:
        raise Refusal("sheen_percent", "Sheen is a percentage from 0 (dead flat) to 100.")
    finish.save()
    write_line(act="record_finish", now=now, actor=actor, commission=finish.commission, finish=finish.pk)
    return finish


@transaction.atomic
def remove_finish(*, finish: FinishRecord, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_finish", now=now, actor=actor, commission=finish.commission, finish=finish.pk)
    finish.delete()
