"""Plain geometry of the tightest place, in mm, for a template to draw. y grows downwards, as on a page."""

from __future__ import annotations

import math
from dataclasses import dataclass

from jobs.carrying.clearances import (
    best_hold,
    car_placings,
    perpendicular_headroom_mm,
    section_clearance_mm,
    standing_sizes_mm,
)
from jobs.carrying.places import Ceiling, Corridor, Door, Landing, Lift, RoutePiece, RoutePoint, Stairs, Turn
from jobs.carrying.route import PointCheck

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline (`closed` False: an open line) with the part it plays, such as wall or piece."""

    role: str
    points: tuple[Point, ...]
    label: str = ""
    closed: bool = True

    @property
    def svg_points(self) -> str:
        """The points as an SVG `points` attribute, to a tenth of a millimetre."""
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in self.points)


@dataclass(frozen=True, slots=True)
class Picture:
    """Outlines in mm. `caption` says in words what the outlines show, for those who cannot see them."""

    polygons: tuple[Polygon, ...]
    caption: str
    edge_mm: int = 100

    @property
    def view_box(self) -> str:
        """SVG viewBox round all outlines with `edge_mm` of air."""
        xs = [x for polygon in self.polygons for x, _ in polygon.points]
        ys = [y for polygon in self.polygons for _, y in polygon.points]
        left, top = min(xs) - self.edge_mm, min(ys) - self.edge_mm
        width, height = max(xs) + self.edge_mm - left, max(ys) + self.edge_mm - top
        return f"{left:.0f} {top:.0f} {width:.0f} {height:.0f}"


def picture_of(piece: RoutePiece, check: PointCheck) -> Picture:
    """The piece at the checked place, at its tightest angle; an overlap is drawn where it will not go."""
    polygons = _polygons(piece, check.point)
    return Picture(polygons, f"{piece.name}. {check.sentence}")


def _polygons(piece: RoutePiece, point: RoutePoint) -> tuple[Polygon, ...]:
    if isinstance(point, Turn | Landing):
        return turn_polygons(piece, point)
    if isinstance(point, Door):
        return _section(piece, point.width_mm, point.height_mm)
    if isinstance(point, Corridor):
        return _section(piece, point.width_mm, point.headroom_mm)
    if isinstance(point, Stairs):
        return _section(piece, point.width_mm, perpendicular_headroom_mm(point))
    if isinstance(point, Lift):
        return _lift(piece, point)
    return _standing(piece, point)


def turn_polygons(piece: RoutePiece, point: Turn | Landing) -> tuple[Polygon, ...]:
    """Plan of the corner: the way in runs to the right, the way out downwards, outer corner at (0, 0).

    Where the headroom and not the plan is what is tight, the side view instead.
    """
    hold = best_hold(piece, point)
    if hold.above_mm < hold.flat_mm:
        tipped = hold.sweep_mm > hold.upright_mm
        return _side_view(hold.upright_mm, hold.short_mm, point.headroom_mm, tipped=tipped)
    a_mm, b_mm = point.width_in_mm, point.width_out_mm
    reach_mm = max(a_mm, b_mm) + hold.long_mm
    floor = ((0.0, 0.0), (reach_mm, 0.0), (reach_mm, a_mm), (b_mm, a_mm), (b_mm, reach_mm), (0.0, reach_mm))
    walls = (
        Polygon("floor", floor),
        Polygon("wall", ((reach_mm, 0.0), (0.0, 0.0), (0.0, reach_mm)), "outer walls", closed=False),
        Polygon("wall", ((reach_mm, a_mm), (b_mm, a_mm), (b_mm, reach_mm)), "inner corner", closed=False),
    )
    label = f"{hold.long_mm} x {hold.short_mm}"
    return (*walls, Polygon("piece", rectangle_in_corner(hold.long_mm, hold.short_mm, hold.angle_rad), label))


def rectangle_in_corner(length_mm: float, width_mm: float, angle_rad: float) -> tuple[Point, ...]:
    """Rectangle whose long side rests on both outer walls x = 0 and y = 0 at the angle given."""
    sin, cos = math.sin(angle_rad), math.cos(angle_rad)
    first, second = (length_mm * cos, 0.0), (0.0, length_mm * sin)
    across = (width_mm * sin, width_mm * cos)
    return (
        first,
        second,
        (second[0] + across[0], second[1] + across[1]),
        (first[0] + across[0], first[1] + across[1]),
    )


def _box(left: float, top: float, width_mm: float, height_mm: float) -> tuple[Point, ...]:
    right, bottom = left + width_mm, top + height_mm
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _section(piece: RoutePiece, width_mm: float, height_mm: float) -> tuple[Polygon, ...]:
    """The opening seen along the way, the piece standing in the middle of its floor."""
    small, middle, _ = piece.sizes_mm
    across_mm, up_mm = (small, middle) if width_mm <= height_mm else (middle, small)
    left = (width_mm - across_mm) / 2
    opening = Polygon("opening", _box(0, 0, width_mm, height_mm), f"{width_mm:.0f} x {height_mm:.0f}")
    outline = _box(left, height_mm - up_mm, across_mm, up_mm)
    return opening, Polygon("piece", outline, f"{across_mm} x {up_mm}")


def _standing(piece: RoutePiece, ceiling: Ceiling) -> tuple[Polygon, ...]:
    if piece.stands_up:
        return _side_view(*standing_sizes_mm(piece), ceiling.height_mm, tipped=True)
    small, _, large = piece.sizes_mm
    return _side_view(small, large, ceiling.height_mm, tipped=False)


def _side_view(up_mm: int, foot_mm: int, headroom_mm: int, *, tipped: bool) -> tuple[Polygon, ...]:
    """Floor, ceiling and piece; `tipped` at the moment its diagonal is plumb, the highest it reaches."""
    if tipped:
        lean_rad = math.pi / 2 - math.atan2(foot_mm, up_mm)
        outline = _tilted(up_mm, foot_mm, lean_rad, 0, headroom_mm)
    else:
        outline = _box(0, headroom_mm - up_mm, foot_mm, up_mm)
    left, right = min(x for x, _ in outline) - 300, max(x for x, _ in outline) + 300
    return (
        Polygon("floor", ((left, headroom_mm), (right, headroom_mm)), "floor", closed=False),
        Polygon("wall", ((left, 0), (right, 0)), f"headroom {headroom_mm}", closed=False),
        Polygon("piece", outline, f"{up_mm} x {foot_mm}"),
    )


def _tilted(long_mm: float, short_mm: float, angle_rad: float, x: float, y: float) -> tuple[Point, ...]:
    """Rectangle standing on one corner at (x, y), its long side leaning up to the right by the angle."""
    along = (long_mm * math.cos(angle_rad), -long_mm * math.sin(angle_rad))
    across = (-short_mm * math.sin(angle_rad), -short_mm * math.cos(angle_rad))
    return (
        (x, y),
        (x + along[0], y + along[1]),
        (x + along[0] + across[0], y + along[1] + across[1]),
        (x + across[0], y + across[1]),
    )


def _lift(piece: RoutePiece, lift: Lift) -> tuple[Polygon, ...]:
    """The door if it is the tighter, else the car in the plane in which the piece leans."""
    clearance_mm, (p_mm, q_mm), (a_mm, b_mm) = car_placings(piece, lift)[0]
    if section_clearance_mm(piece, lift.door_width_mm, lift.door_height_mm) <= clearance_mm:
        return _section(piece, lift.door_width_mm, lift.door_height_mm)
    wide_mm, high_mm = (max(a_mm, b_mm), min(a_mm, b_mm))
    angle_rad = 0.0 if p_mm <= wide_mm else _lean(p_mm, q_mm, wide_mm, high_mm)
    outline = _tilted(p_mm, q_mm, angle_rad, q_mm * math.sin(angle_rad), high_mm)
    car = Polygon("opening", _box(0, 0, wide_mm, high_mm), f"lift car {wide_mm} x {high_mm}")
    return car, Polygon("piece", outline, f"{p_mm} x {q_mm}")


def _lean(p_mm: float, q_mm: float, wide_mm: float, high_mm: float) -> float:
    """Angle at which p x q overshoots a box of wide x high least, to a quarter of a degree."""
    angles = [math.pi / 2 * step / 360 for step in range(361)]

    def overshoot(angle_rad: float) -> float:
        sin, cos = math.sin(angle_rad), math.cos(angle_rad)
        return max(p_mm * cos + q_mm * sin - wide_mm, p_mm * sin + q_mm * cos - high_mm)

    return min(angles, key=overshoot)
