"""Pieces as a CSV table: our own plain columns, read and checked before anything is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError

from jobs.carrying.lengths import parse_length_mm
from jobs.carrying.weights import BOARDS
from jobs.csv_in import Column, Complaint, one_of, read_table, text_up_to, whole_number
from jobs.csv_out import unguarded, write_table
from jobs.domain.pieces import check_piece
from jobs.models import Commission, Piece, PiecePlace, Track
from jobs.pure_errors import MeasureError
from jobs.refusal import Refusal

# Heading, what goes into it, example: the list printed on the page.
COLUMNS: tuple[tuple[str, str, str], ...] = (
    ("name", "what it is called; needed", "Carcass left"),
    ("width_mm", "whole millimetres; needed", "600"),
    ("height_mm", "whole millimetres; needed", "2200"),
    ("depth_mm", "whole millimetres; needed", "580"),
    ("room", "a room of this commission", "Dressing room"),
    ("track", "doors, carcasses, bought-in parts or whole job; carcasses where blank", "carcasses"),
    ("board", f"one of {', '.join(BOARDS)}", "mdf"),
    ("thickness_mm", "of the board", "18"),
    ("area_m2", "square metres of board in it; a flat piece needs none", "4.35"),
    ("fittings_kg", "hinges, runners and so on", "1.5"),
    ("typed_kg", "weight off the scales; it wins over the reckoning", ""),
    ("wrapped_width_mm", "all three wrapped sizes or none", ""),
    ("wrapped_height_mm", "", ""),
    ("wrapped_depth_mm", "", ""),
    ("finish", "a surface of the finish record", ""),
    ("fragile", "yes or no; no where blank", "no"),
    ("stands_up", "no for plinths, worktops and loose panels; yes where blank", "yes"),
    ("step", "name of the step it is in", ""),
    ("place", "not made yet, in the workshop, at the sprayer and so on", "in the workshop"),
    ("fitting_order", "1 is fitted first", "1"),
    ("method_note", "how a heavy one is lifted, by whom, with what", ""),
)
NAMES = [name for name, _, _ in COLUMNS]
REQUIRED = {"name", "width_mm", "height_mm", "depth_mm"}
LENGTHS = [name for name in NAMES if name.endswith("_mm") and name != "thickness_mm"]
NUMBERS = ("thickness_mm", "area_m2", "fittings_kg", "typed_kg")
LARGEST_NUMBER = Decimal(10_000)
YES_NO = {"yes": True, "no": False}
LOOKED_UP = ("room", "finish", "step")


@dataclass(frozen=True)
class PieceTable:
    """Unsaved pieces, or complaints; all or nothing."""

    pieces: tuple[Piece, ...]
    complaints: tuple[Complaint, ...]


def read_pieces(commission: Commission, data: bytes) -> PieceTable:
    """Three queries whatever the number of lines; nothing is written."""
    table = read_table(data, columns_for(commission))
    complaints = list(table.complaints)
    bad = {complaint.line for complaint in complaints}
    pieces: list[Piece] = []
    for row in table.rows:
        if row.line in bad:
            continue
        values = {name: value for name, value in row.values.items() if value is not None}
        piece = Piece(commission=commission, number=len(pieces) + 1, **values)
        complaints += [Complaint(row.line, sentence) for sentence in _faults(piece)]
        pieces.append(piece)
    if complaints:
        return PieceTable((), tuple(sorted(complaints, key=lambda complaint: complaint.line)))
    return PieceTable(tuple(pieces), ())


def columns_for(commission: Commission) -> list[Column]:
    """Readers of every column; rooms, finishes and steps by their names in this commission."""
    readers: dict[str, Callable[[str], Any]] = {name: _length(name) for name in LENGTHS}
    readers |= dict.fromkeys(NUMBERS, _number)
    readers |= {
        "name": lambda text: text_up_to(80)(unguarded(text)),
        "method_note": lambda text: text_up_to(300)(unguarded(text)),
        "room": _one_of_ours({room.name: room for room in commission.rooms.all()}),
        "finish": _one_of_ours({finish.surface: finish for finish in commission.finishes.all()}),
        "step": _one_of_ours({step.name: step for step in commission.steps.all()}),
        "track": one_of({str(track.label).lower(): track.value for track in Track}),
        "place": one_of({str(place.label).lower(): place.value for place in PiecePlace}),
        "board": one_of({one.lower(): board.key for board in BOARDS.values() for one in (board.key, board.name)}),
        "fragile": one_of(YES_NO),
        "stands_up": one_of(YES_NO),
        "fitting_order": whole_number(1, 9999),
    }
    return [Column(name, readers[name], required=name in REQUIRED, default=None) for name in NAMES]


def write_pieces(pieces: Iterable[Piece]) -> str:
    """The same columns going out, so that a table can be changed elsewhere and read again."""
    return write_table(NAMES, [_row(piece) for piece in pieces])


def _length(name: str) -> Callable[[str], int]:
    def read(text: str) -> int:
        try:
            return parse_length_mm(text, name)
        except MeasureError as fault:
            raise ValueError(fault.sentence.removeprefix(f"{name}: ")) from fault

    return read


def _number(text: str) -> Decimal:
    try:
        number = Decimal(text)
    except InvalidOperation as fault:
        raise ValueError(f"“{text[:20]}” is not a number. Type one such as 1.5.") from fault
    if not number.is_finite() or not 0 <= number < LARGEST_NUMBER:
        raise ValueError(f"“{text[:20]}” cannot be right. Type a number from 0 up, such as 1.5.")
    return number


def _one_of_ours(named: dict[str, Any]) -> Callable[[str], Any]:
    known = {name.strip().lower(): row for name, row in named.items()}

    def read(text: str) -> Any:
        wanted = unguarded(text).lower()
        if wanted not in known:
            names = ", ".join(named) or "none is entered yet"
            raise ValueError(f"“{text[:40]}” is not in this commission. There: {names}.")
        return known[wanted]

    return read


def _faults(piece: Piece) -> list[str]:
    try:
        check_piece(piece)
        piece.clean_fields(exclude=["commission", *LOOKED_UP])  # found by name, each in one query
    except Refusal as refusal:
        return [refusal.sentence]
    except ValidationError as fault:
        return [f"{name}: {' '.join(words)}" for name, words in fault.message_dict.items()]
    return []


def _row(piece: Piece) -> dict[str, object]:
    return {name: getattr(piece, name) for name in NAMES} | {
        "track": str(piece.get_track_display()).lower(),
        "place": str(piece.get_place_display()).lower(),
        "fragile": "yes" if piece.fragile else "no",
        "stands_up": "yes" if piece.stands_up else "no",
    }
