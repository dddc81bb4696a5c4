from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction

from aftercare.light.errors import LightError
from aftercare.light.match import check_note
from aftercare.light.values import LightNote as PureNote
from aftercare.models import LightNote, LightNoteSource
from aftercare.queries.light import light_place
from jobs.domain.daybook import write_line
from jobs.models import Person, Room
from jobs.queries.workshop import the_workshop
from jobs.refusal import Refusal


def note_light(
    *,
    room: Room,
    noted_at: dt.datetime,
    person: Person,
    now: dt.datetime,
    actor: Person | None,
    words: str = "",
    source: str = LightNoteSource.TYPED,
) -> LightNote:
    """The hour at which a room looked best. Refused in the future, and at night where the place is known."""
    if noted_at > now:
        raise Refusal("noted_at", "The light note lies in the future: give the hour at which the light was good.")
    place = light_place(room.commission)
    workshop = the_workshop()
    zone = workshop.tz if workshop else dt.UTC
    if place is not None:
        try:
            check_note(place, PureNote(noted_at), zone)
        except LightError as fault:
            raise Refusal("noted_at", fault.sentence) from fault
    try:
        with transaction.atomic():
            note = LightNote.objects.create(room=room, noted_at=noted_at, words=words, source=source, person=person)
            write_line(act="note_light", now=now, actor=actor, commission=room.commission, room=room.pk, note=note.pk)
    except IntegrityError as fault:
        raise Refusal("noted_at", "There is a light note for this room at this very minute already.") from fault
    return note


@transaction.atomic
def remove_light_note(*, note: LightNote, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_light_note", now=now, actor=actor, commission=note.room.commission, note=note.pk)
    note.delete()
