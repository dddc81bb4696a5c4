"""What the page of return rounds says: each round as a list, the map, and what a yes would do."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from aftercare.queries.booking_facts import place_on_map, workshop_place
from aftercare.queries.rounds import LeftOut, Planned, PlannedRound, RoundsPlan, rounds_plan
from aftercare.queries.rounds_map import MapStop, rounds_map
from jobs.models import Attendance, VisitState, Workshop
from jobs.words import day_in_words, joined, short_day, time_in_words

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class StopLine:
    """One stop in words: its mark on the map, its hours, how it is reached, and how it stands with the client."""

    mark: str
    stop: Planned
    hours: str
    way: str
    stands: str
    starts_at: str


@dataclass(frozen=True)
class RoundLines:
    letter: str
    day: str
    person: str
    leaves: str
    back: str
    travel_minutes: int
    saved_minutes: int
    stops: tuple[StopLine, ...]


def rounds_page(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Eleven queries, and the solver, loaded when first needed."""
    plan = rounds_plan(workshop, now)
    lines = [_round_lines(_letter(number), one, workshop) for number, one in enumerate(plan.rounds)]
    stops = [[MapStop(line.mark, place_on_map(line.stop.handover.commission)) for line in one.stops] for one in lines]
    return {
        "plan": plan,
        "rounds": lines,
        "left_out": [(one, _stands(one, workshop)) for one in plan.left_out],
        "map": rounds_map(workshop_place(workshop), stops),
        "effect": effect_words(plan),
        "method": joined([method for method in plan.methods if method]),
        "visits": sum(len(one.stops) for one in plan.rounds),
    }


def effect_words(plan: RoundsPlan) -> tuple[str, ...]:
    """What saying yes to all moves would do, to whom."""
    moves = plan.moves
    if not moves:
        return ()
    fresh = [move for move in moves if move.visit.state == VisitState.TO_ARRANGE]
    mailed = [move for move in moves if move.handover.commission.client.email]
    rung = [move for move in moves if not move.handover.commission.client.email]
    return tuple(
        words
        for words in (
            _moved_words(len(moves) - len(fresh)),
            _count(len(fresh), "visit to arrange gets its day", "visits to arrange get their day"),
            _count(len(mailed), "client is sent a new invite", "clients are sent a new invite"),
            _count(len(rung), "client without e-mail is to be rung", "clients without e-mail are to be rung"),
        )
        if words
    )


def _moved_words(count: int) -> str:
    return _count(count, "visit moves to another time", "visits move to another time")


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}." if number else ""


def _letter(number: int) -> str:
    """A to Z, then AA, AB and so on."""
    rest, place = divmod(number, len(LETTERS))
    return (LETTERS[rest - 1] if rest else "") + LETTERS[place]


def _round_lines(letter: str, one: PlannedRound, workshop: Workshop) -> RoundLines:
    return RoundLines(
        letter=letter,
        day=day_in_words(one.day),
        person=str(one.person),
        leaves=time_in_words(workshop.local(one.leaves_at).time()),
        back=time_in_words(workshop.local(one.back_at).time()),
        travel_minutes=one.travel_minutes,
        saved_minutes=one.saved_minutes,
        stops=tuple(_stop_line(f"{letter}{n}", stop, workshop) for n, stop in enumerate(one.stops, start=1)),
    )


def _stop_line(mark: str, stop: Planned, workshop: Workshop) -> StopLine:
    start, end = workshop.local(stop.starts_at).time(), workshop.local(stop.ends_at).time()
    wait = f", then {stop.wait_minutes} min to spare" if stop.wait_minutes else ""
    return StopLine(
        mark=mark,
        stop=stop,
        hours=f"{time_in_words(start)} to {time_in_words(end)}",
        way=f"{stop.travel_minutes} min on the road{wait}",
        stands=_stands(stop, workshop),
        starts_at=stop.starts_at.isoformat(),
    )


def _stands(stop: Planned | LeftOut, workshop: Workshop) -> str:
    """How the visit stands with the client today."""
    visit = stop.visit
    if visit.state == VisitState.TO_ARRANGE or visit.starts_at is None:
        return "to arrange"
    local = workshop.local(visit.starts_at)
    booked = f"{short_day(local.date())}, {time_in_words(local.time())}"
    if visit.attendance == Attendance.ACCEPTED:
        return f"agreed for {booked}; it stays"
    if visit.attendance == Attendance.DECLINED:
        return f"{booked} was declined"
    is_move = isinstance(stop, Planned) and stop.is_move
    near = " because it is near" if isinstance(stop, Planned) and stop.is_fixed else ""
    stays = "" if is_move else f"; it stays{near}"
    return f"booked for {booked}, {visit.get_attendance_display().lower()}{stays}"
