"""Every piece against the way to its room, with a picture of the tightest place. Run before cutting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jobs.carrying.picture import Picture, picture_of
from jobs.carrying.protection import ProtectionPlan
from jobs.carrying.route import BASIS, PieceReport, piece_report, route_report
from jobs.models import Commission, Piece, Room, RoutePlace
from jobs.pure_errors import MeasureError
from jobs.queries.piece_values import route_piece
from jobs.queries.route_values import places_for, protection_of, route_point, sizes_in_words, uncovered_stairs


@dataclass(frozen=True)
class RoomRoute:
    """The way to one room (None: pieces without a room) and how each piece fares on it."""

    room: Room | None
    sentence: str
    reports: tuple[PieceReport, ...]
    picture: Picture | None

    @property
    def stopped(self) -> list[PieceReport]:
        return [report for report in self.reports if report.verdict == "will_not_go"]

    @property
    def tight(self) -> list[PieceReport]:
        return [report for report in self.reports if report.verdict == "tight"]

    @property
    def name(self) -> str:
        return self.room.name if self.room else "Pieces without a room"


def route_page(commission: Commission) -> dict[str, Any]:
    """Two queries besides the commission's own."""
    places = list(commission.route_places.select_related("room"))
    pieces = list(commission.pieces.select_related("room"))
    protection, protection_fault = protection_or_fault(places)
    return {
        "places": [(place, sizes_in_words(place)) for place in places],
        "routes": room_routes(places, pieces),
        "pieces": pieces,
        "basis": BASIS,
        "protection": protection,
        "protection_fault": protection_fault,
        "uncovered": uncovered_stairs(places),
    }


def room_routes(places: Sequence[RoutePlace], pieces: Sequence[Piece]) -> list[RoomRoute]:
    """One report a room, in the order in which rooms first come up among the pieces."""
    rooms = dict.fromkeys(piece.room for piece in pieces)
    return [_room_route(room, places, [piece for piece in pieces if piece.room == room]) for room in rooms]


def _room_route(room: Room | None, places: Sequence[RoutePlace], pieces: Sequence[Piece]) -> RoomRoute:
    way = places_for(places, room.pk if room else None)
    try:
        report = route_report([route_piece(piece) for piece in pieces], [route_point(place) for place in way])
    except MeasureError as fault:
        return RoomRoute(room, fault.sentence, (), None)
    worst = report.tightest
    picture = picture_of(worst.piece, worst.tightest) if worst else None
    return RoomRoute(room, report.sentence, report.pieces, picture)


def protection_or_fault(places: Sequence[RoutePlace]) -> tuple[ProtectionPlan | None, str]:
    try:
        return protection_of(places), ""
    except MeasureError as fault:
        return None, fault.sentence


def piece_route(piece: Piece) -> PieceReport | None:
    """One piece along the way to its room; None while no place is measured or a size cannot be. One query."""
    places = places_for(piece.commission.route_places.all(), piece.room_id)
    try:
        return piece_report(route_piece(piece), [route_point(place) for place in places])
    except MeasureError:
        return None
