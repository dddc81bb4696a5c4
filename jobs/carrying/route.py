"""Every piece against every place of the route: pass, tight or will not go, and what stops it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.carrying.clearances import room_at
from jobs.carrying.places import Margins, RoutePiece, RoutePoint
from jobs.pure_errors import MeasureError

Verdict = Literal["pass", "tight", "will_not_go"]
VERDICT_WORDS: dict[Verdict, str] = {"pass": "passes", "tight": "tight", "will_not_go": "will not go"}
USUAL_MARGINS = Margins()
_ROUNDING_MM = 1e-6
BASIS = (
    "Wrapped sizes, each place by itself; the piece may be laid on another face between places. Turns by the "
    "corner formula of Moretti (College Mathematics Journal 33(3), 2002). Margins are a rule of thumb "
    "without a published source. A tape measure at the place decides."
)


@dataclass(frozen=True, slots=True)
class PointCheck:
    """One piece at one place: clearance in mm (negative: too large by), margin wanted, and the sentence."""

    point: RoutePoint
    verdict: Verdict
    clearance_mm: float
    margin_mm: int
    sentence: str

    @property
    def spare_mm(self) -> float:
        """Room left above the margin; the place with the least of it is the tightest."""
        return self.clearance_mm - self.margin_mm


@dataclass(frozen=True, slots=True)
class PieceReport:
    """One piece along the whole route; `tightest` is the place that stops it, or nearly does."""

    piece: RoutePiece
    verdict: Verdict
    tightest: PointCheck
    checks: tuple[PointCheck, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class RouteReport:
    """All pieces along the route; `tightest` is the piece with the least room anywhere (None: no pieces)."""

    pieces: tuple[PieceReport, ...]
    tightest: PieceReport | None
    sentence: str
    basis: str = BASIS

    def with_verdict(self, verdict: Verdict) -> tuple[PieceReport, ...]:
        return tuple(report for report in self.pieces if report.verdict == verdict)


def check_point(piece: RoutePiece, point: RoutePoint, margins: Margins = USUAL_MARGINS) -> PointCheck:
    """Pass when the margin is kept, tight when it goes but inside the margin, else will not go."""
    room = room_at(piece, point)
    margin_mm = _margin_mm(point, margins)
    if room.clearance_mm >= margin_mm - _ROUNDING_MM:
        verdict: Verdict = "pass"
        words = f"passes with {math.floor(room.clearance_mm + _ROUNDING_MM)} mm to spare, margin {margin_mm} mm"
    elif room.clearance_mm >= -_ROUNDING_MM:
        verdict = "tight"
        left_mm = math.floor(room.clearance_mm + _ROUNDING_MM)
        words = f"tight, {left_mm} mm to spare where {margin_mm} mm is wanted"
    else:
        verdict = "will_not_go"
        words = f"will not go, {math.ceil(-room.clearance_mm - _ROUNDING_MM)} mm short of room"
    sentence = f"{point.name} ({point.kind}): {words}: {room.numbers}."
    return PointCheck(point, verdict, room.clearance_mm, margin_mm, sentence)


def piece_report(piece: RoutePiece, route: Sequence[RoutePoint], margins: Margins = USUAL_MARGINS) -> PieceReport:
    """Check one piece along the route; raises `MeasureError` when the route has no places yet."""
    if not route:
        raise MeasureError("Route", "Route: no places are measured. Add the doors, turns and stairs on the way.")
    checks = tuple(check_point(piece, point, margins) for point in route)
    order: dict[Verdict, int] = {"will_not_go": 0, "tight": 1, "pass": 2}
    tightest = min(checks, key=lambda check: (order[check.verdict], check.spare_mm))
    sentence = f"{piece.name} {VERDICT_WORDS[tightest.verdict]}. {tightest.sentence}"
    return PieceReport(piece, tightest.verdict, tightest, checks, sentence)


def route_report(
    pieces: Sequence[RoutePiece], route: Sequence[RoutePoint], margins: Margins = USUAL_MARGINS
) -> RouteReport:
    """Check all pieces, in the order given."""
    reports = tuple(piece_report(piece, route, margins) for piece in pieces)
    if not reports:
        return RouteReport((), None, "No pieces to check against the route.")
    stopped = [report.piece.name for report in reports if report.verdict == "will_not_go"]
    tight = [report.piece.name for report in reports if report.verdict == "tight"]
    passing = len(reports) - len(stopped) - len(tight)
    parts = [f"{passing} of {len(reports)} pieces pass"]
    if tight:
        parts.append(f"{len(tight)} tight ({', '.join(tight)})")
    if stopped:
        parts.append(f"{len(stopped)} will not go ({', '.join(stopped)})")
    worst = min(reports, key=lambda report: report.tightest.spare_mm)
    return RouteReport(reports, worst, "; ".join(parts) + ".")


def _margin_mm(point: RoutePoint, margins: Margins) -> int:
    by_kind = {
        "door": margins.door_mm,
        "corridor": margins.passage_mm,
        "stairs": margins.passage_mm,
        "turn": margins.turn_mm,
        "landing": margins.turn_mm,
        "lift": margins.lift_mm,
        "ceiling": margins.ceiling_mm,
    }
    return by_kind[point.kind]
