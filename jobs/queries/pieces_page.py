"""The pieces of a commission as its page, its counts and its labels show them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from jobs.carrying.weights import PieceWeight
from jobs.models import Commission, Piece
from jobs.pure_errors import MeasureError
from jobs.queries.piece_values import Wrapped, weight_of, wrapped

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


def pieces_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    pieces = list(commission.pieces.all())
    places: dict[str, int] = {}
    for piece in pieces:
        words = piece.get_place_display()
        places[words] = places.get(words, 0) + 1
    return {"count": len(pieces), "places": places, "counts": counts(pieces)}
