"""How much room one piece has at one place: a clearance in mm (negative: too large by) and the words."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import permutations

from jobs.carrying.places import Ceiling, Corridor, Door, Landing, Lift, RoutePiece, RoutePoint, Stairs, Turn
from jobs.carrying.turning import longest_round_corner, rectangle_clearance_mm, tightest_swing


@dataclass(frozen=True, slots=True)
class Hold:
    """A piece held for a turn: flat sizes (long, short), the size that stands plumb, how it goes round.

    `way` is "swings" or "sideways" (it is shifted across the second passage without turning).
    `flat_mm` is the gap in plan, `above_mm` the gap under the headroom.
    """

    long_mm: int
    short_mm: int
    upright_mm: int
    way: str
    flat_mm: float
    above_mm: float
    angle_rad: float

    @property
    def clearance_mm(self) -> float:
        return min(self.flat_mm, self.above_mm)

    @property
    def sweep_mm(self) -> float:
        """Height needed: the diagonal when it stands on end, since it came in endways and is tipped up."""
        if self.upright_mm > self.long_mm:
            return math.hypot(self.upright_mm, self.short_mm)
        return float(self.upright_mm)


@dataclass(frozen=True, slots=True)
class Room:
    """Clearance of a piece at a place with the numbers behind it, in words."""

    clearance_mm: float
    numbers: str


def room_at(piece: RoutePiece, point: RoutePoint) -> Room:
    """Clearance of the wrapped piece at any place of the route."""
    if isinstance(point, Door):
        return _opening(piece, point.width_mm, point.height_mm, "clear opening of")
    if isinstance(point, Corridor):
        return _opening(piece, point.width_mm, point.headroom_mm, "passage of")
    if isinstance(point, Stairs):
        return _flight(piece, point)
    if isinstance(point, Lift):
        return _lift(piece, point)
    if isinstance(point, Ceiling):
        return _standing(piece, point)
    return _turn(piece, point)


def section_clearance_mm(piece: RoutePiece, width_mm: float, height_mm: float) -> float:
    """Clearance of the two smaller sizes in an opening, the better way up: endways, not tilted."""
    small, middle, _ = piece.sizes_mm
    low, high = sorted((width_mm, height_mm))
    return min(low - small, high - middle)


def perpendicular_headroom_mm(stairs: Stairs) -> float:
    """Headroom square to the flight: plumb headroom times the cosine of the pitch."""
    return stairs.headroom_mm * math.cos(math.radians(stairs.pitch_deg))


def best_hold(piece: RoutePiece, point: Turn | Landing) -> Hold:
    """The way of carrying the piece round that leaves most room, over its faces and both ways round.

    The piece stays level; tilting one end up may gain a little and is not counted.
    """
    return max(_holds(piece, point), key=lambda hold: hold.clearance_mm)


def standing_sizes_mm(piece: RoutePiece) -> tuple[int, int]:
    """Height and the smaller of width and depth: it is tipped up over its shorter foot."""
    return piece.height_mm, min(piece.width_mm, piece.depth_mm)


def standing_diagonal_mm(piece: RoutePiece) -> float:
    """Height the piece sweeps while it is stood up."""
    return math.hypot(*standing_sizes_mm(piece))


def car_placings(piece: RoutePiece, lift: Lift) -> list[tuple[float, tuple[int, int], tuple[int, int]]]:
    """Every (clearance, piece's two sizes, car's two sizes) with the third size straight across the car.

    In the plane of the two sizes the piece may lean. Best first.
    """
    car = (lift.car_width_mm, lift.car_depth_mm, lift.car_height_mm)
    placings = []
    for across in range(3):
        plane = (car[(across + 1) % 3], car[(across + 2) % 3])
        for p, q, r in permutations(piece.sizes_mm):
            if p >= q:
                clearance_mm = min(float(car[across] - r), rectangle_clearance_mm(p, q, *plane))
                placings.append((clearance_mm, (p, q), plane))
    return sorted(placings, key=lambda placing: -placing[0])


def _opening(piece: RoutePiece, width_mm: int, height_mm: int, words: str) -> Room:
    small, middle, _ = piece.sizes_mm
    numbers = f"smaller wrapped sizes {small} x {middle} mm against a {words} {width_mm} x {height_mm} mm"
    return Room(section_clearance_mm(piece, width_mm, height_mm), numbers)


def _flight(piece: RoutePiece, stairs: Stairs) -> Room:
    small, middle, _ = piece.sizes_mm
    square_mm = perpendicular_headroom_mm(stairs)
    numbers = (
        f"smaller wrapped sizes {small} x {middle} mm against {stairs.width_mm} mm between rail and wall and "
        f"{math.floor(square_mm)} mm square to the flight (headroom {stairs.headroom_mm} mm at "
        f"{stairs.pitch_deg:g} degrees)"
    )
    return Room(section_clearance_mm(piece, stairs.width_mm, square_mm), numbers)


def _lift(piece: RoutePiece, lift: Lift) -> Room:
    small, middle, large = piece.sizes_mm
    door_mm = section_clearance_mm(piece, lift.door_width_mm, lift.door_height_mm)
    car_mm = car_placings(piece, lift)[0][0]
    if door_mm <= car_mm:
        door = f"{lift.door_width_mm} x {lift.door_height_mm} mm"
        return Room(door_mm, f"smaller wrapped sizes {small} x {middle} mm against a lift door of {door}")
    car = f"{lift.car_width_mm} x {lift.car_depth_mm} x {lift.car_height_mm} mm"
    numbers = f"wrapped {small} x {middle} x {large} mm in a car of {car}, leaning if need be"
    return Room(car_mm, numbers)


def _standing(piece: RoutePiece, ceiling: Ceiling) -> Room:
    if not piece.stands_up:
        small = piece.sizes_mm[0]
        return Room(float(ceiling.height_mm - small), f"it stays lying, {small} mm high, under the ceiling")
    height_mm, foot_mm = standing_sizes_mm(piece)
    diagonal_mm = standing_diagonal_mm(piece)
    numbers = (
        f"standing it up sweeps {diagonal_mm:.1f} mm (diagonal of {height_mm} x {foot_mm} mm) under a "
        f"ceiling of {ceiling.height_mm} mm"
    )
    return Room(ceiling.height_mm - diagonal_mm, numbers)


def _holds(piece: RoutePiece, point: Turn | Landing) -> list[Hold]:
    a_mm, b_mm = point.width_in_mm, point.width_out_mm
    holds = []
    for upright_mm, x_mm, y_mm in sorted(set(permutations(piece.sizes_mm))):
        if x_mm < y_mm:
            continue
        swing = tightest_swing(a_mm, b_mm, x_mm, y_mm)
        ways = (
            ("swings", swing.gap_mm, swing.angle_rad),
            ("sideways", float(min(a_mm - y_mm, b_mm - x_mm)), 0.0),
            ("sideways", float(min(b_mm - y_mm, a_mm - x_mm)), math.pi / 2),
        )
        for way, flat_mm, angle_rad in ways:
            hold = Hold(x_mm, y_mm, upright_mm, way, flat_mm, 0.0, angle_rad)
            holds.append(replace(hold, above_mm=point.headroom_mm - hold.sweep_mm))
    return holds


def _turn(piece: RoutePiece, point: Turn | Landing) -> Room:
    hold = best_hold(piece, point)
    a_mm, b_mm = point.width_in_mm, point.width_out_mm
    held = f"held {hold.long_mm} x {hold.short_mm} mm flat and {hold.upright_mm} mm high"
    if hold.sweep_mm > hold.upright_mm:
        held += f" (tipping it up there sweeps {hold.sweep_mm:.1f} mm)"
    passages = f"between passages of {a_mm} and {b_mm} mm with {point.headroom_mm} mm headroom"
    if hold.way == "sideways":
        return Room(hold.clearance_mm, f"{held}, shifted sideways without turning, {passages}")
    if hold.short_mm >= min(a_mm, b_mm):
        return Room(hold.clearance_mm, f"{held}, no narrower than the passage, {passages}")
    longest_mm = math.floor(longest_round_corner(a_mm, b_mm, hold.short_mm))
    words = f"{held}, {passages}; at that width {longest_mm} mm is the longest that swings round"
    return Room(hold.clearance_mm, words)
