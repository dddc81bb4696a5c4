"""The return visits of the coming weeks joined into day rounds: a proposal, until somebody says yes to it."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import comb

from aftercare.booking.facts import BookingFacts
from aftercare.booking.joining import agreed_visit, open_visit, utc_of_minute
from aftercare.booking.rounds import HOME, DayRound, DayWindow, Rounds, RoundSettings, RoundVisit, Stop, join_rounds
from aftercare.booking.routes import Key, TravelTable
from aftercare.models import Handover
from aftercare.queries.booking_facts import UNKNOWN_MINUTES, WINDING, Owed, facts_of_all, workshop_place
from aftercare.queries.journeys import Journeys, known_journeys
from jobs.models import Attendance, Person, Visit, VisitState, Workshop

# The range of a handover made today ends eight weeks on; two more for what was put off.
HORIZON = dt.timedelta(weeks=10)
# So near that moving it would be a nuisance to the client: it stays, unless it was declined.
NEAR = dt.timedelta(days=7)
# So many possible rounds of one person are weighed at most while somebody waits for the page: well under a second
# (tests/benchmarks/bench_return_rounds.py). Where there are more, rounds are kept shorter, and the page says so.
MOST_WEIGHED = 4000
LONGEST_ROUND = 5
SOLVER_SECONDS = 0.3


@dataclass(frozen=True)
class Planned:
    """One stop of a round: the visit, its handover, and the time the round gives it."""

    handover: Handover
    visit: Visit
    starts_at: dt.datetime
    ends_at: dt.datetime
    travel_minutes: int
    wait_minutes: int
    is_fixed: bool

    @property
    def is_move(self) -> bool:
        """Whether the round asks for another time than the one booked."""
        return not self.is_fixed and (
            self.visit.state == VisitState.TO_ARRANGE or self.visit.starts_at != self.starts_at
        )


@dataclass(frozen=True)
class PlannedRound:
    """One person's day out. `saved_minutes` is against one trip for each visit."""

    person: Person
    day: dt.date
    leaves_at: dt.datetime
    back_at: dt.datetime
    stops: tuple[Planned, ...]
    travel_minutes: int
    saved_minutes: int


@dataclass(frozen=True)
class LeftOut:
    handover: Handover
    visit: Visit
    reason: str


@dataclass(frozen=True)
class RoundsPlan:
    """The proposal; `facts` by visit are what it was made from, `methods` say how, one for each person."""

    rounds: tuple[PlannedRound, ...]
    left_out: tuple[LeftOut, ...]
    methods: tuple[str, ...]
    facts: Mapping[int, BookingFacts]

    @property
    def moves(self) -> tuple[Planned, ...]:
        return tuple(stop for one in self.rounds for stop in one.stops if stop.is_move)

    @property
    def saved_minutes(self) -> int:
        return sum(one.saved_minutes for one in self.rounds)

    @property
    def fingerprint(self) -> str:
        """Names exactly what is proposed, so that a yes to this page can never move anything else."""
        return ",".join(f"{stop.visit.pk}@{stop.starts_at:%Y%m%dT%H%M}" for stop in self.moves)


def rounds_plan(workshop: Workshop, now: dt.datetime) -> RoundsPlan:
    """Eleven queries, however many visits; each person's rounds are their own."""
    handovers = _handovers(now)
    visits = {one.pk: _visit(one) for one in handovers}
    pks = [visit.pk for visit in visits.values()]
    owed = [Owed(one.commission, one.handed_over_at, visits[one.pk]) for one in handovers]
    facts = dict(zip(pks, facts_of_all(owed, workshop, now, joined=pks), strict=True))
    journeys = known_journeys()
    by_person: dict[int, list[Handover]] = defaultdict(list)
    for one in handovers:
        by_person[visits[one.pk].person_id].append(one)
    parts = [_Joiner(theirs, facts, journeys, workshop, now).joined() for theirs in by_person.values()]
    rounds = sorted((one for part in parts for one in part[0]), key=lambda one: (one.day, one.person.pk))
    left_out = tuple(one for part in parts for one in part[1])
    return RoundsPlan(tuple(rounds), left_out, tuple(dict.fromkeys(part[2] for part in parts)), facts)


def is_fixed(visit: Visit, now: dt.datetime) -> bool:
    """Whether a visit keeps its time: the client accepted it, or it is too near to be moved. Never a declined one."""
    if visit.state != VisitState.ARRANGED or visit.starts_at is None or visit.attendance == Attendance.DECLINED:
        return False
    return visit.attendance == Attendance.ACCEPTED or visit.starts_at < now + NEAR


def _handovers(now: dt.datetime) -> list[Handover]:
    """Handovers whose return visit is still to come, or to be arranged."""
    rows = Handover.objects.filter(undone_at__isnull=True).select_related(
        "commission__client", "commission__maker", "return_visit__person"
    )
    arranged = rows.filter(
        return_visit__state=VisitState.ARRANGED,
        return_visit__starts_at__gt=now,
        return_visit__starts_at__lt=now + HORIZON,
    )
    return list((arranged | rows.filter(return_visit__state=VisitState.TO_ARRANGE)).order_by("pk"))


def _visit(handover: Handover) -> Visit:
    visit = handover.return_visit
    assert visit is not None  # the query asks for its state
    return visit


class _Joiner:
    """One person's visits on their way into rounds and back."""

    def __init__(
        self,
        handovers: Sequence[Handover],
        facts: Mapping[int, BookingFacts],
        journeys: Journeys,
        workshop: Workshop,
        now: dt.datetime,
    ) -> None:
        self.by_visit: dict[Key, Handover] = {_visit(one).pk: one for one in handovers}
        self.facts, self.journeys, self.workshop, self.now = facts, journeys, workshop, now
        self.visits = [self._round_visit(_visit(one)) for one in handovers]
        self.most_visits = longest_round(self.visits)
        self.settings = _settings(workshop, self.most_visits)
        self.overrides = self._overrides()
        self.table = TravelTable(tuple(self.visits), self.settings, self.overrides)

    def joined(self) -> tuple[list[PlannedRound], list[LeftOut], str]:
        found: Rounds = join_rounds(self.visits, self.settings, self.overrides, deterministic_seconds=SOLVER_SECONDS)
        left = [LeftOut(self.by_visit[one.key], self._visit_of(one.key), one.reason) for one in found.unplaced]
        return [self._told(self._kept_as_booked(one)) for one in found.rounds], left, self._method(found)

    def _method(self, found: Rounds) -> str:
        if self.most_visits == LONGEST_ROUND:
            return found.method
        return f"{found.method}; so many visits that only rounds of up to {self.most_visits} were tried"

    def _round_visit(self, visit: Visit) -> RoundVisit:
        facts = self.facts[visit.pk]
        if visit.state == VisitState.TO_ARRANGE or visit.starts_at is None or visit.ends_at is None:
            return open_visit(visit.pk, facts)
        minutes = round((visit.ends_at - visit.starts_at).total_seconds() / 60)
        as_booked = agreed_visit(visit.pk, replace(facts, duration_minutes=minutes), visit.starts_at)
        if is_fixed(visit, self.now):
            return as_booked
        if visit.attendance == Attendance.DECLINED:
            return open_visit(visit.pk, facts)
        # Where it stands it may stay, even if a rule had to give way for that.
        movable = open_visit(visit.pk, facts, current_day=self.workshop.local_day(visit.starts_at))
        booked = as_booked.windows[0]
        plain = DayWindow(booked.day, booked.opens_minute, booked.opens_minute + facts.duration_minutes)
        return replace(movable, windows=(*movable.windows, plain))

    def _overrides(self) -> dict[tuple[Key, Key], int]:
        """Journeys that were typed in, between these visits and from the workshop."""
        found: dict[tuple[Key, Key], int] = {}
        commissions = [(pk, one.commission) for pk, one in self.by_visit.items()]
        for number, (pk, commission) in enumerate(commissions):
            known = self.journeys.from_workshop(self.workshop, commission)
            if known is not None:
                found[HOME, pk] = known
            for other_pk, other in commissions[:number]:
                minutes = self.journeys.between(commission, other)
                if minutes is not None:
                    found[pk, other_pk] = minutes
        return found

    def _visit_of(self, key: Key) -> Visit:
        return _visit(self.by_visit[key])

    def _booked_minute(self, stop: Stop, day: dt.date) -> int | None:
        """The minute it is booked at on that day; None where it is not booked there, or was declined."""
        visit = self._visit_of(stop.key)
        if visit.starts_at is None or visit.attendance == Attendance.DECLINED:
            return None
        local = self.workshop.local(visit.starts_at)
        return local.hour * 60 + local.minute if local.date() == day else None

    def _kept_as_booked(self, found: DayRound) -> DayRound:
        """A round whose visits are all booked on its day already keeps their times: earlier saves nothing."""
        minutes = {stop.key: self._booked_minute(stop, found.day) for stop in found.stops}
        if any(minute is None for minute in minutes.values()):
            return self._keeping_hours(found, minutes) if any(minutes.values()) else found
        stops: list[Stop] = []
        here: Key = HOME
        free = travel = 0
        for stop in sorted(found.stops, key=lambda one: minutes[one.key] or 0):
            start = minutes[stop.key] or 0
            leg = self.table.minutes(here, stop.key)
            wait = 0 if here == HOME else max(0, start - free - leg)
            length = stop.ends_minute - stop.starts_minute
            stops.append(Stop(stop.key, start, start + length, leg, wait, moved=False))
            here, free, travel = stop.key, start + length, travel + leg
        home = self.table.minutes(here, HOME)
        alone = sum(2 * self.table.minutes(HOME, stop.key) for stop in stops)
        return DayRound(
            day=found.day,
            leaves_minute=stops[0].starts_minute - stops[0].travel_before_minutes,
            stops=tuple(stops),
            back_minute=free + home,
            travel_minutes=travel + home,
            saved_minutes=alone - travel - home,
        )

    def _keeping_hours(self, found: DayRound, minutes: Mapping[Key, int | None]) -> DayRound:
        """The same visits on the same day, but those booked there already at their own hour.

        Taken where that costs no more on the road than a move is worth for each visit that need not be moved.
        """
        kept = {key: minute for key, minute in minutes.items() if minute is not None}
        visits = []
        for visit in self.visits:
            if visit.key in kept:
                window = DayWindow(found.day, kept[visit.key], kept[visit.key] + visit.duration_minutes)
                visits.append(replace(visit, windows=(window,)))
            elif visit.key in minutes:
                visits.append(replace(visit, windows=tuple(w for w in visit.windows if w.day == found.day)))
        again = join_rounds(visits, self.settings, self.overrides, solver=False)
        allowed = found.travel_minutes + len(kept) * self.settings.move_cost_minutes
        if again.unplaced or len(again.rounds) != 1 or again.travel_minutes > allowed:
            return found
        return again.rounds[0]

    def _told(self, found: DayRound) -> PlannedRound:
        stops = tuple(self._planned(stop, found.day) for stop in found.stops)
        return PlannedRound(
            person=stops[0].visit.person,
            day=found.day,
            leaves_at=self._instant(found.day, found.leaves_minute),
            back_at=self._instant(found.day, found.back_minute),
            stops=stops,
            travel_minutes=found.travel_minutes,
            saved_minutes=found.saved_minutes,
        )

    def _planned(self, stop: Stop, day: dt.date) -> Planned:
        visit = self._visit_of(stop.key)
        return Planned(
            handover=self.by_visit[visit.pk],
            visit=visit,
            starts_at=self._instant(day, stop.starts_minute),
            ends_at=self._instant(day, stop.ends_minute),
            travel_minutes=stop.travel_before_minutes,
            wait_minutes=stop.wait_before_minutes,
            is_fixed=is_fixed(visit, self.now),
        )

    def _instant(self, day: dt.date, minute: int) -> dt.datetime:
        days, left = divmod(minute, 24 * 60)  # a far round may be back after midnight
        return utc_of_minute(day + dt.timedelta(days=days), left, self.workshop.tz)


def longest_round(visits: Sequence[RoundVisit]) -> int:
    """How many visits a round may have, two or more, so that at most MOST_WEIGHED sets of visits are possible."""
    days = Counter(day for visit in visits for day in {window.day for window in visit.windows})
    for most in range(LONGEST_ROUND, 2, -1):
        if sum(comb(count, size) for count in days.values() for size in range(1, most + 1)) <= MOST_WEIGHED:
            return most
    return 2


def _settings(workshop: Workshop, most_visits: int) -> RoundSettings:
    return RoundSettings(
        most_visits=most_visits,
        home=workshop_place(workshop),
        day_starts_minute=workshop.day_starts.hour * 60 + workshop.day_starts.minute,
        day_ends_minute=workshop.day_ends.hour * 60 + workshop.day_ends.minute,
        speed_kmh=workshop.travel_speed_kmh,
        winding=WINDING,
        unknown_minutes=UNKNOWN_MINUTES,
    )
