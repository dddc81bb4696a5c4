"""Doors, shelves and the facts of a commission that the hinge check and the handover pack are made of."""

from __future__ import annotations

import datetime as dt
import re

from django.db import IntegrityError, transaction

from aftercare.models import Door, FittedFacts, Shelf
from aftercare.pack.gather_fitted import pure_door
from aftercare.pack.hinges import weight_of
from aftercare.pack.shelves import safe_load
from jobs.domain.daybook import write_line
from jobs.models import Commission, Person, Piece, Room
from jobs.pure_errors import MeasureError
from jobs.refusal import Refusal

MOST_ALIKE = 24
LABEL = re.compile(r"(.*?)(\d+)$")


@transaction.atomic
def save_door(*, door: Door, now: dt.datetime, actor: Person | None) -> Door:
    """A door, new or changed."""
    _check_belongs(door.commission, door.room, door.piece)
    try:
        weight_of(pure_door(door))
    except MeasureError as fault:
        raise Refusal(_door_field(fault.field), fault.sentence) from fault
    if Door.objects.filter(commission=door.commission, label=door.label).exclude(pk=door.pk).exists():
        raise Refusal("label", f"Label: this commission has a door {door.label} already; give another label.")
    door.save()
    write_line(act="save_door", now=now, actor=actor, commission=door.commission, door=door.pk)
    return door


def add_doors(*, door: Door, alike: int, now: dt.datetime, actor: Person | None) -> list[Door]:
    """As many doors like this one, side by side: D3 and two more make D3, D4 and D5."""
    if not 1 <= alike <= MOST_ALIKE:
        raise Refusal("alike", f"How many alike: give a number from 1 to {MOST_ALIKE}.")
    match = LABEL.fullmatch(door.label)
    if alike > 1 and match is None:
        raise Refusal("label", "Label: end it with a number, such as D1, so that the others can count on from it.")
    labels = [door.label]
    if match is not None:
        labels = [f"{match[1]}{int(match[2]) + more}" for more in range(alike)]
    made = []
    try:
        with transaction.atomic():
            for more, label in enumerate(labels):
                left = None if door.left_mm is None else door.left_mm + more * (door.width_mm + DOOR_GAP_MM)
                made.append(save_door(door=_like(door, label, door.position + more, left), now=now, actor=actor))
    except IntegrityError as fault:
        raise Refusal("label", "One of these labels is taken: choose labels that no door has yet.") from fault
    return made


DOOR_GAP_MM = 3  # between doors side by side: 2 to 3 mm, common practice, from memory


def _like(door: Door, label: str, position: int, left_mm: int | None) -> Door:
    same = ("room", "piece", "width_mm", "height_mm", "thickness_mm", "board", "typed_kg", "hung", "hinges_fitted")
    values = {name: getattr(door, name) for name in (*same, "bottom_mm")}
    return Door(commission=door.commission, label=label, position=position, left_mm=left_mm, **values)


@transaction.atomic
def remove_door(*, door: Door, now: dt.datetime, actor: Person | None) -> None:
    """Out of the record; one that has been checked stays, because its gaps do."""
    if door.checks.exists():
        raise Refusal("", f"Door {door} has been checked at a return visit; it stays on record. Change it instead.")
    write_line(act="remove_door", now=now, actor=actor, commission=door.commission, door=door.pk)
    door.delete()


@transaction.atomic
def save_shelf(*, shelf: Shelf, now: dt.datetime, actor: Person | None) -> Shelf:
    """A shelf, new or changed. One whose load cannot be calculated is refused unless the maker states it."""
    _check_belongs(shelf.commission, shelf.room, None)
    if shelf.board and shelf.stated_kg is None:
        try:
            safe_load(
                shelf.board,
                span_mm=shelf.span_mm,
                depth_mm=shelf.depth_mm,
                thickness_mm=float(shelf.thickness_mm),
                data_sheet_n_mm2=shelf.data_sheet_n_mm2,
            )
        except MeasureError as fault:
            raise Refusal(SHELF_FIELDS.get(fault.field, ""), fault.sentence) from fault
    shelf.save()
    write_line(act="save_shelf", now=now, actor=actor, commission=shelf.commission, shelf=shelf.pk)
    return shelf


SHELF_FIELDS = {
    "Shelf span": "span_mm",
    "Shelf depth": "depth_mm",
    "Thickness": "thickness_mm",
    "Stiffness": "data_sheet_n_mm2",
    "Board": "board",
}


@transaction.atomic
def remove_shelf(*, shelf: Shelf, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_shelf", now=now, actor=actor, commission=shelf.commission, shelf=shelf.pk)
    shelf.delete()


@transaction.atomic
def keep_facts(*, facts: FittedFacts, now: dt.datetime, actor: Person | None) -> FittedFacts:
    """What the pack says beside finishes, doors and shelves."""
    if facts.signed_on is not None and facts.signed_on > now.date() + dt.timedelta(days=1):
        raise Refusal("signed_on", "Signed on: that lies in the future; give the day on which it was signed.")
    if facts.signed_on is not None and not facts.signed_by.strip():
        raise Refusal("signed_by", "Signed by: give the name of the person who signed, or leave the day blank.")
    facts.save()
    write_line(act="keep_facts", now=now, actor=actor, commission=facts.commission)
    return facts


def _check_belongs(commission: Commission, room: Room | None, piece: Piece | None) -> None:
    if room is not None and room.commission_id != commission.pk:
        raise Refusal("room", "Room: that room belongs to another commission; choose one of this commission.")
    if piece is not None and piece.commission_id != commission.pk:
        raise Refusal("piece", "Piece: that piece belongs to another commission; choose one of this commission.")


def _door_field(name: str) -> str:
    fields = {"Door width": "width_mm", "Door height": "height_mm", "Thickness": "thickness_mm"}
    return fields.get(name, {"Door weight": "typed_kg", "Board": "board", "Hinges": "hinges_fitted"}.get(name, ""))
