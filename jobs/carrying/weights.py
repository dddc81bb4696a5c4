"""What boards and pieces weigh: size x thickness x density, unless somebody has put it on scales."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.carrying.lengths import check_length_mm, check_weight_kg
from jobs.pure_errors import MeasureError

SECONDARY = "secondary source"
FROM_MEMORY = "from memory"
MM3_PER_M3 = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Board:
    """A material with its density in kg/m3, where the figure comes from and how far it was checked."""

    key: str
    name: str
    density_kg_m3: int
    source: str
    status: str


# Densities vary between makers; where a range is known the upper part is taken, because a weight
# guessed too low is the dangerous one.
BOARDS: dict[str, Board] = {
    board.key: board
    for board in (
        Board("mdf", "MDF", 740, "typical range 700 to 760 kg/m3 at 18 mm, makers' data sheets", SECONDARY),
        Board("mdf_light", "MDF, light", 556, "10 kg/m2 at 18 mm, trade page", SECONDARY),
        Board("mdf_dense", "MDF, dense", 806, "14.5 kg/m2 at 18 mm, trade page", SECONDARY),
        Board("particleboard", "particleboard P2", 650, "maker's page, 18 mm, EN 312 class", SECONDARY),
        Board("mfc", "melamine-faced chipboard", 660, "particleboard 650 with two faces", FROM_MEMORY),
        Board("birch_ply", "birch plywood", 680, "mean of makers' handbooks", FROM_MEMORY),
        Board("softwood_ply", "softwood plywood", 520, "upper end of 460 to 520 kg/m3", FROM_MEMORY),
        Board("softwood_c16", "softwood C16", 370, "EN 338:2016, mean density", SECONDARY),
        Board("softwood_c24", "softwood C24", 420, "EN 338:2016, mean density", SECONDARY),
        Board("oak", "oak", 680, "Wood Handbook table 5-3a, white oak", FROM_MEMORY),
        Board("tulipwood", "tulipwood", 455, "Wood Handbook table 5-3a, yellow-poplar", FROM_MEMORY),
        Board("glass", "glass", 2500, "EN 572-1, soda-lime glass", FROM_MEMORY),
    )
}


@dataclass(frozen=True, slots=True)
class Panel:
    """`count` equal rectangles of one board. Thickness may be a fraction (a veneered board of 19.1 mm)."""

    length_mm: int
    width_mm: int
    thickness_mm: float
    board_key: str
    count: int = 1

    def __post_init__(self) -> None:
        check_length_mm(self.length_mm, "Panel length")
        check_length_mm(self.width_mm, "Panel width")
        check_thickness_mm(self.thickness_mm)
        board_named(self.board_key)
        if self.count < 1:
            raise MeasureError("Panel count", f"Panel count: {self.count} must be 1 or more.")


@dataclass(frozen=True, slots=True)
class PieceWeight:
    """A weight in kg, or None where nothing is recorded, with the words that say where it comes from."""

    weight_kg: float | None
    words: str


def board_named(board_key: str) -> Board:
    """Return the board; raises `MeasureError` that lists the keys known."""
    if board_key not in BOARDS:
        raise MeasureError("Board", f"Board: “{board_key}” is not known. Use one of {', '.join(BOARDS)}.")
    return BOARDS[board_key]


def check_thickness_mm(thickness_mm: float) -> float:
    """Return the thickness if between 0.5 and 200 mm; raises `MeasureError` otherwise."""
    if isinstance(thickness_mm, bool) or not 0.5 <= thickness_mm <= 200:
        raise MeasureError(
            "Thickness", f"Thickness: {thickness_mm} mm cannot be right. Type 0.5 to 200 mm, such as 18."
        )
    return float(thickness_mm)


def panel_weight_kg(panel: Panel) -> float:
    """Weight of all `panel.count` rectangles, unrounded."""
    volume_mm3 = panel.length_mm * panel.width_mm * panel.thickness_mm * panel.count
    return volume_mm3 / MM3_PER_M3 * board_named(panel.board_key).density_kg_m3


def board_kg_m2(board_key: str, thickness_mm: float) -> float:
    """Weight of one square metre."""
    return check_thickness_mm(thickness_mm) / 1000 * board_named(board_key).density_kg_m3


def weigh_panels(panels: Sequence[Panel], *, fittings_kg: float = 0, typed_kg: float | None = None) -> PieceWeight:
    """Weight of a piece made of several panels plus its fittings. A typed weight wins over any sum."""
    if typed_kg is not None:
        return _typed(typed_kg)
    if not panels:
        return _not_recorded()
    _check_fittings(fittings_kg)
    boards = dict.fromkeys(board_named(panel.board_key) for panel in panels)
    total_kg = sum(panel_weight_kg(panel) for panel in panels) + fittings_kg
    count = sum(panel.count for panel in panels)
    noun = "panel" if count == 1 else "panels"
    return PieceWeight(total_kg, f"reckoned from {count} {noun}: {_source_words(*boards)}{_plus(fittings_kg)}")


def weigh_area(
    area_m2: float,
    thickness_mm: float,
    board_key: str,
    *,
    fittings_kg: float = 0,
    typed_kg: float | None = None,
) -> PieceWeight:
    """Weight from board area in square metres x thickness x density. A typed weight wins."""
    if typed_kg is not None:
        return _typed(typed_kg)
    if isinstance(area_m2, bool) or not 0 < area_m2 <= 200:
        raise MeasureError(
            "Board area", f"Board area: {area_m2} m2 cannot be right. Type square metres above 0, up to 200."
        )
    _check_fittings(fittings_kg)
    board = board_named(board_key)
    total_kg = area_m2 * board_kg_m2(board_key, thickness_mm) + fittings_kg
    words = f"reckoned from {area_m2:g} m2 at {thickness_mm:g} mm: {_source_words(board)}{_plus(fittings_kg)}"
    return PieceWeight(total_kg, words)


def _typed(typed_kg: float) -> PieceWeight:
    return PieceWeight(check_weight_kg(typed_kg, "Weight"), "weight as typed; it wins over the reckoning")


def _not_recorded() -> PieceWeight:
    return PieceWeight(None, "weight not recorded: give its boards or put it on scales")


def _check_fittings(fittings_kg: float) -> None:
    if fittings_kg < 0:
        raise MeasureError("Fittings", f"Fittings: {fittings_kg} kg is below zero. Type 0 or more.")


def _source_words(*boards: Board) -> str:
    return "; ".join(f"{b.name} {b.density_kg_m3} kg/m3 ({b.source}; {b.status})" for b in boards)


def _plus(fittings_kg: float) -> str:
    return f"; fittings {fittings_kg:g} kg" if fittings_kg else ""
