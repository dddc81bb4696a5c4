"""From a piece's row to what `jobs.carrying` reckons with: weight, wrapped sizes, and where each figure is from."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.carrying.lifting import Lift, Posture, lifters_for
from jobs.carrying.places import RoutePiece
from jobs.carrying.van import LoadPiece
from jobs.carrying.weights import PieceWeight, weigh_area
from jobs.models import Piece

WRAP_MM = 30  # 15 on each side for blanket and edge guards; our own figure, no source
FLAT_WITHIN_MM = 1  # a board's smallest size and its thickness, as near as that, are one


@dataclass(frozen=True)
class Wrapped:
    """Wrapped sizes in mm, in the piece's own order, and whether they were measured."""

    width_mm: int
    height_mm: int
    depth_mm: int
    measured: bool

    @property
    def words(self) -> str:
        sizes = f"{self.width_mm} × {self.height_mm} × {self.depth_mm} mm"
        return f"{sizes}, as typed" if self.measured else f"{sizes}: bare size and {WRAP_MM} mm, our own figure"


def weight_of(piece: Piece) -> PieceWeight:
    """Typed weight; else board area × thickness × density, the area of a flat piece being its own. Raises
    `MeasureError` on figures that cannot be."""
    typed_kg = None if piece.typed_kg is None else float(piece.typed_kg)
    area_m2 = board_area_m2(piece)
    if typed_kg is None and (area_m2 is None or piece.thickness_mm is None or not piece.board):
        return PieceWeight(None, "weight not recorded: give board, thickness and m², or put it on scales")
    return weigh_area(
        area_m2 or 0,
        float(piece.thickness_mm or 0),
        piece.board,
        fittings_kg=float(piece.fittings_kg),
        typed_kg=typed_kg,
    )


def board_area_m2(piece: Piece) -> float | None:
    """Square metres of board as typed; a flat piece, as thick as its board, needs none typed."""
    if piece.area_m2 is not None:
        return float(piece.area_m2)
    small, middle, large = sorted((piece.width_mm, piece.height_mm, piece.depth_mm))
    if piece.thickness_mm is not None and abs(small - float(piece.thickness_mm)) <= FLAT_WITHIN_MM:
        return middle * large / 1_000_000
    return None


def wrapped(piece: Piece) -> Wrapped:
    typed = (piece.wrapped_width_mm, piece.wrapped_height_mm, piece.wrapped_depth_mm)
    bare = (piece.width_mm, piece.height_mm, piece.depth_mm)
    width_mm, height_mm, depth_mm = (size or own + WRAP_MM for size, own in zip(typed, bare, strict=True))
    return Wrapped(width_mm, height_mm, depth_mm, measured=all(typed))


def route_piece(piece: Piece) -> RoutePiece:
    size = wrapped(piece)
    return RoutePiece(str(piece), size.width_mm, size.height_mm, size.depth_mm, stands_up=piece.stands_up)


def load_piece(piece: Piece) -> LoadPiece:
    size = wrapped(piece)
    return LoadPiece(
        key=piece.label,
        name=str(piece),
        weight_kg=weight_of(piece).weight_kg,
        width_mm=size.width_mm,
        height_mm=size.height_mm,
        depth_mm=size.depth_mm,
        fitting_order=piece.fitting_order,
        fragile=piece.fragile,
    )


def lift_of(piece: Piece, *, posture: Posture, on_stairs: bool, carry_m: int) -> Lift:
    return lifters_for(weight_of(piece).weight_kg, posture=posture, on_stairs=on_stairs, carry_m=carry_m)
