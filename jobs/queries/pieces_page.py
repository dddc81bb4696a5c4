"""The pieces of a commission as its page, its counts and its labels show them."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Any

from jobs.carrying.weights import PieceWeight
from jobs.models import Commission, Piece
from jobs.pure_errors import MeasureError
from jobs.queries.piece_values import Wrapped, weight_of, wrapped
from jobs.registries import Found

LABEL = re.compile(r"(?:(?P<commission>\d{1,6})\s+)?[Pp](?P<number>\d{1,4})", re.ASCII)
MOST_FOUND = 20
STAGE_WORDS = {"wrapped": "At wrap", "loaded": "At load", "in_room": "In the room"}
STAGE_COLUMNS = {"wrapped": "wrapped_at", "loaded": "loaded_at", "in_room": "in_room_at"}


@dataclass(frozen=True)
class PieceRow:
    piece: Piece
    weight: PieceWeight
    wrapped: Wrapped


@dataclass(frozen=True)
class Count:
    """How many are counted at a stage, and which are not, by name."""

    stage: str
    words: str
    counted: int
    of: int
    absent: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """38 of 40 counted; missing: P03 Plinth, P17 Door left."""
        words = f"{self.counted} of {self.of} counted"
        if self.absent and self.counted:
            words += f"; missing: {', '.join(self.absent)}"
        return f"{words}."


def pieces_of(commission: Commission) -> list[Piece]:
    """One query with everything a row shows."""
    pieces = commission.pieces.select_related("room", "finish", "step", "commission")
    return list(pieces)


def piece_row(piece: Piece) -> PieceRow:
    try:
        weight = weight_of(piece)
    except MeasureError as fault:
        weight = PieceWeight(None, fault.sentence)
    return PieceRow(piece, weight, wrapped(piece))


def pieces_page(commission: Commission) -> dict[str, Any]:
    pieces = pieces_of(commission)
    rows = [piece_row(piece) for piece in pieces]
    known = [row.weight.weight_kg for row in rows if row.weight.weight_kg is not None]
    return {
        "rows": rows,
        "counts": counts(pieces),
        "total_kg": sum(known),
        "unweighed": len(rows) - len(known),
    }


def counts(pieces: list[Piece]) -> list[Count]:
    found = []
    for stage, column in STAGE_COLUMNS.items():
        absent = tuple(str(piece) for piece in pieces if getattr(piece, column) is None)
        found.append(Count(stage, STAGE_WORDS[stage], len(pieces) - len(absent), len(pieces), absent))
    return found


def ticks_of(piece: Piece) -> list[tuple[str, str, dt.datetime | None]]:
    """Stage, words of its button, and when it was ticked."""
    words = {"wrapped": "Wrapped", "loaded": "Loaded", "in_room": "In the room"}
    return [(stage, words[stage], getattr(piece, column)) for stage, column in STAGE_COLUMNS.items()]


def found_pieces(words: str) -> list[Found]:
    """For the search: pieces by name, or by number as on the label ("101 P07"). One query."""
    pieces = Piece.objects.select_related("commission")
    label = LABEL.fullmatch(words.strip())
    if label:
        pieces = pieces.filter(number=int(label["number"]))
        if label["commission"]:
            pieces = pieces.filter(commission__number=int(label["commission"]))
    else:
        pieces = pieces.filter(name__icontains=words.strip())
    newest = pieces.order_by("-commission__number", "number")[:MOST_FOUND]
    return [
        Found(str(piece), f"{piece.commission}, {piece.get_place_display().lower()}", piece.get_absolute_url())
        for piece in newest
    ]


def pieces_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    pieces = list(commission.pieces.all())
    places: dict[str, int] = {}
    for piece in pieces:
        words = piece.get_place_display()
        places[words] = places.get(words, 0) + 1
    return {"count": len(pieces), "places": places, "counts": counts(pieces)}
