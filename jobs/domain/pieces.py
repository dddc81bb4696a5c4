"""Pieces: added by typing or from a table, changed, counted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence

from django.db import transaction
from django.db.models import Max

from jobs.carrying.lengths import check_length_mm
from jobs.carrying.weights import check_thickness_mm
from jobs.domain.daybook import write_line
from jobs.models import Commission, Person, Piece, PiecePlace
from jobs.pure_errors import MeasureError
from jobs.queries.piece_values import weight_of
from jobs.refusal import Refusal

# A size of 1 or 2 is metres typed for millimetres: the thinnest panel of the trade is 3 mm, and no piece is smaller
# than 30 mm in its largest size. Common practice, no source.
SMALLEST_SIDE_MM = 3
SMALLEST_LARGE_SIDE_MM = 30
SIZE_FIELDS = ("width_mm", "height_mm", "depth_mm")
WRAPPED_FIELDS = ("wrapped_width_mm", "wrapped_height_mm", "wrapped_depth_mm")

# stage -> the column it fills, where the piece then is, and where it is again when the tick is taken back
STAGES: dict[str, tuple[str, PiecePlace | None, PiecePlace]] = {
    "wrapped": ("wrapped_at", None, PiecePlace.WORKSHOP),
    "loaded": ("loaded_at", PiecePlace.VAN, PiecePlace.WORKSHOP),
    "in_room": ("in_room_at", PiecePlace.ROOM, PiecePlace.VAN),
}


def check_piece(piece: Piece) -> None:
    """Refuse sizes and weights that cannot be; metres typed for millimetres are asked about."""
    if not piece.name.strip():
        raise Refusal("name", "Name: give the piece a name, such as carcass left.")
    for field in SIZE_FIELDS:
        _length(piece, field, minimum_mm=SMALLEST_SIDE_MM)
    largest = max(SIZE_FIELDS, key=lambda field: getattr(piece, field))
    _length(piece, largest, minimum_mm=SMALLEST_LARGE_SIDE_MM)
    typed = [field for field in WRAPPED_FIELDS if getattr(piece, field) is not None]
    if typed and len(typed) < len(WRAPPED_FIELDS):
        missing = next(field for field in WRAPPED_FIELDS if field not in typed)
        raise Refusal(missing, f"{_label(missing)}: give all three wrapped sizes, or none and they are reckoned.")
    for wrapped, bare in zip(typed, SIZE_FIELDS, strict=False):
        _length(piece, wrapped)
        if getattr(piece, wrapped) < getattr(piece, bare):
            raise Refusal(
                wrapped, f"{_label(wrapped)}: {getattr(piece, wrapped)} mm is less than the bare size; measure again."
            )
    try:
        if piece.thickness_mm is not None:
            check_thickness_mm(float(piece.thickness_mm))
        weight_of(piece)
    except MeasureError as fault:
        raise Refusal(_weight_field(fault), fault.sentence) from fault


def _length(piece: Piece, field: str, minimum_mm: int = 1) -> None:
    try:
        check_length_mm(getattr(piece, field), _label(field), minimum_mm=minimum_mm)
    except MeasureError as fault:
        raise Refusal(field, fault.sentence) from fault


def _label(field: str) -> str:
    words = field.removesuffix("_mm").replace("_", " ")
    return f"{words[:1].upper()}{words[1:]}"


def _weight_field(fault: MeasureError) -> str:
    names = {"Weight": "typed_kg", "Board area": "area_m2", "Thickness": "thickness_mm", "Fittings": "fittings_kg"}
    return names.get(fault.field, "board")


@transaction.atomic
def save_piece(*, piece: Piece, now: dt.datetime, actor: Person | None) -> Piece:
    """A piece, new or changed. A new one gets the next number of its commission."""
    check_piece(piece)
    is_new = piece.pk is None
    if is_new:
        piece.number = _last_number(piece.commission) + 1
    piece.save()
    act = "add_piece" if is_new else "edit_piece"
    write_line(act=act, now=now, actor=actor, commission=piece.commission, piece=piece.pk, number=piece.number)
    return piece


@transaction.atomic
def add_pieces(
    *, commission: Commission, pieces: Sequence[Piece], now: dt.datetime, actor: Person | None
) -> list[Piece]:
    """All of them or none; numbered on from the last. One insert, one line in the daybook."""
    if not pieces:
        raise Refusal("", "There is no piece in the table; nothing was added.")
    last = _last_number(commission)
    for number, piece in enumerate(pieces, start=last + 1):
        check_piece(piece)
        piece.commission, piece.number = commission, number
    made = Piece.objects.bulk_create(pieces)
    write_line(act="add_pieces", now=now, actor=actor, commission=commission, count=len(made), first=last + 1)
    return made


def _last_number(commission: Commission) -> int:
    return Piece.objects.filter(commission=commission).aggregate(last=Max("number"))["last"] or 0


@transaction.atomic
def remove_piece(*, piece: Piece, now: dt.datetime, actor: Person | None) -> None:
    """Take a piece out; its number is not given again while later ones exist."""
    if piece.in_room_at is not None:
        raise Refusal("", f"{piece} is counted in the room; take that tick back first.")
    write_line(
        act="remove_piece", now=now, actor=actor, commission=piece.commission, piece=piece.pk, number=piece.number
    )
    piece.delete()


@transaction.atomic
def count_pieces(
    *, commission: Commission, stage: str, present: Collection[int], now: dt.datetime, actor: Person | None
) -> tuple[int, int]:
    """Those of `present` (ids) are wrapped, loaded or in the room, the others are not. Returns (counted, all)."""
    if stage not in STAGES:
        raise Refusal("", "Count at wrap, at load or in the room.")
    column, place, place_before = STAGES[stage]
    pieces = list(commission.pieces.all())
    unknown = set(present) - {piece.pk for piece in pieces}
    if unknown:
        raise Refusal("", "A ticked piece is not of this commission any more: load the page again and count.")
    added = [piece.pk for piece in pieces if piece.pk in present and getattr(piece, column) is None]
    taken = [piece.pk for piece in pieces if piece.pk not in present and getattr(piece, column) is not None]
    moved = {"place": place} if place else {}
    back = {"place": place_before} if place else {}
    Piece.objects.filter(pk__in=added).update(**{column: now}, **moved)
    Piece.objects.filter(pk__in=taken).update(**{column: None}, **back)
    write_line(
        act="count_pieces", now=now, actor=actor, commission=commission, stage=stage, counted=len(set(present)),
        of=len(pieces),
    )  # fmt: skip
    return len(set(present)), len(pieces)


@transaction.atomic
def tick_piece(*, piece: Piece, stage: str, present: bool, now: dt.datetime, actor: Person | None) -> None:
    """One piece is wrapped, loaded or in the room, or is not after all: what the label's page offers."""
    if stage not in STAGES:
        raise Refusal("", "Count at wrap, at load or in the room.")
    column, place, place_before = STAGES[stage]
    columns: dict[str, object] = {column: now if present else None}
    if place is not None:
        columns["place"] = place if present else place_before
    changed = Piece.objects.filter(pk=piece.pk, **{f"{column}__isnull": present}).update(**columns)
    if not changed:
        raise Refusal(
            "", f"{piece} {'has that tick already' if present else 'has no such tick'}; nothing was changed."
        )
    write_line(
        act="tick_piece", now=now, actor=actor, commission=piece.commission, piece=piece.pk, number=piece.number,
        stage=stage, present=present,
    )  # fmt: skip
