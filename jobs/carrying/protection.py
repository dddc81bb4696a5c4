"""What has to be covered before the carry: stairs, floors and corners, in metres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.carrying.lengths import check_length_mm
from jobs.pure_errors import MeasureError

SPARE_PERCENT = 10  # for overlaps and waste; our own figure, no source
GUARD_LENGTH_MM = 2000

# What to lay by floor. The wool line is makers' published experience; the others are common practice.
COVER_WORDS = {
    "wool": "loose breathable cover; no adhesive film on wool",
    "carpet": "film for carpets or a loose cover; try a corner first",
    "timber": "breathable board or felt, taped to itself and not to the floor",
    "stone": "board or felt, edges taped to itself",
    "vinyl": "felt; no rubber-backed mat, it may stain",
}


@dataclass(frozen=True, slots=True)
class Flight:
    """A flight of stairs: number of treads, rise and going of each in mm."""

    treads: int
    rise_mm: int
    going_mm: int

    def __post_init__(self) -> None:
        if not 1 <= self.treads <= 60:
            raise MeasureError("Treads", f"Treads: {self.treads} is not between 1 and 60. Count them again.")
        check_length_mm(self.rise_mm, "Rise", minimum_mm=50, maximum_mm=400)
        check_length_mm(self.going_mm, "Going", minimum_mm=50, maximum_mm=600)

    @property
    def covering_mm(self) -> int:
        return self.treads * (self.rise_mm + self.going_mm)


@dataclass(frozen=True, slots=True)
class ProtectionPlan:
    """Metres without and with the spare share, corner guards to pack, and what to lay."""

    stairs_mm: int
    floor_mm: int
    corners: int
    stairs_to_pack_m: float
    floor_to_pack_m: float
    guards_to_pack_m: float
    cover_words: tuple[str, ...]
    sentence: str


def stair_covering_mm(flights: Sequence[Flight], landings_mm: Sequence[int] = ()) -> int:
    """Length of stair covering: treads x (rise + going) of each flight, and the landings, in mm."""
    landings = sum(check_length_mm(length_mm, "Landing") for length_mm in landings_mm)
    return sum(flight.covering_mm for flight in flights) + landings


def protection_plan(
    *,
    flights: Sequence[Flight] = (),
    landings_mm: Sequence[int] = (),
    floor_runs_mm: Sequence[int] = (),
    corners: int = 0,
    floor_kinds: Sequence[str] = (),
) -> ProtectionPlan:
    """Stair covering, floor covering by length of run and corner guards of 2 m, with ten per cent spare."""
    if corners < 0:
        raise MeasureError("Corners", f"Corners: {corners} is below zero. Type 0 or more.")
    unknown = [kind for kind in floor_kinds if kind not in COVER_WORDS]
    if unknown:
        raise MeasureError("Floor", f"Floor: “{unknown[0]}” is not known. Use {', '.join(COVER_WORDS)}.")
    stairs_mm = stair_covering_mm(flights, landings_mm)
    floor_mm = sum(check_length_mm(run_mm, "Floor run") for run_mm in floor_runs_mm)
    stairs_m, floor_m = _to_pack_m(stairs_mm), _to_pack_m(floor_mm)
    guards_m = corners * GUARD_LENGTH_MM / 1000
    words = tuple(f"{kind}: {COVER_WORDS[kind]}" for kind in dict.fromkeys(floor_kinds))
    sentence = (
        f"Pack {stairs_m:g} m for stairs, {floor_m:g} m for floors and {corners} corner guards "
        f"({guards_m:g} m); {SPARE_PERCENT} per cent spare is in it, our own figure without a source."
    )
    return ProtectionPlan(stairs_mm, floor_mm, corners, stairs_m, floor_m, guards_m, words, sentence)


def _to_pack_m(length_mm: int) -> float:
    """Add the spare share and round up to the next tenth of a metre, in whole numbers throughout."""
    tenths = -(-length_mm * (100 + SPARE_PERCENT) // (100 * 100))
    return tenths / 10
