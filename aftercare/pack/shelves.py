"""What a shelf may carry: sag under an even load, creep included, rounded down to whole kilograms.

Pure. Lengths in mm, forces in N, modulus of elasticity in N/mm2, mass in kg. A shelf is taken as simply
supported at both ends (on pins) and evenly loaded, d = 5wL^4/(384EI); lipping, a batten or a fixed back only help.

Two sources disagree on creep of MDF: an MDF industry handbook site says it adds "up to 50 %" to the first sag,
the timber code EN 1995-1-1 has kdef 2.25 for MDF.LA and P4 boards, which adds 225 %. The larger is used. It is
still an assumption: the code has no kdef for general MDF, P2 or melamine-faced board.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from jobs.carrying.lengths import check_length_mm
from jobs.carrying.weights import BOARDS, board_kg_m2, board_named, check_thickness_mm
from jobs.pure_errors import MeasureError

__all__ = [
    "GRAVITY_M_S2",
    "LIMIT_PART",
    "SHELF_BOARDS",
    "ShelfBoard",
    "ShelfLoad",
    "deflection_mm",
    "deflection_of_mass_mm",
    "modulus_n_mm2",
    "safe_load",
    "second_moment_mm4",
]

GRAVITY_M_S2 = 9.81
# Sag of span / 200, common practice, no source (L/200 to L/250 are both used; EN 14749 was not seen).
LIMIT_PART = 200
# Beyond this the pins and the carcass decide, not the board. Judgement, no source.
MOST_KG_A_METRE = 50
MM2_A_M2 = 1_000_000
CAUTION = "Calculated, not tested: to be confirmed by the maker before it is told to a client."


@dataclass(frozen=True)
class ShelfBoard:
    """Stiffness and creep of a board, by its key in `jobs.carrying.weights.BOARDS`.

    `moduli` are pairs of (thickness up to mm, E in N/mm2), thinnest first, beginning above `over_mm`;
    `creep_factor` is kdef: the part of the first sag that is added in time (service class 1).
    """

    key: str
    moduli: tuple[tuple[float, int], ...]
    modulus_source: str
    creep_factor: float
    creep_source: str
    over_mm: float = 0.0


_MDF = ((12, 2500), (19, 2200), (30, 2100), (45, 1900))
# P2 is published for 9-12, 15-18, 25 and 30 mm; a thickness between two takes the weaker.
_P2 = ((12, 1800), (18, 1600), (25, 1500), (30, 1350))
_ANY = 200.0
_EN_622 = "maker's data sheet classed to EN 622-5; secondary source"
_EN_312 = "maker's page, P2 board to EN 312; secondary source"
_NO_KDEF = "kdef 2.25 of EN 1995-1-1 for MDF.LA and P4 boards, an assumption for this board; secondary source"
_SOLID = "kdef 0.60 of EN 1995-1-1, solid timber, service class 1; secondary source"
_PLY = "kdef 0.80 of EN 1995-1-1, plywood EN 636, service class 1; secondary source"

SHELF_BOARDS: dict[str, ShelfBoard] = {
    board.key: board
    for board in (
        ShelfBoard("mdf", _MDF, _EN_622, 2.25, _NO_KDEF, over_mm=9),
        ShelfBoard("particleboard", _P2, _EN_312, 2.25, _NO_KDEF, over_mm=9),
        ShelfBoard("mfc", _P2, _EN_312 + "; faces not counted", 2.25, _NO_KDEF, over_mm=9),
        ShelfBoard("birch_ply", ((_ANY, 7000),), "across the face grain, from memory", 0.80, _PLY),
        ShelfBoard("softwood_ply", ((_ANY, 4000),), "across the face grain, from memory", 0.80, _PLY),
        ShelfBoard("softwood_c16", ((_ANY, 8000),), "EN 338:2016; secondary source", 0.60, _SOLID),
        ShelfBoard("softwood_c24", ((_ANY, 11000),), "EN 338:2016; secondary source", 0.60, _SOLID),
        ShelfBoard("oak", ((_ANY, 12300),), "Wood Handbook table 5-3a, from memory", 0.60, _SOLID),
        ShelfBoard("tulipwood", ((_ANY, 10900),), "Wood Handbook table 5-3a, from memory", 0.60, _SOLID),
    )
}


@dataclass(frozen=True)
class ShelfLoad:
    """An even load that keeps the sag within the limit for good, and everything it rests on.

    `load_kg` is 0 where the board sags too far under its own weight. `first_sag_mm` and `lasting_sag_mm` are
    with that load and the board's own weight, before and after creep.
    """

    load_kg: int
    limit_mm: float
    first_sag_mm: float
    lasting_sag_mm: float
    own_weight_kg: float
    modulus_n_mm2: int
    creep_factor: float
    words: tuple[str, ...]
    caution: str = CAUTION


def second_moment_mm4(depth_mm: float, thickness_mm: float) -> float:
    """I = b t^3 / 12 of a shelf lying flat."""
    return depth_mm * thickness_mm**3 / 12


def deflection_mm(load_n_per_mm: float, span_mm: float, modulus_n_mm2: float, second_moment_mm4: float) -> float:
    """First form, d = 5wL^4 / (384EI): sag in the middle under an even load of w N for each mm of span."""
    return 5 * load_n_per_mm * span_mm**4 / (384 * modulus_n_mm2 * second_moment_mm4)


def deflection_of_mass_mm(
    mass_kg: float, span_mm: float, depth_mm: float, thickness_mm: float, modulus_n_mm2: float
) -> float:
    """Second form, d = 5WgL^3 / (32Ebt^3), W kg spread evenly, as an MDF industry handbook site prints it."""
    force_n = mass_kg * GRAVITY_M_S2
    return 5 * force_n * span_mm**3 / (32 * modulus_n_mm2 * depth_mm * thickness_mm**3)


def modulus_n_mm2(board_key: str, thickness_mm: float) -> int:
    """E of a board at a thickness; raises MeasureError, naming the remedy, where no value is known."""
    board = _shelf_board(board_key)
    if thickness_mm > board.over_mm:
        for up_to_mm, modulus in board.moduli:
            if thickness_mm <= up_to_mm:
                return modulus
    raise MeasureError(
        "Thickness",
        f"Thickness: no stiffness is known for {BOARDS[board_key].name} of {thickness_mm:g} mm "
        f"(over {board.over_mm:g} to {board.moduli[-1][0]:g} mm). Type E from the board's data sheet.",
    )


def safe_load(
    board_key: str,
    *,
    span_mm: int,
    depth_mm: int,
    thickness_mm: float,
    data_sheet_n_mm2: int | None = None,
    limit_part: int = LIMIT_PART,
) -> ShelfLoad:
    """The largest whole-kilogram even load with the lasting sag within span / `limit_part`.

    All of the load is taken as permanent, as books are. `data_sheet_n_mm2` is E from the board's own data sheet
    and wins over the table. Raises MeasureError for sizes or boards that cannot be calculated.
    """
    check_length_mm(span_mm, "Shelf span", minimum_mm=100, maximum_mm=4000)
    check_length_mm(depth_mm, "Shelf depth", minimum_mm=50, maximum_mm=1500)
    check_thickness_mm(thickness_mm)
    if limit_part < 100 or (data_sheet_n_mm2 is not None and not 100 <= data_sheet_n_mm2 <= 250_000):
        raise MeasureError("Stiffness", "Stiffness: E must be 100 to 250000 N/mm2, the limit span/100 or finer.")
    board = _shelf_board(board_key)
    modulus = data_sheet_n_mm2 or modulus_n_mm2(board_key, thickness_mm)
    own_kg = board_kg_m2(board_key, thickness_mm) * span_mm * depth_mm / MM2_A_M2
    sag_a_kg = deflection_of_mass_mm(1, span_mm, depth_mm, thickness_mm, modulus)
    lasting_part = 1 + board.creep_factor
    limit_mm = span_mm / limit_part
    by_sag_kg = limit_mm / (sag_a_kg * lasting_part) - own_kg
    cap_kg = MOST_KG_A_METRE * span_mm / 1000
    load_kg = max(0, floor(min(by_sag_kg, cap_kg)))
    first_sag_mm = sag_a_kg * (load_kg + own_kg)
    return ShelfLoad(
        load_kg=load_kg,
        limit_mm=limit_mm,
        first_sag_mm=first_sag_mm,
        lasting_sag_mm=first_sag_mm * lasting_part,
        own_weight_kg=own_kg,
        modulus_n_mm2=modulus,
        creep_factor=board.creep_factor,
        words=_words(board, modulus, data_sheet_n_mm2 is not None, limit_part) + _bound_words(by_sag_kg, cap_kg),
    )


def _shelf_board(board_key: str) -> ShelfBoard:
    name = board_named(board_key).name
    if board_key not in SHELF_BOARDS:
        raise MeasureError(
            "Board",
            f"Board: a shelf of {name} is not calculated here, its stiffness or its breaking decides and is not "
            f"known. Use one of {', '.join(SHELF_BOARDS)}, or have the maker test it.",
        )
    return SHELF_BOARDS[board_key]


def _words(board: ShelfBoard, modulus: int, from_data_sheet: bool, limit_part: int) -> tuple[str, ...]:
    """The ground of the figure, line by line, for the record and the pack."""
    density = BOARDS[board.key]
    source = "the board's data sheet" if from_data_sheet else board.modulus_source
    words: tuple[str, ...] = (
        "evenly spread, resting on both ends",
        f"sag at most span/{limit_part} in the long run: common practice, no source",
        f"E {modulus} N/mm2: {source}",
        f"sag grows by {board.creep_factor * 100:.0f} % in time: {board.creep_source}",
        "the whole load is taken to lie there for good, as books do, so that growth counts in full",
        f"own weight from {density.density_kg_m3} kg/m3: {density.source}; {density.status}",
    )
    if board.creep_source == _NO_KDEF:
        words += ("an MDF handbook site says creep adds up to 50 % only; the larger figure is used",)
    return words


def _bound_words(by_sag_kg: float, cap_kg: float) -> tuple[str, ...]:
    """What held the load, where it was not simply the sag."""
    if by_sag_kg < 1:
        return ("the board alone sags as far as is allowed, or leaves less than a kilogram to carry",)
    if by_sag_kg > cap_kg:
        return (f"held at {MOST_KG_A_METRE} kg a metre, where the supports decide: judgement, no source",)
    return ()
