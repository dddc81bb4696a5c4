"""Seeded, invented workshops of realistic shape for benchmarks: same arguments, same workshop.

Three pairs of hands with absences, seven floor bays, a helper two or three days a week, one van, closures, clients
with their weekdays and their weeks away, a spray shop of 8 to 15 working days that closes in August. Nominal load
85 %: some seeds are truly overloaded for a while, as workshops are. All figures are our own choice, no source.
"""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil
from random import Random
from typing import Any

from jobs.planning.calendars import (
    Calendar,
    HalfDayAxis,
    Subcontractor,
    calendar_of_open_days,
    calendar_without_days,
    subcontractor_with_days,
)
from jobs.planning.network import DAYS, Commission, FloorSpan, Instance, Link, Resource, Step

FIRST_DAY = date(2026, 1, 5)
HALF_DAYS_BETWEEN_ARRIVALS = 14
STEPS_PER_COMMISSION = 15


def generate(commissions: int, seed: int) -> Instance:
    """A workshop with that many commissions of 15 steps each, arriving one after the other."""
    rng = Random(seed)
    axis = _axis(commissions, rng)
    steps: list[Step] = []
    links: list[Link] = []
    calendars: list[Calendar] = []
    spans: list[FloorSpan] = []
    for number in range(commissions):
        c = f"c{number:03d}"
        arrival = max(0, (number - 4) * HALF_DAYS_BETWEEN_ARRIVALS)
        rows, strand = _steps(c, arrival, rng)
        steps += rows
        links += strand
        calendars += _client_calendars(c, axis, rng)
        spans.append(FloorSpan(c, f"{c}-07-carcasses", f"{c}-11-load", "floor"))
    calendars.append(calendar_without_days("spray", "the spray shop's days", axis, _sprayer_closed(axis)))
    return Instance(
        axis=axis,
        first_slot=0,
        commissions=tuple(Commission(f"c{n:03d}", f"commission {n}") for n in range(commissions)),
        steps=tuple(steps),
        links=tuple(links),
        floor_spans=tuple(spans),
        resources=_resources(axis, rng),
        calendars=tuple(calendars),
        subcontractors=_subcontractors(axis),
    )


def _axis(commissions: int, rng: Random) -> HalfDayAxis:
    half_days = commissions * HALF_DAYS_BETWEEN_ARRIVALS + 420
    last = FIRST_DAY + timedelta(days=ceil(half_days / 2 * 7 / 5 * 1.05))
    closed = {date(year, 12, 24) + timedelta(days=n) for year in range(2026, last.year + 1) for n in range(9)}
    for year in range(2026, last.year + 1):
        away = date(year, 7, 20) + timedelta(days=rng.randrange(28))
        closed |= {away + timedelta(days=n) for n in range(7)}
    return HalfDayAxis.between(FIRST_DAY, last, closed=closed)


def _sprayer_closed(axis: HalfDayAxis) -> set[date]:
    years = range(axis.days[0].year, axis.days[-1].year + 1)
    return {date(year, 8, 3) + timedelta(days=n) for year in years for n in range(14)}


def _subcontractors(axis: HalfDayAxis) -> tuple[Subcontractor, ...]:
    return (
        subcontractor_with_days("spray", "the spray shop", axis, closed_days=_sprayer_closed(axis)),
        subcontractor_with_days("supplier", "the board supplier", axis),
        subcontractor_with_days("client", "the client's approval", axis, weekdays=range(7)),
    )


def _resources(axis: HalfDayAxis, rng: Random) -> tuple[Resource, ...]:
    hands = [3] * axis.slot_count
    for _person in range(3):
        for _week in range(max(1, axis.slot_count // 90)):
            start = rng.randrange(0, axis.slot_count, 2)
            for slot in range(start, min(axis.slot_count, start + rng.choice([2, 4, 10]))):
                hands[slot] = max(1, hands[slot] - 1)
    helper_days = [sorted(rng.sample(range(5), rng.choice([2, 3]))) for _week in range(axis.slot_count // 10 + 2)]
    monday = axis.days[0]
    helper = [
        1 if axis.date_of(s).weekday() in helper_days[(axis.date_of(s) - monday).days // 7 % len(helper_days)] else 0
        for s in range(axis.slot_count)
    ]
    return (
        Resource("floor", "the floor", (7,) * axis.slot_count),
        Resource("hands", "a pair of hands", tuple(hands)),
        Resource("helper", "the helper", tuple(helper)),
        Resource("van", "the van", (1,) * axis.slot_count),
    )


def _client_calendars(c: str, axis: HalfDayAxis, rng: Random) -> list[Calendar]:
    weekdays = sorted(rng.sample(range(5), rng.choice([3, 4, 5])))
    away: set[date] = set()
    for _run in range(max(1, axis.slot_count // 200)):
        start = axis.days[rng.randrange(len(axis.days))]
        away |= {start + timedelta(days=n) for n in range(rng.choice([5, 7, 14]))}
    days = [day for day in axis.days if day.weekday() in weekdays and day not in away]
    return [
        calendar_of_open_days(f"{c}-visits", f"the weekdays of the client of {c}", axis, days),
        calendar_without_days(f"{c}-there", f"the client of {c} not away", axis, away),
    ]


def _steps(c: str, arrival: int, rng: Random) -> tuple[list[Step], list[Link]]:
    hands = {"hands": 1}
    spray, fit = rng.randint(8, 15), rng.randint(3, 9)
    doors, carcasses = rng.randint(4, 8), rng.randint(4, 10)
    promise = arrival + 2 * spray + doors + fit + 30 + rng.randint(20, 60)
    rows: list[tuple[str, str, int, dict[str, Any]]] = [
        ("01-drawing", "", rng.randint(2, 4), {"demands": hands, "earliest_slot": arrival}),
        ("02-approval", "", 0, {"lead_days": rng.randint(2, 6), "subcontractor_id": "client"}),
        ("03-doors", "doors", doors, {"demands": hands}),
        ("04-spray", "doors", 0, {"lead_days": spray, "subcontractor_id": "spray", "needs": ("spray",)}),
        ("05-inspect", "doors", 1, {"demands": hands, "needs": ("spray",)}),
        ("06-materials", "carcasses", 0, {"lead_days": rng.randint(4, 9), "subcontractor_id": "supplier"}),
        ("07-carcasses", "carcasses", carcasses, {"demands": hands}),
        ("08-finish", "carcasses", rng.randint(2, 4), {"demands": hands}),
        ("09-dryfit", "carcasses", rng.randint(1, 2), {"demands": hands}),
        ("10-wrap", "", rng.randint(1, 2), {"demands": hands}),
        ("11-load", "", 1, {"demands": {"hands": 1, "helper": 1}}),
        ("12-deliver", "", 1, {"demands": {"hands": 1, "helper": 1, "van": 1}, "needs": (f"{c}-visits",)}),
        ("13-fit", "", fit, {"demands": hands, "needs": (f"{c}-there",)}),
        ("14-handover", "", 1, {"demands": hands, "needs": (f"{c}-visits",), "promise_slot": promise}),
        ("15-return", "", 1, {"demands": hands, "needs": (f"{c}-visits",)}),
    ]
    weight = rng.choice([1, 1, 2, 3])
    client = {"12-deliver", "13-fit", "14-handover", "15-return"}
    steps = [
        Step(
            id=f"{c}-{name}",
            commission_id=c,
            kind=name[3:],
            words=name[3:],
            track=track,
            duration_half_days=half_days,
            weight=weight,
            told_client=name in client,
            **more,
        )
        for name, track, half_days, more in rows
    ]
    return steps, _links(c)


def _links(c: str) -> list[Link]:
    arcs: list[tuple[str, str, int, int | None]] = [
        ("01-drawing", "02-approval", 0, None),
        ("02-approval", "03-doors", 0, None),
        ("03-doors", "04-spray", 0, None),
        ("04-spray", "05-inspect", 0, None),
        ("05-inspect", "10-wrap", 0, None),
        ("02-approval", "06-materials", 0, None),
        ("06-materials", "07-carcasses", 0, None),
        ("07-carcasses", "08-finish", 0, None),
        ("08-finish", "09-dryfit", 4, None),
        ("09-dryfit", "10-wrap", 0, None),
        ("10-wrap", "11-load", 0, None),
        ("11-load", "12-deliver", 0, 6),
        ("12-deliver", "13-fit", 0, 10),
        ("13-fit", "14-handover", 0, 20),
    ]
    found = [Link(f"{c}-{a}", f"{c}-{b}", least, greatest) for a, b, least, greatest in arcs]
    return [*found, Link(f"{c}-14-handover", f"{c}-15-return", 42, 56, DAYS)]
