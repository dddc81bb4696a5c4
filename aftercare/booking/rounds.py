"""Join the return visits of the coming weeks into day rounds, and say what that saves.

Every set of up to five visits that one day can hold becomes a possible round; the cheapest pick that takes in
every visit is found by exact cover. Agreed visits stay where they are. What cannot be placed is listed with
the reason, never dropped.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from aftercare.booking.cover import DETERMINISTIC_SECONDS, Cover, cover_exactly, cover_greedily, unplaced_cost
from aftercare.booking.routes import (
    HOME,
    DayWindow,
    Key,
    RoundSettings,
    RoundVisit,
    Route,
    TravelTable,
    day_routes,
)

__all__ = [
    "HOME",
    "DayRound",
    "DayWindow",
    "RoundSettings",
    "RoundVisit",
    "Rounds",
    "Stop",
    "TravelTable",
    "Unplaced",
    "join_rounds",
]


@dataclass(frozen=True)
class Stop:
    """One visit of a round, in minutes of the local day."""

    key: Key
    starts_minute: int
    ends_minute: int
    travel_before_minutes: int
    wait_before_minutes: int
    moved: bool


@dataclass(frozen=True)
class DayRound:
    """One day out: when to leave, each stop, when back, minutes on the road, and what they save."""

    day: date
    leaves_minute: int
    stops: tuple[Stop, ...]
    back_minute: int
    travel_minutes: int
    saved_minutes: int


@dataclass(frozen=True)
class Unplaced:
    """A visit in no round, and why."""

    key: Key
    reason: str


@dataclass(frozen=True)
class Rounds:
    """The outcome. `cost_minutes` is what was made small: travel, days out, moves and visits left out.

    `saved_minutes` is the travel of one trip for each placed visit, less the travel of the rounds. `proved`
    says that no cheaper pick exists; `method` says in words how it was found.
    """

    rounds: tuple[DayRound, ...]
    unplaced: tuple[Unplaced, ...]
    cost_minutes: int
    travel_minutes: int
    saved_minutes: int
    proved: bool
    method: str


def join_rounds(
    visits: Sequence[RoundVisit],
    settings: RoundSettings,
    overrides: Mapping[tuple[Key, Key], int] | None = None,
    *,
    solver: bool = True,
    deterministic_seconds: float = DETERMINISTIC_SECONDS,
) -> Rounds:
    """Join `visits` into day rounds; `overrides` are known journeys in minutes by (from, to), HOME included.

    With `solver` False, or where it is not installed, rounds are taken one after another and it is said so.
    `deterministic_seconds` bounds the solver by its own count of work, about a second of one core each.
    Raises ValueError when two visits have the same key.
    """
    if len({visit.key for visit in visits}) != len(visits):
        raise ValueError("Rounds: two visits have the same key; each visit may come once.")
    matrix = TravelTable(tuple(visits), settings, overrides or {}).matrix()
    routes: list[Route] = []
    complete = True
    for day in sorted({window.day for visit in visits for window in visit.windows}):
        found, whole = day_routes(day, visits, matrix, settings)
        routes.extend(found)
        complete = complete and whole
    cover, method = _covered(routes, visits, settings, deterministic_seconds if solver else 0.0)
    if not complete:
        method += "; on a crowded day not every round was tried"
    return _told(cover, cover.proved and complete, method, visits, routes, matrix, settings)


def _covered(
    routes: list[Route], visits: Sequence[RoundVisit], settings: RoundSettings, deterministic_seconds: float
) -> tuple[Cover, str]:
    if not deterministic_seconds:
        return cover_greedily(routes, visits, settings), "joined one round after another, not proved the best"
    try:
        cover = cover_exactly(routes, visits, settings, deterministic_seconds)
    except ImportError:
        return (
            cover_greedily(routes, visits, settings),
            "joined one round after another, not proved the best: the solver is not installed",
        )
    return cover, "proved the best" if cover.proved else "the best found in the time allowed, not proved"


def _told(
    cover: Cover,
    proved: bool,
    method: str,
    visits: Sequence[RoundVisit],
    routes: Sequence[Route],
    matrix: list[list[int]],
    settings: RoundSettings,
) -> Rounds:
    placed = {n for route in cover.routes for n in route.order}
    missing = [n for n in range(len(visits)) if n not in placed]
    possible = {n for route in routes for n in route.order}
    unplaced = tuple(Unplaced(visits[n].key, _why_missing(visits[n], n in possible)) for n in missing)
    days = tuple(_day_round(route, visits, matrix) for route in cover.routes)
    cost = sum(route.cost_minutes for route in cover.routes)
    return Rounds(
        rounds=days,
        unplaced=unplaced,
        cost_minutes=cost + sum(unplaced_cost(visits[n], settings) for n in missing),
        travel_minutes=sum(day.travel_minutes for day in days),
        saved_minutes=sum(day.saved_minutes for day in days),
        proved=proved,
        method=method,
    )


def _why_missing(visit: RoundVisit, possible: bool) -> str:
    if not visit.windows:
        return "no day and hour is open for it"
    if not possible:
        return "no window is long enough for the visit and the journey there and back"
    if visit.agreed:
        return "it cannot be joined with the other agreed visits of that day"
    return "every day that is open for it is taken by other visits"


def _day_round(route: Route, visits: Sequence[RoundVisit], matrix: list[list[int]]) -> DayRound:
    stops: list[Stop] = []
    here, free = 0, route.starts[0] - matrix[0][route.order[0] + 1]
    leaves = free
    for n, start in zip(route.order, route.starts, strict=True):
        visit, leg = visits[n], matrix[here][n + 1]
        moved = visit.current_day is not None and visit.current_day != route.day
        end = start + visit.duration_minutes
        stops.append(Stop(visit.key, start, end, leg, start - free - leg, moved))
        here, free = n + 1, end
    alone = sum(matrix[0][n + 1] + matrix[n + 1][0] for n in route.order)
    return DayRound(
        day=route.day,
        leaves_minute=leaves,
        stops=tuple(stops),
        back_minute=free + matrix[here][0],
        travel_minutes=route.travel_minutes,
        saved_minutes=alone - route.travel_minutes,
    )
