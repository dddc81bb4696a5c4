"""Pieces as a CSV table: our own plain columns, read and checked before anything is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError

from jobs.carrying.lengths import parse_length_mm
from jobs.carrying.weights import BOARDS
from jobs.csv_tables import Column, Line, read_table, write_table
from jobs.domain.pieces import check_piece
from jobs.models import Commission, Piece, PiecePlace, Track
from jobs.pure_errors import MeasureError
from jobs.refusal import Refusal

COLUMNS = (
    Column("name", "what it is called", "Carcass left", required=True),
    Column("width_mm", "whole millimetres", "600", required=True),
    Column("height_mm", "whole millimetres", "2200", required=True),
    Column("depth_mm", "whole millimetres", "580", required=True),
    Column("room", "name of a room of the commission", "Dressing room"),
    Column("track", "doors, carcasses, bought-in parts or whole job; carcasses where blank", "carcasses"),
    Column("board", f"one of {', '.join(BOARDS)}", "mdf"),
    Column("thickness_mm", "of the board", "18"),
    Column("area_m2", "square metres of board in it; a flat piece needs none", "4.35"),
    Column("fittings_kg", "hinges, runners and so on", "1.5"),
    Column("weight_kg", "off the scales; wins over the reckoning", ""),
    Column("wrapped_width_mm", "all three wrapped sizes or none", ""),
    Column("wrapped_height_mm", "", ""),
    Column("wrapped_depth_mm", "", ""),
    Column("finish", "a surface from the commission's finish record", "Doors and frames"),
    Column("fragile", "yes or no; no where blank", "no"),
    Column("stands_up", "no for plinths, worktops, loose panels; yes where blank", "yes"),
    Column("step", "name of the step it is in", "Carcasses made"),
    Column("place", "not made yet, in the workshop, at the sprayer ...", "in the workshop"),
    Column("fitting_order", "1 is fitted first", "1"),
    Column("method_note", "how it is lifted, by whom, with what", ""),
)
LENGTHS = tuple(column.name for column in COLUMNS if column.name.endswith("_mm") and column.name != "thickness_mm")
NUMBERS = {
    "thickness_mm": "thickness_mm",
    "area_m2": "area_m2",
    "fittings_kg": "fittings_kg",
    "weight_kg": "typed_kg",
}
LARGEST_NUMBER = Decimal(10_000)
LONGEST = {"name": 80, "method_note": 300}
YES_NO = {"yes": True, "y": True, "no": False, "n": False}


@dataclass(frozen=True)
class PieceTable:
    """Unsaved pieces and a sentence for every mistake; all or nothing."""

    pieces: tuple[Piece, ...]
    mistakes: tuple[str, ...]


def read_pieces(commission: Commission, text: str) -> PieceTable:
    """Three queries whatever the number of lines; nothing is written."""
    table = read_table(text, COLUMNS)
    names = {
        "room": _by_name((room.name, room) for room in commission.rooms.all()),
        "finish": _by_name((finish.surface, finish) for finish in commission.finishes.all()),
        "step": _by_name((step.name, step) for step in commission.steps.all()),
        "track": _choices(Track),
        "place": _choices(PiecePlace),
        "board": _by_name((one, board.key) for board in BOARDS.values() for one in (board.key, board.name)),
    }
    pieces: list[Piece] = []
    mistakes = list(table.mistakes)
    for line in table.lines:
        fields, wrong = _fields(line, names)
        if not wrong and line.cells:
            piece = Piece(commission=commission, number=len(pieces) + 1, **fields)
            wrong = _checked(piece, line.number)
            pieces.append(piece)
        mistakes += wrong
    return PieceTable(tuple(pieces), tuple(sorted(set(mistakes), key=_line_number)))


def _line_number(sentence: str) -> tuple[int, str]:
    number = sentence.removeprefix("Line ").split(":")[0].split(",")[0]
    return (int(number) if number.isdigit() else 0, sentence)


def write_pieces(pieces: Iterable[Piece]) -> str:
    """The same columns going out, so that a table can be changed elsewhere and read again."""
    return write_table(COLUMNS, [_row(piece) for piece in pieces])


def _by_name(pairs: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    return {name.strip().casefold(): value for name, value in pairs}


def _choices(choices: type[Track] | type[PiecePlace]) -> dict[str, Any]:
    return _by_name([(str(choice.label), choice.value) for choice in choices] + [(c.value, c.value) for c in choices])


def _fields(line: Line, names: Mapping[str, Mapping[str, Any]]) -> tuple[dict[str, Any], list[str]]:
    fields: dict[str, Any] = {}
    wrong: list[str] = []

    def take(name: str, read: Callable[[str], Any], column: str = "") -> None:
        typed = line.cells.get(name, "")
        if not typed:
            return
        try:
            fields[column or name] = read(typed)
        except MeasureError as fault:
            wrong.append(f"Line {line.number}: {fault.sentence}")
        except ValueError as fault:
            wrong.append(f"Line {line.number}, {name}: {fault}")

    for name in LENGTHS:
        take(name, lambda typed, name=name: parse_length_mm(typed, name))  # type: ignore[misc]
    for name, column in NUMBERS.items():
        take(name, _number, column)
    for name, known in names.items():
        take(name, lambda typed, known=known: _known(typed, known))  # type: ignore[misc]
    for name in ("fragile", "stands_up"):
        take(name, lambda typed: _known(typed, YES_NO))
    for name, longest in LONGEST.items():
        take(name, lambda typed, longest=longest: _short(typed, longest))  # type: ignore[misc]
    take("fitting_order", _order)
    wrong += [
        f"Line {line.number}, {column.name}: nothing is typed; it is needed."
        for column in COLUMNS
        if line.cells and column.required and not line.cells.get(column.name)
    ]
    return fields, wrong


def _number(typed: str) -> Decimal:
    try:
        number = Decimal(typed)
    except InvalidOperation as fault:
        raise ValueError(f"“{typed[:20]}” is not a number. Type one such as 1.5.") from fault
    if not number.is_finite() or not 0 <= number < LARGEST_NUMBER:
        raise ValueError(f"“{typed[:20]}” cannot be right. Type a number from 0 up, such as 1.5.")
    return number


def _known(typed: str, known: Mapping[str, Any]) -> Any:
    try:
        return known[typed.casefold()]
    except KeyError as fault:
        names = ", ".join(known) or "none is entered yet"
        raise ValueError(f"“{typed[:40]}” is not known. Known: {names}.") from fault


def _short(typed: str, longest: int) -> str:
    if len(typed) > longest:
        raise ValueError(f"{len(typed)} signs are too many; {longest} are the most.")
    return typed


def _order(typed: str) -> int:
    if not (typed.isascii() and typed.isdigit() and 1 <= int(typed[:6]) <= 9999):
        raise ValueError(f"“{typed[:20]}” is not an order. Type 1 for the first, 2 for the next.")
    return int(typed)


def _checked(piece: Piece, number: int) -> list[str]:
    try:
        check_piece(piece)
        piece.clean_fields(exclude=["commission", "room", "finish", "step"])  # found by name, each in one query
    except Refusal as refusal:
        return [f"Line {number}: {refusal.sentence}"]
    except ValidationError as fault:
        return [f"Line {number}, {name}: {' '.join(words)}" for name, words in fault.message_dict.items()]
    return []


def _row(piece: Piece) -> dict[str, object]:
    return {column.name: getattr(piece, NUMBERS.get(column.name, column.name)) for column in COLUMNS} | {
        "room": piece.room or "",
        "finish": piece.finish or "",
        "step": piece.step or "",
        "track": piece.get_track_display(),
        "place": piece.get_place_display(),
        "fragile": "yes" if piece.fragile else "no",
        "stands_up": "yes" if piece.stands_up else "no",
    }
