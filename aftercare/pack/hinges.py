"""How many hinges common practice asks for on a door, and which doors are likeliest to have settled.

Pure. By weight and width: one hinge maker's page (secondary source), which ends at 12 kg and 650 mm. By height:
common practice, from memory, which ends at 2400 mm. Beyond an end nothing is made up: it is said that the
table ends and that the hinge maker's own chart decides.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

from jobs.carrying.lengths import check_length_mm
from jobs.carrying.weights import board_kg_m2
from jobs.pure_errors import MeasureError

__all__ = ["Door", "HingeAdvice", "SettleRank", "door_weight_kg", "hinges_asked_for", "settle_order", "weight_of"]

# (up to kg, hinges). The page gives 4 to 6 kg and 6 to 12 kg; a lighter door still needs two.
BY_WEIGHT: tuple[tuple[float, int], ...] = ((6, 2), (12, 3))
WEIGHT_SOURCE = "one hinge maker's page; secondary source"
# (up to mm, hinges)
BY_HEIGHT: tuple[tuple[float, int], ...] = ((900, 2), (1600, 3), (2000, 4), (2400, 5))
HEIGHT_SOURCE = "common practice, from memory"
USUAL_WIDTH_MM = 600
WIDEST_MM = 650
MM2_A_M2 = 1_000_000
WEIGHT_UNKNOWN = "weight not recorded"


@dataclass(frozen=True)
class Door:
    """A hung door; `key` names it. `hinges_fitted` is None where nobody noted it; a typed weight wins.

    Without a typed weight, and with no thickness or no board, the weight is not known; nothing is assumed.
    """

    key: str
    width_mm: int
    height_mm: int
    thickness_mm: float | None = 18
    board_key: str = "mdf"
    hinges_fitted: int | None = None
    weight_kg: float | None = None

    def __post_init__(self) -> None:
        if self.hinges_fitted is not None and not 0 <= self.hinges_fitted <= 12:
            raise MeasureError("Hinges", f"Hinges: {self.hinges_fitted} cannot be right. Type 0 to 12.")


@dataclass(frozen=True)
class HingeAdvice:
    """`asked` is the largest number any rule asks for; `at_least` says that a table ended below this door, or that
    its weight is not known (`weight_kg` None) and might ask for more."""

    asked: int
    at_least: bool
    weight_kg: float | None
    words: tuple[str, ...]


@dataclass(frozen=True)
class SettleRank:
    """A door in the order in which to look at it, with the reason in words. `kg_a_hinge` is None where the weight
    is not known."""

    door: Door
    short_by: int
    kg_a_hinge: float | None
    reason: str


def door_weight_kg(width_mm: int, height_mm: int, thickness_mm: float, board_key: str) -> float:
    """Width x height x thickness x density, unrounded, without handles and glass. Raises MeasureError."""
    check_length_mm(width_mm, "Door width", minimum_mm=50, maximum_mm=2000)
    check_length_mm(height_mm, "Door height", minimum_mm=50, maximum_mm=4000)
    return board_kg_m2(board_key, thickness_mm) * width_mm * height_mm / MM2_A_M2


def hinges_asked_for(door: Door) -> HingeAdvice:
    """The hinges that common practice asks for, rule by rule; the largest counts."""
    weight_kg = weight_of(door)
    wide = door.width_mm > USUAL_WIDTH_MM
    by_height, height_ends = _read(BY_HEIGHT, door.height_mm)
    words = [_told(by_height, height_ends, f"its height of {door.height_mm} mm", HEIGHT_SOURCE)]
    if weight_kg is None:
        by_weight, weight_ends = 0, True
        words.insert(0, f"{WEIGHT_UNKNOWN}: give board and thickness, or weigh it")
    else:
        by_weight, weight_ends = _read(BY_WEIGHT, weight_kg)
        words.insert(0, _told(by_weight, weight_ends, f"its weight of {weight_kg:.1f} kg", WEIGHT_SOURCE))
    if wide:
        words.append(f"one more because it is over {USUAL_WIDTH_MM} mm wide ({WEIGHT_SOURCE})")
    too_wide = door.width_mm > WIDEST_MM
    if too_wide:
        words.append(f"over {WIDEST_MM} mm wide the table ends: ask the hinge maker's chart")
    if door.height_mm <= door.width_mm:
        words.append(
            "wider than it is high: the outer hinges should stand further apart than the door is wide "
            "(a hinge maker's chart; secondary source)"
        )
    return HingeAdvice(
        asked=max(by_weight, by_height) + wide,
        at_least=weight_ends or height_ends or too_wide,
        weight_kg=weight_kg,
        words=tuple(words),
    )


def settle_order(doors: Iterable[Door]) -> list[SettleRank]:
    """The doors likeliest to have settled first: hinges short, then heavy for each hinge, then tall.

    The order is judgement. A door whose hinges nobody noted is ranked as if it had what is asked for; one whose
    weight nobody knows comes before those whose weight is known.
    """
    return sorted((_ranked(door) for door in doors), key=_place)


def _place(rank: SettleRank) -> tuple[int, float, int, str]:
    kg_a_hinge = inf if rank.kg_a_hinge is None else rank.kg_a_hinge
    return (-rank.short_by, -kg_a_hinge, -rank.door.height_mm, rank.door.key)


def weight_of(door: Door) -> float | None:
    """The typed weight, else the one worked out, else None. Raises MeasureError for sizes no door has."""
    check_length_mm(door.width_mm, "Door width", minimum_mm=50, maximum_mm=2000)
    check_length_mm(door.height_mm, "Door height", minimum_mm=50, maximum_mm=4000)
    if door.weight_kg is not None:
        if not 0 < door.weight_kg <= 200:
            raise MeasureError("Door weight", f"Door weight: {door.weight_kg} kg cannot be right. Type 0.1 to 200.")
        return door.weight_kg
    if door.thickness_mm is None or not door.board_key:
        return None
    return door_weight_kg(door.width_mm, door.height_mm, door.thickness_mm, door.board_key)


def _read(table: tuple[tuple[float, int], ...], value: float) -> tuple[int, bool]:
    """The hinges of a table and whether it ended below the value; then its last figure is the least."""
    for up_to, hinges in table:
        if value <= up_to:
            return hinges, False
    return table[-1][1], True


def _told(hinges: int, ended: bool, ground: str, source: str) -> str:
    if ended:
        return f"more than the table has for {ground}, at least {hinges}: ask the hinge maker's chart ({source})"
    return f"{hinges} for {ground} ({source})"


def _ranked(door: Door) -> SettleRank:
    advice = hinges_asked_for(door)
    fitted = advice.asked if door.hinges_fitted is None else door.hinges_fitted
    short_by = max(0, advice.asked - fitted)
    kg_a_hinge = None if advice.weight_kg is None else advice.weight_kg / max(fitted, 1)
    weight = WEIGHT_UNKNOWN if advice.weight_kg is None else f"{advice.weight_kg:.1f} kg"
    if door.hinges_fitted is None:
        reason = f"hinges not noted; {advice.asked} asked for, {weight}"
    elif short_by:
        reason = f"{_hinges(fitted)} where {advice.asked} are asked for, {weight}"
    elif kg_a_hinge is None:
        reason = f"{_hinges(fitted)}, {door.height_mm} mm high, {weight}"
    else:
        reason = f"{kg_a_hinge:.1f} kg on each of {fitted} hinges, {door.height_mm} mm high"
    return SettleRank(door, short_by, kg_a_hinge, reason)


def _hinges(number: int) -> str:
    return f"{number} hinge{'' if number == 1 else 's'}"
