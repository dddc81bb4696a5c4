"""Photographs of a commission: taken in, described, taken out."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from collections.abc import Iterable, Sequence

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import Client, Commission, Person, Photograph, Room, Survey
from jobs.pictures.intake import LARGEST_BYTES, MOST_AT_ONCE, Picture, camera_time, take_in
from jobs.refusal import Refusal

__all__ = [
    "LARGEST_BYTES",
    "add_photographs",
    "describe_photograph",
    "erase_photographs",
    "keep_pictures",
    "remove_photograph",
]


def add_photographs(
    *,
    commission: Commission,
    files: Sequence[tuple[str, bytes]],
    purpose: str,
    words: str,
    room: Room | None,
    zone: dt.tzinfo,
    now: dt.datetime,
    actor: Person | None,
    survey: Survey | None = None,
    wall: str = "",
) -> list[Photograph]:
    """Each of the files (name, bytes) as a photograph, all or none. Decoding is done before the transaction opens.
    Those of a survey show its room."""
    room = survey.room if survey is not None else room
    _refuse_elsewhere(commission, room)
    if not files:
        raise Refusal("pictures", "Photographs: choose at least one.")
    if len(files) > MOST_AT_ONCE:
        raise Refusal("pictures", f"Photographs: {len(files)} were chosen; {MOST_AT_ONCE} at a time is the most.")
    pictures = [take_in(data, field="pictures", name=name) for name, data in files]
    return keep_pictures(
        commission=commission,
        pictures=pictures,
        purpose=purpose,
        words=words,
        room=room,
        zone=zone,
        now=now,
        actor=actor,
        survey=survey,
        wall=wall,
    )


def keep_pictures(
    *,
    commission: Commission,
    pictures: Sequence[Picture],
    purpose: str,
    words: str,
    room: Room | None,
    zone: dt.tzinfo,
    now: dt.datetime,
    actor: Person | None,
    taken_at: dt.datetime | None = None,
    survey: Survey | None = None,
    wall: str = "",
) -> list[Photograph]:
    """Pictures that are decoded already. `taken_at` stands where the picture itself does not say."""
    saved: list[Photograph] = []
    try:
        with transaction.atomic():
            for picture in pictures:
                photograph = Photograph(
                    commission=commission, room=room, survey=survey, wall=wall, purpose=purpose, words=words.strip(),
                    sha256=hashlib.sha256(picture.data).hexdigest(), width_px=picture.width_px,
                    height_px=picture.height_px, taken_at=camera_time(picture, zone, now) or taken_at, added_at=now,
                    added_by=actor,
                )  # fmt: skip
                saved.append(photograph)
                _keep_files(photograph, picture)
                photograph.save()
                write_line(
                    act="add_photograph", now=now, actor=actor, commission=commission, photograph=photograph.pk
                )
    except BaseException:
        _delete_files(saved)  # rows are rolled back; files would stay behind
        raise
    return saved


def _refuse_elsewhere(commission: Commission, room: Room | None) -> None:
    if room is not None and room.commission_id != commission.pk:
        raise Refusal("room", "Room: that room belongs to another commission; choose one of this commission.")


def _keep_files(photograph: Photograph, picture: Picture) -> None:
    """Under names that cannot be guessed and say nothing."""
    name = secrets.token_hex(16)
    photograph.file.save(f"{name}.jpg", ContentFile(picture.data), save=False)
    photograph.small.save(f"{name}-small.jpg", ContentFile(picture.small), save=False)


def _delete_files(photographs: Iterable[Photograph]) -> None:
    for photograph in photographs:
        for file in (photograph.file, photograph.small):
            if file.name:
                default_storage.delete(file.name)


@transaction.atomic
def describe_photograph(*, photograph: Photograph, now: dt.datetime, actor: Person | None) -> Photograph:
    """Change what a photograph is for, which room it shows, its words, and whether the client sees it."""
    if photograph.survey is not None:
        photograph.room = photograph.survey.room
    _refuse_elsewhere(photograph.commission, photograph.room)
    photograph.save(update_fields=["purpose", "room", "survey", "wall", "words", "is_shown_to_client"])
    write_line(
        act="describe_photograph",
        now=now,
        actor=actor,
        commission=photograph.commission,
        photograph=photograph.pk,
    )
    return photograph


@transaction.atomic
def remove_photograph(*, photograph: Photograph, now: dt.datetime, actor: Person | None) -> None:
    """Row and files, for good; the daybook keeps that there was one."""
    write_line(
        act="remove_photograph", now=now, actor=actor, commission=photograph.commission, photograph=photograph.pk
    )
    gone = [photograph]
    photograph.delete()
    transaction.on_commit(lambda: _delete_files(gone))


def erase_photographs(client_id: int, now: dt.datetime) -> None:
    """Every picture of a client's home, when the client is to be forgotten."""
    gone = list(Photograph.objects.filter(commission__client=Client(pk=client_id)))
    Photograph.objects.filter(pk__in=[one.pk for one in gone]).delete()
    transaction.on_commit(lambda: _delete_files(gone))
