"""The places on the way from kerb to room, and the wrapped pieces that go through them. Whole mm."""

from __future__ import annotations

from dataclasses import dataclass, fields

from jobs.carrying.lengths import check_length_mm
from jobs.pure_errors import MeasureError

SMALLEST_OPENING_MM = 200  # nobody carries through less; 2 or 76 is metres or centimetres
STEEPEST_PRIVATE_STAIR_DEG = 42.0  # Approved Document K, England, private stair; seen in a secondary source


class _Measured:
    """Checks every field whose name ends in _mm when the place is made."""

    def __post_init__(self) -> None:
        for field in fields(self):  # type: ignore[arg-type]
            if field.name.endswith("_mm"):
                label = f"{self.name}, {field.name[:-3].replace('_', ' ')}"  # type: ignore[attr-defined]
                check_length_mm(getattr(self, field.name), label, minimum_mm=SMALLEST_OPENING_MM)


@dataclass(frozen=True)
class Door(_Measured):
    """Clear opening, measured with the door open as far as it goes."""

    name: str
    width_mm: int
    height_mm: int
    kind: str = "door"


@dataclass(frozen=True)
class Corridor(_Measured):
    """A straight passage: narrowest clear width and lowest headroom."""

    name: str
    width_mm: int
    headroom_mm: int
    kind: str = "corridor"


@dataclass(frozen=True)
class Turn(_Measured):
    """A right-angled turn. A door at the end of a passage is a turn with the door's clear width as out."""

    name: str
    width_in_mm: int
    width_out_mm: int
    headroom_mm: int
    kind: str = "turn"


@dataclass(frozen=True)
class Landing(_Measured):
    """A quarter landing, taken as a turn between passages as wide as its two sides.

    A half landing is entered twice, with the width of one flight each time.
    """

    name: str
    width_mm: int
    depth_mm: int
    headroom_mm: int
    kind: str = "landing"

    @property
    def width_in_mm(self) -> int:
        return self.width_mm

    @property
    def width_out_mm(self) -> int:
        return self.depth_mm


@dataclass(frozen=True)
class Stairs(_Measured):
    """A straight flight: clear width between rail and wall, headroom plumb above the nosings, pitch.

    Where the pitch was not measured the steepest private stair is assumed.
    """

    name: str
    width_mm: int
    headroom_mm: int
    pitch_deg: float = STEEPEST_PRIVATE_STAIR_DEG
    kind: str = "stairs"

    def __post_init__(self) -> None:
        super().__post_init__()
        if not 0 <= self.pitch_deg <= 70:
            raise MeasureError(
                f"{self.name}, pitch", f"{self.name}, pitch: {self.pitch_deg} is not between 0 and 70 degrees."
            )


@dataclass(frozen=True)
class Lift(_Measured):
    """A passenger or goods lift: clear door and clear car."""

    name: str
    door_width_mm: int
    door_height_mm: int
    car_width_mm: int
    car_depth_mm: int
    car_height_mm: int
    kind: str = "lift"


@dataclass(frozen=True)
class Ceiling(_Measured):
    """The lowest ceiling of the room, under which pieces are stood up."""

    name: str
    height_mm: int
    kind: str = "ceiling"


RoutePoint = Door | Corridor | Turn | Landing | Stairs | Lift | Ceiling


@dataclass(frozen=True, slots=True)
class RoutePiece:
    """A piece as wrapped. `stands_up` is False for what stays lying: plinths, worktops, loose panels."""

    name: str
    width_mm: int
    height_mm: int
    depth_mm: int
    stands_up: bool = True

    def __post_init__(self) -> None:
        for label, size_mm in (
            ("width", self.width_mm),
            ("height", self.height_mm),
            ("depth", self.depth_mm),
        ):
            check_length_mm(size_mm, f"{self.name}, wrapped {label}")

    @property
    def sizes_mm(self) -> tuple[int, int, int]:
        """The three wrapped sizes, smallest first."""
        small, middle, large = sorted((self.width_mm, self.height_mm, self.depth_mm))
        return small, middle, large


@dataclass(frozen=True, slots=True)
class Margins:
    """Room to be left for hands and error, in mm.

    30 at doors and 20 under the ceiling are this trade's rule of thumb (no published source); the others
    are our own choice, equal to the door's.
    """

    door_mm: int = 30
    passage_mm: int = 30
    turn_mm: int = 30
    lift_mm: int = 30
    ceiling_mm: int = 20

    def __post_init__(self) -> None:
        for name in ("door_mm", "passage_mm", "turn_mm", "lift_mm", "ceiling_mm"):
            check_length_mm(getattr(self, name), f"Margin, {name[:-3]}", minimum_mm=0, maximum_mm=500)
