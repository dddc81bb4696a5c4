"""Van loads: payload, volume and longest piece; number of loads and the order of loading."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from jobs.carrying.lengths import check_length_mm, check_weight_kg
from jobs.pure_errors import MeasureError

PACKING_PERCENT = 70  # our own figure, no source: blankets, wheel arches and odd shapes take the rest
MM3_PER_M3 = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Van:
    """Payload in kg (people and tools count against it) and clear sizes of the load space in mm."""

    name: str
    payload_kg: float
    length_mm: int
    width_mm: int
    height_mm: int

    def __post_init__(self) -> None:
        check_weight_kg(self.payload_kg, f"{self.name}, payload")
        for label, size_mm in (("length", self.length_mm), ("width", self.width_mm), ("height", self.height_mm)):
            check_length_mm(size_mm, f"{self.name}, {label}", minimum_mm=300)

    @property
    def sizes_mm(self) -> list[int]:
        return sorted((self.length_mm, self.width_mm, self.height_mm))

    @property
    def usable_mm3(self) -> int:
        return self.length_mm * self.width_mm * self.height_mm * PACKING_PERCENT // 100


@dataclass(frozen=True, slots=True)
class LoadPiece:
    """A wrapped piece to load. `key` is unique; `fitting_order` 1 is the first needed in the room."""

    key: str
    name: str
    weight_kg: float | None
    width_mm: int
    height_mm: int
    depth_mm: int
    fitting_order: int
    fragile: bool = False

    def __post_init__(self) -> None:
        if self.weight_kg is not None:
            check_weight_kg(self.weight_kg, f"{self.name}, weight")
        for label, size_mm in (("width", self.width_mm), ("height", self.height_mm), ("depth", self.depth_mm)):
            check_length_mm(size_mm, f"{self.name}, wrapped {label}")

    @property
    def volume_mm3(self) -> int:
        return self.width_mm * self.height_mm * self.depth_mm

    @property
    def weight_g(self) -> int:
        """Grams, rounded up so that rounding can never overload a van."""
        return math.ceil((self.weight_kg or 0) * 1000)


@dataclass(frozen=True, slots=True)
class LoadLine:
    """One piece in loading order: 1 goes in first, to the bulkhead."""

    position: int
    piece: LoadPiece
    on_top: bool
    words: str


@dataclass(frozen=True, slots=True)
class Load:
    """One journey of the van."""

    number: int
    lines: tuple[LoadLine, ...]
    weight_kg: float
    volume_m3: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A piece that goes into no load, and why."""

    piece: LoadPiece
    sentence: str


@dataclass(frozen=True, slots=True)
class LoadPlan:
    """All loads of one van; what was left out is named, never dropped."""

    van: Van
    loads: tuple[Load, ...]
    left_out: tuple[LeftOut, ...]
    longest: LoadPiece | None
    sentence: str


def plan_loads(pieces: Sequence[LoadPiece], van: Van, *, people_and_kit_kg: float = 0) -> LoadPlan:
    """Share the pieces out over as few journeys as first-fit decreasing finds, the same every time.

    `people_and_kit_kg` is taken off the payload on every journey. Inside a load the order is the reverse
    of the fitting order, so that the first piece needed stands at the doors. Whether shapes stack is not
    worked out: volume at 70 per cent stands for it, and the longest piece must lie straight.
    Raises `MeasureError` on equal keys or when people and kit alone use up the payload.
    """
    payload_g = _payload_g(van, people_and_kit_kg)
    if len({piece.key for piece in pieces}) != len(pieces):
        raise MeasureError("Pieces", "Pieces: two have the same key. Give every piece its own.")
    left_out = tuple(
        LeftOut(piece, reason) for piece in pieces if (reason := _why_not(piece, van, payload_g)) is not None
    )
    barred = {entry.piece.key for entry in left_out}
    bins = _first_fit([piece for piece in pieces if piece.key not in barred], payload_g, van.usable_mm3)
    bins.sort(key=lambda held: min((piece.fitting_order, piece.key) for piece in held))
    loads = tuple(_load(number, held) for number, held in enumerate(bins, start=1))
    longest = max(pieces, key=lambda piece: (max(_sizes_mm(piece)), piece.key), default=None)
    return LoadPlan(van, loads, left_out, longest, _plan_sentence(van, loads, left_out, payload_g))


def smallest_van_for(piece: LoadPiece, vans: Sequence[Van]) -> Van:
    """The van with the least payload that takes the piece; a `MeasureError` names it if none does."""
    if not vans:
        raise MeasureError("Van", "Van: none is entered. Enter the van's payload and load space first.")
    for van in sorted(vans, key=lambda entry: (entry.payload_kg, entry.name)):
        if _why_not(piece, van, _payload_g(van, 0)) is None:
            return van
    largest = max(vans, key=lambda entry: (entry.usable_mm3, entry.name))
    reason = _why_not(piece, largest, _payload_g(largest, 0)) or ""
    raise MeasureError("Van", f"Van: no van takes {piece.name}. {reason} Split the piece or hire a larger van.")


def _payload_g(van: Van, people_and_kit_kg: float) -> int:
    if people_and_kit_kg < 0:
        raise MeasureError("People and kit", "People and kit: a weight below zero cannot be. Type 0 or more.")
    left_g = math.floor((van.payload_kg - people_and_kit_kg) * 1000)
    if left_g <= 0:
        raise MeasureError(
            "People and kit",
            f"People and kit: {people_and_kit_kg:g} kg uses up the {van.payload_kg:g} kg payload of {van.name}. "
            "Take less kit or a larger van.",
        )
    return left_g


def _sizes_mm(piece: LoadPiece) -> list[int]:
    return sorted((piece.width_mm, piece.height_mm, piece.depth_mm))


def _why_not(piece: LoadPiece, van: Van, payload_g: int) -> str | None:
    sizes = " x ".join(str(size_mm) for size_mm in _sizes_mm(piece))
    if any(size > room for size, room in zip(_sizes_mm(piece), van.sizes_mm, strict=True)):
        room = " x ".join(str(size_mm) for size_mm in van.sizes_mm)
        return f"{piece.name} ({sizes} mm wrapped) does not go into {van.name} ({room} mm)."
    if piece.volume_mm3 > van.usable_mm3:
        usable = f"{van.usable_mm3 / MM3_PER_M3:.1f} m3"
        return f"{piece.name} ({sizes} mm wrapped) is more than the {usable} {van.name} can hold."
    if piece.weight_kg is None:
        return f"{piece.name} has no weight recorded: give its boards or put it on scales."
    if piece.weight_g > payload_g:
        return f"{piece.name} ({piece.weight_kg:.1f} kg) is above the {payload_g / 1000:g} kg {van.name} may carry."
    return None


def _first_fit(pieces: Sequence[LoadPiece], payload_g: int, usable_mm3: int) -> list[list[LoadPiece]]:
    def share(piece: LoadPiece) -> Fraction:
        return max(Fraction(piece.weight_g, payload_g), Fraction(piece.volume_mm3, usable_mm3))

    bins: list[tuple[int, int, list[LoadPiece]]] = []
    for piece in sorted(pieces, key=lambda entry: (-share(entry), entry.fitting_order, entry.key)):
        for index, (weight_g, volume_mm3, held) in enumerate(bins):
            together_g, together_mm3 = weight_g + piece.weight_g, volume_mm3 + piece.volume_mm3
            if together_g <= payload_g and together_mm3 <= usable_mm3:
                bins[index] = (together_g, together_mm3, [*held, piece])
                break
        else:
            bins.append((piece.weight_g, piece.volume_mm3, [piece]))
    return [held for _, _, held in bins]


def _load(number: int, held: Sequence[LoadPiece]) -> Load:
    ordered = sorted(held, key=lambda piece: (piece.fitting_order, piece.key), reverse=True)
    lines = []
    for position, piece in enumerate(ordered, start=1):
        words = "fragile: on top, nothing over it" if piece.fragile else ""
        lines.append(LoadLine(position, piece, piece.fragile, words))
    weight_g = sum(piece.weight_g for piece in held)
    volume_mm3 = sum(piece.volume_mm3 for piece in held)
    return Load(number, tuple(lines), weight_g / 1000, volume_mm3 / MM3_PER_M3)


def _plan_sentence(van: Van, loads: Sequence[Load], left_out: Sequence[LeftOut], payload_g: int) -> str:
    journeys = "1 load" if len(loads) == 1 else f"{len(loads)} loads"
    limits = f"{payload_g / 1000:g} kg and {van.usable_mm3 / MM3_PER_M3:.1f} m3 a load"
    sentence = (
        f"{journeys} in {van.name}, {limits} (volume at {PACKING_PERCENT} per cent, our own figure without "
        "a source; shapes are not stacked here)."
    )
    return " ".join((sentence, *(entry.sentence for entry in left_out)))
