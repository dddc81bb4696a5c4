"""Trips, minutes and people for the carry, what fits the access slot, and the latest time to leave."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from statistics import median

from jobs.carrying.lifting import LARGEST_TEAM
from jobs.pure_errors import MeasureError

DEFAULT_TRIP_MINUTES = 2.0
DEFAULT_MINUTES_PER_FLOOR = 1.0
FEWEST_LOGS = 3  # a median of one or two carries says nothing
LARGEST_CREW = 6


@dataclass(frozen=True, slots=True)
class CarryPiece:
    """A piece and the lifters it needs; None where it is not to be carried by hand or not weighed."""

    name: str
    lifters: int | None

    def __post_init__(self) -> None:
        if self.lifters is not None and self.lifters < 1:
            raise MeasureError("Lifters", f"Lifters: {self.name} needs 1 or more, not {self.lifters}.")


@dataclass(frozen=True, slots=True)
class CarryLog:
    """One past carry: minutes in all, rounds made, floors climbed."""

    minutes: float
    trips: int
    floors: int

    def __post_init__(self) -> None:
        if self.minutes <= 0 or self.trips < 1 or self.floors < 0:
            raise MeasureError("Carry log", "Carry log: minutes and trips must be above zero, floors 0 or more.")


@dataclass(frozen=True, slots=True)
class TripMinutes:
    """Minutes of one round trip, how many logged carries stand behind it (0: our default), in words."""

    minutes: float
    logs: int
    words: str


@dataclass(frozen=True, slots=True)
class CrewLine:
    """What a crew of `people` makes of the carry; `rounds` None when a piece needs more lifters."""

    people: int
    rounds: int | None
    minutes: float | None
    fits: bool


@dataclass(frozen=True, slots=True)
class CrewNeed:
    """People needed (None: no crew does it), a line for each crew size, and the sentence."""

    people: int | None
    lines: tuple[CrewLine, ...]
    not_by_hand: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class SlotLoad:
    """What a given crew gets in within the usable minutes, and what stays outside, by name."""

    carried: tuple[str, ...]
    left: tuple[str, ...]
    minutes: float
    sentence: str


def trip_minutes(logs: Sequence[CarryLog], floors: int) -> TripMinutes:
    """Median minutes a trip from own logs of as many floors, else our stated default."""
    if floors < 0:
        raise MeasureError("Floors", f"Floors: {floors} is below zero. Type 0 for the ground floor.")
    own = [log.minutes / log.trips for log in logs if log.floors == floors]
    if len(own) >= FEWEST_LOGS:
        minutes = median(own)
        words = f"{minutes:.1f} min a trip: median of {len(own)} own carries up {_floors(floors)}"
        return TripMinutes(minutes, len(own), words)
    minutes = DEFAULT_TRIP_MINUTES + DEFAULT_MINUTES_PER_FLOOR * floors
    words = (
        f"{minutes:.1f} min a trip: our default without a source, {DEFAULT_TRIP_MINUTES:g} and "
        f"{DEFAULT_MINUTES_PER_FLOOR:g} a floor; {len(own)} own carries up {_floors(floors)}, "
        f"{FEWEST_LOGS} are needed"
    )
    return TripMinutes(minutes, 0, words)


def carry_rounds(pieces: Sequence[CarryPiece], people: int) -> list[list[CarryPiece]] | None:
    """Rounds of a crew: in each, the pieces in hand need no more lifters than there are people.

    The largest first into the first round with hands free (first-fit decreasing), so the answer is the
    same every time. None when a piece needs more people than the crew has. Pieces with `lifters` None
    are left out.
    """
    if people < 1:
        raise MeasureError("People", f"People: {people} cannot carry. Type 1 or more.")
    by_hand = [(piece.lifters, piece) for piece in pieces if piece.lifters is not None]
    if any(lifters > people for lifters, _ in by_hand):
        return None
    rounds: list[tuple[int, list[CarryPiece]]] = []
    for lifters, piece in sorted(by_hand, key=lambda pair: -pair[0]):
        for index, (hands, held) in enumerate(rounds):
            if hands + lifters <= people:
                rounds[index] = (hands + lifters, [*held, piece])
                break
        else:
            rounds.append((lifters, [piece]))
    return [held for _, held in rounds]


def crew_for_slot(
    pieces: Sequence[CarryPiece],
    *,
    trip: TripMinutes,
    slot_minutes: int,
    let_in_only: bool,
    set_up_minutes: int = 0,
    largest_crew: int = LARGEST_CREW,
) -> CrewNeed:
    """Smallest crew that carries everything in.

    `let_in_only`: somebody opens within the slot and the carry may go on after it; otherwise carry and
    `set_up_minutes` (covering stairs and floors) must both fit inside the slot.
    """
    usable = _usable_minutes(slot_minutes, set_up_minutes)
    lines = []
    for people in range(1, largest_crew + 1):
        rounds = carry_rounds(pieces, people)
        minutes = None if rounds is None else len(rounds) * trip.minutes
        fits = minutes is not None and (let_in_only or minutes <= usable)
        lines.append(CrewLine(people, None if rounds is None else len(rounds), minutes, fits))
    need = next((line for line in lines if line.fits), None)
    barred = tuple(piece.name for piece in pieces if piece.lifters is None)
    sentence = _crew_sentence(need, usable, slot_minutes, let_in_only, largest_crew, trip)
    if barred:
        # First, not last: whoever reads only the beginning must not send one person to a slab.
        sentence = f"Not counted, above the filter for {LARGEST_TEAM} or not weighed: {', '.join(barred)}. " + (
            f"They need an aid, a split or scales first. For the rest: {sentence}"
        )
    return CrewNeed(need.people if need else None, tuple(lines), barred, sentence)


def what_fits(
    pieces: Sequence[CarryPiece],
    *,
    people: int,
    trip: TripMinutes,
    slot_minutes: int,
    set_up_minutes: int = 0,
) -> SlotLoad:
    """How much of the carry a crew gets in, taking pieces in the order given (put the first needed first).

    A piece that needs more people than the crew has, or is not for hands at all, stays outside.
    """
    usable = _usable_minutes(slot_minutes, set_up_minutes)
    most_rounds = math.floor(usable / trip.minutes + 1e-9)
    carried: list[CarryPiece] = []
    left: list[str] = []
    for piece in pieces:
        rounds = None if piece.lifters is None else carry_rounds([*carried, piece], people)
        if rounds is None or len(rounds) > most_rounds:
            left.append(piece.name)
        else:
            carried.append(piece)
    minutes = len(carry_rounds(carried, people) or ()) * trip.minutes
    sentence = f"{people} people get {len(carried)} of {len(pieces)} pieces in within {usable} min"
    sentence += f" ({minutes:g} min; {trip.words})."
    if left:
        sentence += f" Outside stay: {', '.join(left)}."
    return SlotLoad(tuple(piece.name for piece in carried), tuple(left), minutes, sentence)


def latest_leaving(slot_start: datetime, *, drive_minutes: int, parking_minutes: int) -> datetime:
    """Latest time to leave the workshop, UTC: slot start less drive and parking buffer.

    Raises `MeasureError` on a time without a zone (it would be an hour out after a clock change).
    """
    if slot_start.tzinfo is None:
        raise MeasureError("Slot start", "Slot start: the time has no time zone. Give it with its zone.")
    if drive_minutes < 0 or parking_minutes < 0:
        raise MeasureError("Drive", "Drive: drive and parking minutes cannot be below zero. Type 0 or more.")
    return slot_start.astimezone(UTC) - timedelta(minutes=drive_minutes + parking_minutes)


def _usable_minutes(slot_minutes: int, set_up_minutes: int) -> int:
    if slot_minutes <= 0:
        raise MeasureError("Access slot", f"Access slot: {slot_minutes} min is no time. Its end is after its start.")
    if set_up_minutes < 0:
        raise MeasureError("Set-up", f"Set-up: {set_up_minutes} min is below zero. Type 0 or more.")
    return max(slot_minutes - set_up_minutes, 0)


def _crew_sentence(
    need: CrewLine | None, usable: int, slot_minutes: int, let_in_only: bool, largest_crew: int, trip: TripMinutes
) -> str:
    if need is None and let_in_only:
        return f"No crew up to {largest_crew} lifts every piece ({trip.words})."
    if need is None:
        return (
            f"No crew up to {largest_crew} gets everything in within {usable} of the slot's {slot_minutes} min "
            f"({trip.words}). Ask for a longer slot, or to be let in and stay."
        )
    people = "1 person" if need.people == 1 else f"{need.people} people"
    work = f"{people}, {need.rounds} rounds, {need.minutes:g} min"
    if let_in_only:
        return f"{work}; the slot is for letting in only, so the carry may run past it ({trip.words})."
    return f"{work} of {usable} usable in the slot of {slot_minutes} min ({trip.words})."


def _floors(floors: int) -> str:
    return "1 floor" if floors == 1 else f"{floors} floors"
