"""All day rounds that can be driven: which visits, in which order, at what times, for how many minutes.

Times are minutes of the local day (540 is nine in the morning), so a round reads like a diary page; the caller
turns them into UTC. Waiting is allowed, visits start on the quarter hour, agreed visits exactly as agreed.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from jobs.travel import Place, travel_minutes

__all__ = ["HOME", "DayWindow", "RoundSettings", "RoundVisit", "Route", "TravelTable", "day_routes"]

Key = Hashable
# The workshop's own entry in a table of travel times.
HOME = "home"
QUARTER_MINUTES = 15
# More ways than this to lengthen the rounds of one day are not all tried: the shortest go on, and it is said.
MOST_TRIES = 300_000


@dataclass(frozen=True)
class DayWindow:
    """Local minutes of one day between which a whole visit has to lie."""

    day: date
    opens_minute: int
    closes_minute: int


@dataclass(frozen=True)
class RoundVisit:
    """A visit to be joined into a round. `key` is stable and names it in the result.

    An agreed visit has one window, exactly as long as itself, and is never moved. `current_day` is the day of a
    booking that may still be moved, at a price.
    """

    key: Key
    duration_minutes: int
    windows: tuple[DayWindow, ...]
    place: Place | None = None
    agreed: bool = False
    current_day: date | None = None

    def __post_init__(self) -> None:
        if self.duration_minutes <= 0:
            raise ValueError(f"Visit {self.key}: the length has to be above 0 min.")
        spans = {window.closes_minute - window.opens_minute for window in self.windows}
        if self.agreed and (len(self.windows) != 1 or spans != {self.duration_minutes}):
            raise ValueError(f"Visit {self.key}: an agreed visit has one window, exactly its own time.")


@dataclass(frozen=True)
class RoundSettings:
    """How the workshop drives and counts. A day out costs `day_cost_minutes` besides its travel."""

    home: Place | None = None
    day_starts_minute: int = 8 * 60
    day_ends_minute: int = 17 * 60 + 30
    speed_kmh: float = 40.0
    winding: float = 1.3
    unknown_minutes: int = 30
    most_visits: int = 5
    day_cost_minutes: int = 60
    move_cost_minutes: int = 20
    unplaced_cost_minutes: int = 10_000


@dataclass(frozen=True)
class TravelTable:
    """Minutes between every two places: computed, unless a known journey is typed over it.

    `overrides` is by (from, to); one given for only one direction counts for both.
    """

    visits: tuple[RoundVisit, ...]
    settings: RoundSettings
    overrides: Mapping[tuple[Key, Key], int] = field(default_factory=dict)

    def minutes(self, here: Key, there: Key) -> int:
        known = self.overrides.get((here, there), self.overrides.get((there, here)))
        if known is not None:
            return known
        places = {visit.key: visit.place for visit in self.visits} | {HOME: self.settings.home}
        return travel_minutes(
            places[here],
            places[there],
            speed_kmh=self.settings.speed_kmh,
            winding=self.settings.winding,
            unknown_minutes=self.settings.unknown_minutes,
        )

    def matrix(self) -> list[list[int]]:
        """Minutes as rows of from, columns of to; index 0 is home, index n the n-th visit."""
        keys: list[Key] = [HOME, *(visit.key for visit in self.visits)]
        return [[0 if a == b else self.minutes(a, b) for b in keys] for a in keys]


@dataclass(frozen=True)
class Route:
    """One possible day out: visit numbers in order with their starts, and the travel there, between and back."""

    day: date
    order: tuple[int, ...]
    starts: tuple[int, ...]
    travel_minutes: int
    cost_minutes: int


@dataclass(frozen=True)
class _Label:
    """A round under way: the minute it is free at its last visit, and the travel so far."""

    free_minute: int
    travel: int
    order: tuple[int, ...]
    starts: tuple[int, ...]


# By set of visits (as bits) and last visit: the rounds under way that no other beats in both time and travel.
Fronts = dict[tuple[int, int], list[_Label]]


def day_routes(
    day: date, visits: Sequence[RoundVisit], matrix: list[list[int]], settings: RoundSettings
) -> tuple[list[Route], bool]:
    """The cheapest route of every set of visits that one day can hold, and whether none was left out.

    The maker leaves home no earlier than the day starts and is back by its end, except for an agreed visit
    that comes first or last. Sets grow by one visit at a time and keep only unbeaten orders, so the cheapest
    of each set is exact (checked against all permutations).
    """
    return _DayBuilder(day, visits, matrix, settings).routes()


class _DayBuilder:
    def __init__(
        self, day: date, visits: Sequence[RoundVisit], matrix: list[list[int]], settings: RoundSettings
    ) -> None:
        self.day, self.visits, self.matrix, self.settings = day, visits, matrix, settings
        self.spans = {n: spans for n, visit in enumerate(visits) if (spans := _spans(visit, day))}
        self.best: dict[int, Route] = {}

    def routes(self) -> tuple[list[Route], bool]:
        fronts: Fronts = {}
        complete = True
        for n in self.spans:
            self._extend(fronts, _Label(0, 0, (), ()), 0, n)
        for _ in range(self.settings.most_visits - 1):
            self._accept(fronts)
            kept = self._few_enough(fronts)
            complete = complete and kept is fronts
            fronts = {}
            for (members, _last), labels in kept.items():
                for label in labels:
                    for n in self.spans:
                        if not members >> n & 1:
                            self._extend(fronts, label, members, n)
        self._accept(fronts)
        return [self.best[members] for members in sorted(self.best)], complete

    def _extend(self, fronts: Fronts, label: _Label, members: int, n: int) -> None:
        """Add visit `n` to the end of a round under way, if it still fits and nothing beats it."""
        leg = self.matrix[label.order[-1] + 1 if label.order else 0][n + 1]
        visit = self.visits[n]
        if label.order:
            arrives = label.free_minute + leg
        else:
            arrives = 0 if visit.agreed else self.settings.day_starts_minute + leg
        start = _first_start(visit, self.spans[n], arrives)
        if start is None:
            return
        free, travel = start + visit.duration_minutes, label.travel + leg
        front = fronts.setdefault((members | 1 << n, n), [])
        if any(other.free_minute <= free and other.travel <= travel for other in front):
            return
        front[:] = [other for other in front if other.free_minute < free or other.travel < travel]
        front.append(_Label(free, travel, (*label.order, n), (*label.starts, start)))

    def _accept(self, fronts: Fronts) -> None:
        """Close each round under way with the journey home, and keep the cheapest of each set."""
        for (members, last), labels in fronts.items():
            home = self.matrix[last + 1][0]
            for label in labels:
                late = label.free_minute + home > self.settings.day_ends_minute
                if late and not self.visits[last].agreed:
                    continue
                route = self._closed(label, label.travel + home)
                known = self.best.get(members)
                if known is None or _order_of(route) < _order_of(known):
                    self.best[members] = route

    def _closed(self, label: _Label, travel: int) -> Route:
        moved = sum(
            self.visits[n].current_day is not None and self.visits[n].current_day != self.day for n in label.order
        )
        cost = travel + self.settings.day_cost_minutes + moved * self.settings.move_cost_minutes
        return Route(self.day, label.order, label.starts, travel, cost)

    def _few_enough(self, fronts: Fronts) -> Fronts:
        """The rounds to lengthen: all of them, or on a day too crowded for that the ones with least travel."""
        tries = sum(map(len, fronts.values())) * len(self.spans)
        if tries <= MOST_TRIES:
            return fronts
        ranked = sorted(
            (
                (label.travel, label.free_minute, label.order, key)
                for key, labels in fronts.items()
                for label in labels
            )
        )
        allowed = {entry[2] for entry in ranked[: MOST_TRIES // len(self.spans)]}
        return {key: [label for label in labels if label.order in allowed] for key, labels in fronts.items()}


def _order_of(route: Route) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
    """Cheapest first, then the one that is done earlier: the same choice on every machine."""
    return route.cost_minutes, route.starts, route.order


def _spans(visit: RoundVisit, day: date) -> list[tuple[int, int]]:
    return sorted((window.opens_minute, window.closes_minute) for window in visit.windows if window.day == day)


def _first_start(visit: RoundVisit, spans: list[tuple[int, int]], arrives: int) -> int | None:
    """The earliest minute at which the visit can start after arriving, or None."""
    for opens, closes in spans:
        start = opens if visit.agreed else -(-max(arrives, opens) // QUARTER_MINUTES) * QUARTER_MINUTES
        if arrives <= start and start + visit.duration_minutes <= closes:
            return start
    return None
