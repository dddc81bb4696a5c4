"""The carry of one commission: lifters, trips, crew for the slot, leaving time, loads. Each figure says whence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jobs.carrying.carry import (
    CarryPiece,
    CrewNeed,
    SlotLoad,
    TripMinutes,
    crew_for_slot,
    latest_leaving,
    trip_minutes,
    what_fits,
)
from jobs.carrying.lifting import CAUTION, SOURCE, Lift, Posture
from jobs.carrying.van import LoadPlan, plan_loads, smallest_van_for
from jobs.carrying.weights import PieceWeight
from jobs.models import (
    AccessArrangement,
    AccessMode,
    CarryPlan,
    CarryRecord,
    Commission,
    Piece,
    PointKind,
    RoutePlace,
    Van,
    Visit,
    VisitKind,
    VisitState,
    Workshop,
)
from jobs.pure_errors import MeasureError
from jobs.queries.carry_values import pure_log, pure_van
from jobs.queries.drive import Drive, drive_of
from jobs.queries.piece_values import lift_of, load_piece, weight_of
from jobs.queries.route_page import room_routes
from jobs.words import day_in_words, time_in_words


@dataclass(frozen=True)
class PieceLift:
    """A piece with its weight and how many lift it."""

    piece: Piece
    weight: PieceWeight
    lift: Lift


@dataclass(frozen=True)
class Slot:
    """When we are let in. `starts_at` is None while no delivery visit is booked."""

    starts_at: dt.datetime | None
    minutes: int
    let_in_only: bool
    words: str


@dataclass(frozen=True)
class Carry:
    """Everything reckoned; parts are None where what they need is missing, and `missing` says so."""

    plan: CarryPlan
    visit: Visit | None
    access: AccessArrangement | None
    floors: int
    lifts: tuple[PieceLift, ...]
    cautions: tuple[str, ...]
    trip: TripMinutes
    slot: Slot | None
    crew: CrewNeed | None
    fits: SlotLoad | None
    drive: Drive
    leave_at: dt.datetime | None
    loads: LoadPlan | None
    other_vans: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def heavy(self) -> list[PieceLift]:
        """Pieces for more than one, or for no hands at all, or of unknown weight."""
        return [line for line in self.lifts if line.lift.lifters != 1]

    @property
    def light(self) -> list[PieceLift]:
        return [line for line in self.lifts if line.lift.lifters == 1]


def carry_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    carry = carry_of(commission, workshop, now)
    records = CarryRecord.objects.select_related("commission").order_by("-done_on", "-pk")[:10]
    return {"carry": carry, "source": SOURCE, "caution": CAUTION, "records": list(records)}


def way_in_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """For the commission page: what will not go, crew, leaving time, loads; with source and caution."""
    workshop = Workshop.objects.order_by("pk").first() or Workshop()
    places = list(commission.route_places.all())
    pieces = list(commission.pieces.select_related("room"))
    routes = room_routes(places, pieces) if places and pieces else []
    carry = carry_of(commission, workshop, now, pieces=pieces, places=places) if pieces else None
    return {"places": len(places), "routes": routes, "carry": carry, "source": SOURCE, "caution": CAUTION}


def carry_of(
    commission: Commission,
    workshop: Workshop,
    now: dt.datetime,
    *,
    pieces: Sequence[Piece] | None = None,
    places: Sequence[RoutePlace] | None = None,
) -> Carry:
    """A fixed number of queries whatever the number of pieces."""
    plan = CarryPlan.objects.select_related("van").filter(commission=commission).first()
    plan = plan or CarryPlan(commission=commission)
    pieces = list(commission.pieces.select_related("room")) if pieces is None else pieces
    places = list(commission.route_places.all()) if places is None else places
    floors = max((abs(piece.room.storey) for piece in pieces if piece.room), default=0)
    on_stairs = any(place.kind == PointKind.STAIRS for place in places)
    lifts, faults = _lifts(pieces, plan, on_stairs)
    cautions = tuple(dict.fromkeys(words for line in lifts for words in line.lift.cautions[:3])) or (CAUTION,)
    trip = trip_minutes([pure_log(record) for record in CarryRecord.objects.filter(floors=floors)], floors)
    visit = delivery_visit(commission, now)
    access = access_for(commission, visit)
    slot = slot_of(visit, access, workshop)
    hands = [CarryPiece(line.piece.label, line.lift.lifters) for line in by_fitting_order(lifts)]
    crew, fits, crew_fault = _crew(hands, plan, trip, slot)
    drive = drive_of(plan, commission, workshop)
    leave_at, leave_fault = _leaving(plan, slot, drive)
    loads, load_fault = _loads(pieces, plan)
    missing = (*faults, *(words for words in (crew_fault, leave_fault, load_fault) if words))
    return Carry(
        plan=plan,
        visit=visit,
        access=access,
        floors=floors,
        lifts=lifts,
        cautions=cautions,
        trip=trip,
        slot=slot,
        crew=crew,
        fits=fits,
        drive=drive,
        leave_at=leave_at,
        loads=loads,
        other_vans=_other_vans(loads),
        missing=missing,
    )


def floors_of(commission: Commission) -> int:
    """Floors climbed to the highest room that has pieces. One query."""
    storeys = commission.pieces.filter(room__isnull=False).values_list("room__storey", flat=True).distinct()
    return max((abs(storey) for storey in storeys), default=0)


def _lifts(pieces: Sequence[Piece], plan: CarryPlan, on_stairs: bool) -> tuple[tuple[PieceLift, ...], list[str]]:
    posture = Posture(column="women" if plan.figures == CarryPlan.Figures.WOMEN else "men")
    lines, faults = [], []
    for piece in pieces:
        try:
            lift = lift_of(piece, posture=posture, on_stairs=on_stairs, carry_m=plan.carry_m)
            lines.append(PieceLift(piece, weight_of(piece), lift))
        except MeasureError as fault:
            faults.append(f"{piece}: {fault.sentence}")
    return tuple(lines), faults


def by_fitting_order(lifts: Sequence[PieceLift]) -> list[PieceLift]:
    return sorted(lifts, key=lambda line: (line.piece.fitting_order, line.piece.number))


def _crew(
    hands: Sequence[CarryPiece], plan: CarryPlan, trip: TripMinutes, slot: Slot | None
) -> tuple[CrewNeed | None, SlotLoad | None, str]:
    if not hands:
        return None, None, "No pieces are entered: trips and crew are not known."
    if slot is None:
        return None, None, "Nobody is noted who lets us in: the crew for the slot is not known."
    try:
        crew = crew_for_slot(
            hands,
            trip=trip,
            slot_minutes=slot.minutes,
            let_in_only=slot.let_in_only,
            set_up_minutes=plan.set_up_minutes,
        )
        fits = what_fits(
            hands,
            people=plan.people,
            trip=trip,
            slot_minutes=slot.minutes,
            set_up_minutes=plan.set_up_minutes,
        )
    except MeasureError as fault:
        return None, None, fault.sentence
    return crew, fits, ""


def _leaving(plan: CarryPlan, slot: Slot | None, drive: Drive) -> tuple[dt.datetime | None, str]:
    if slot is None or slot.starts_at is None:
        return None, "No delivery visit is booked: the latest time to leave is not known."
    if drive.minutes is None:
        return None, (
            "The drive is not typed, and workshop or site has no place on the map: "
            "the latest time to leave is not known."
        )
    leaving = latest_leaving(slot.starts_at, drive_minutes=drive.minutes, parking_minutes=plan.parking_minutes)
    return leaving, ""


def _loads(pieces: Sequence[Piece], plan: CarryPlan) -> tuple[LoadPlan | None, str]:
    if plan.van is None:
        return None, "No van is chosen: loads are not worked out."
    if not pieces:
        return None, ""
    try:
        loads = [load_piece(piece) for piece in pieces]
        return plan_loads(loads, pure_van(plan.van), people_and_kit_kg=plan.people_and_kit_kg), ""
    except MeasureError as fault:
        return None, fault.sentence


def _other_vans(loads: LoadPlan | None) -> tuple[str, ...]:
    """For each weighed piece that the chosen van does not take: which of ours does, or that none does. One query,
    and only where there is such a piece."""
    left_out = [entry.piece for entry in loads.left_out if entry.piece.weight_kg is not None] if loads else []
    if not left_out:
        return ()
    vans = [pure_van(van) for van in Van.objects.all()]
    words = []
    for piece in left_out:
        try:
            words.append(f"{smallest_van_for(piece, vans).name} takes {piece.name}.")
        except MeasureError as fault:
            words.append(fault.sentence)
    return tuple(words)


def delivery_visit(commission: Commission, now: dt.datetime) -> Visit | None:
    """The next delivery, or the last one where none is to come. One query."""
    visits = list(
        commission.visits.filter(kind=VisitKind.DELIVERY, starts_at__isnull=False)
        .exclude(state=VisitState.CANCELLED)
        .select_related("person", "access")
    )
    coming = [visit for visit in visits if visit.starts_at and visit.starts_at >= now - dt.timedelta(hours=12)]
    return coming[0] if coming else (visits[-1] if visits else None)


def access_for(commission: Commission, visit: Visit | None) -> AccessArrangement | None:
    """The visit's own arrangement wins over the commission's."""
    own = getattr(visit, "access", None) if visit else None
    return own or AccessArrangement.objects.filter(commission=commission, visit__isnull=True).first()


def slot_of(visit: Visit | None, access: AccessArrangement | None, workshop: Workshop) -> Slot | None:
    """The access slot on the day of the delivery; without a delivery its length is still known."""
    if access is None:
        return None
    starts, ends = access.slot_starts, access.slot_ends
    minutes = (ends.hour - starts.hour) * 60 + ends.minute - starts.minute
    day = workshop.local_day(visit.starts_at) if visit and visit.starts_at else None
    starts_at = dt.datetime.combine(day, starts, workshop.tz) if day else None
    when = f"{day_in_words(day)}, " if day else ""
    words = f"{when}{time_in_words(starts)} to {time_in_words(ends)}. {access.get_mode_display()}"
    return Slot(starts_at, minutes, access.mode == AccessMode.LET_IN, words)
