"""Photographs that come from a phone in parts, go on where they broke off, and become a photograph once."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from jobs.domain.photographs import LARGEST_BYTES, keep_pictures
from jobs.models import Commission, Person, PhotographPurpose, SitePhotograph, SitePhotographPart, Workshop
from jobs.pictures.intake import take_in
from jobs.refusal import Refusal

LARGEST_PART_BYTES = 512 * 1024
PARTS_KEPT = dt.timedelta(days=14)
MOST_WAITING = 60


@dataclass(frozen=True)
class Part:
    """Some bytes of the photograph `key`, and what every part says of the whole."""

    key: UUID
    commission: Commission
    purpose: str
    size_bytes: int
    offset_bytes: int
    data: bytes
    taken_at: dt.datetime | None = None


def check_part(part: Part) -> None:
    if part.purpose not in PhotographPurpose.values:
        raise Refusal("purpose", "What the photograph is for: choose one of the list.")
    if not 1 <= part.size_bytes <= LARGEST_BYTES:
        raise Refusal("size", "A photograph has from 1 byte to 15 MB: make it smaller.")
    if not 1 <= len(part.data) <= LARGEST_PART_BYTES:
        raise Refusal("data", "A part of a photograph has from 1 byte to 512 kB.")
    if part.offset_bytes + len(part.data) > part.size_bytes:
        raise Refusal("offset", "This part reaches past the end of the photograph: send it again from the start.")


def take_part(*, part: Part, workshop: Workshop, now: dt.datetime, person: Person) -> SitePhotograph:
    """Keep one part; the last one makes the photograph. The answer says how many bytes are here: a part that does
    not begin there changes nothing, and the phone goes on from where we are."""
    check_part(part)
    row = _keep_part(part, now, person)
    if row.joined_at is None and row.received_bytes == row.size_bytes:
        join(row=row, workshop=workshop, now=now)
    return row


@transaction.atomic
def _keep_part(part: Part, now: dt.datetime, person: Person) -> SitePhotograph:
    row = SitePhotograph.objects.select_for_update().filter(key=part.key).first()
    if row is None:
        waiting = SitePhotograph.objects.filter(person=person, joined_at__isnull=True).count()
        if waiting >= MOST_WAITING:
            raise Refusal("", f"{waiting} photographs are half sent already: let those come through first.")
        row = SitePhotograph.objects.create(
            key=part.key,
            person=person,
            commission=part.commission,
            purpose=part.purpose,
            size_bytes=part.size_bytes,
            taken_at=part.taken_at if part.taken_at and part.taken_at <= now else None,
            begun_at=now,
        )
    if (row.person_id, row.commission_id, row.size_bytes) != (person.pk, part.commission.pk, part.size_bytes):
        raise Refusal("key", "This key belongs to another photograph.")
    if row.joined_at is None and part.offset_bytes == row.received_bytes:
        SitePhotographPart.objects.create(of=row, offset_bytes=part.offset_bytes, data=part.data)
        row.received_bytes += len(part.data)
        row.save(update_fields=["received_bytes"])
    return row


def join(*, row: SitePhotograph, workshop: Workshop, now: dt.datetime) -> None:
    """Unpacked before the transaction opens; inside it the row decides who of two makes the photograph."""
    data = b"".join(bytes(part.data) for part in row.parts.all())
    try:
        pictures = [take_in(data, field="picture", name="The photograph")]
        refused = ""
    except Refusal as refusal:
        pictures, refused = [], refusal.sentence[:400]
    with transaction.atomic():
        locked = SitePhotograph.objects.select_for_update().get(pk=row.pk)
        if locked.joined_at is None:
            if pictures:
                [locked.photograph] = keep_pictures(
                    commission=row.commission,
                    pictures=pictures,
                    purpose=row.purpose,
                    words="",
                    room=None,
                    zone=workshop.tz,
                    now=now,
                    actor=row.person,
                    taken_at=row.taken_at,
                )
            locked.joined_at, locked.refused = now, refused
            locked.save(update_fields=["photograph", "joined_at", "refused"])
            locked.parts.all().delete()
    row.refresh_from_db()


def join_whole(
    *,
    key: UUID,
    commission: Commission,
    purpose: str,
    data: bytes,
    workshop: Workshop,
    now: dt.datetime,
    person: Person,
) -> SitePhotograph:
    """A photograph that came in one piece, with a form. Refused where it is none."""
    part = Part(key, commission, purpose, len(data), 0, data[:LARGEST_PART_BYTES])
    check_part(part)
    row = _keep_part(part, now, person)
    for offset in range(LARGEST_PART_BYTES, len(data), LARGEST_PART_BYTES):
        more = data[offset : offset + LARGEST_PART_BYTES]
        row = _keep_part(Part(key, commission, purpose, len(data), offset, more), now, person)
    join(row=row, workshop=workshop, now=now)
    if row.refused:
        raise Refusal("picture", row.refused)
    return row


def drop_old_parts(workshop: Workshop, now: dt.datetime) -> int:
    """Photographs that stopped coming two weeks ago. Nightly."""
    gone = SitePhotograph.objects.filter(joined_at__isnull=True, begun_at__lt=now - PARTS_KEPT)
    return gone.delete()[0]
