"""The Friday sheet: what bunches, what is late, where is room; the picture and its twin in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.calendar_days import DayRange, working_days
from jobs.models import Commission, StepKind, Track, Workshop
from jobs.planning.compiled import compile_instance, floor_from
from jobs.planning.network import Instance, Plan
from jobs.planning.validate import validate
from jobs.queries.live import LiveRecord, load_live
from jobs.queries.plan import CommissionPlan, Planned, PlannedStep, planned_from
from jobs.queries.room import HandsCell, PlaceRow, hands_of, place_row, say_bunches, say_room
from jobs.queries.stays import Columns, Place, Stay
from jobs.queries.string_line import Sheet, draw
from jobs.queries.words import say_half_days, say_range

K = StepKind
WEEKS = 6
HEAVY = 3
FLOOR = "floor"
PLACE_OF = {
    K.SURVEY: "survey",
    K.DRAWING: "desk",
    K.DOORS: "bench",
    K.CARCASSES: "bench",
    K.REDO: "bench",
    K.OTHER: "bench",
    K.SPRAYER_OUT: "sprayer",
    K.SPRAYER_BACK: "sprayer",
    K.INSPECT: "finishing",
    K.FINISH: "finishing",
    K.DRY_FIT: "finishing",
    K.WRAP: "wrap",
    K.LOAD: "van",
    K.DELIVER: "van",
    K.FIT: "site",
    K.SNAGS: "site",
    K.HANDOVER: "site",
    K.RETURN_VISIT: "site",
}
"""Waiting for the go-ahead and things on order are nowhere in the workshop: no stay."""
BEFORE = (K.SURVEY, K.DRAWING)
STRANDS: dict[str, str] = {Track.DOORS: "doors", Track.CARCASSES: "carcasses"}


@dataclass(frozen=True)
class Line:
    """A commission on the sheet. `is_heavy`: drawn heavily, being late or chosen."""

    number: int
    nickname: str
    url: str
    when: str
    late_words: str
    refused_because: str
    is_heavy: bool

    @property
    def is_late(self) -> bool:
        return bool(self.late_words)


@dataclass(frozen=True)
class Friday:
    sheet: Sheet
    weeks: tuple[dt.date, ...]
    hands: tuple[HandsCell, ...]
    places: tuple[PlaceRow, ...]
    lines: tuple[Line, ...]
    bunches: tuple[str, ...]
    room: tuple[str, ...]

    @property
    def late(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.is_late)

    @property
    def refused(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.refused_because)

    @property
    def heavy(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.is_heavy)


def friday_sheet(workshop: Workshop, now: dt.datetime, chosen: Sequence[int]) -> tuple[Friday, Planned]:
    """Six queries, whatever the number of commissions."""
    live = load_live(workshop, now)
    planned = planned_from(live)
    return friday_of(live, planned, chosen), planned


def friday_of(live: LiveRecord, planned: Planned, chosen: Sequence[int]) -> Friday:
    """`chosen`: numbers of commissions to draw heavily, at most three; without any, the late ones."""
    days = days_drawn(live)
    columns = Columns(days)
    places = places_of(live.workshop)
    stays = [stay for one in live.commissions for stay in _stays(one, planned.view.commissions[one.pk])]
    floor = list(floor_stays(live, planned.instance, planned.plan))
    lines = _lines(live, planned, chosen, {stay.owner for stay in stays if _within(stay, days)})
    weeks = weeks_of(days)
    rows = tuple(place_row(place, [*stays, *floor], columns, weeks, live.today) for place in places)
    hands = tuple(hands_of(planned.instance, planned.plan, week) for week in weeks)
    mondays = tuple(week[0] for week in weeks)
    sheet = draw(
        places, [*stays, *floor], days, live.today, {line.number: line.nickname for line in lines if line.is_heavy}
    )
    return Friday(
        sheet=sheet,
        weeks=mondays,
        hands=hands,
        places=rows,
        lines=lines,
        bunches=tuple(say_bunches(sheet, live.today)),
        room=tuple(say_room(hands, mondays, live.today)),
    )


def days_drawn(live: LiveRecord) -> tuple[dt.date, ...]:
    """The working days of six weeks from this week's Monday."""
    monday = live.today - dt.timedelta(days=live.today.weekday())
    shut = [DayRange(span.first, span.last) for span in live.spans("closure")]
    return tuple(
        working_days(
            monday,
            monday + dt.timedelta(days=7 * WEEKS - 1),
            nation=live.workshop.nation,
            weekdays=live.workshop.weekdays,
            closures=shut,
        )
    )


def weeks_of(days: Sequence[dt.date]) -> list[list[dt.date]]:
    """The days drawn, week by week; a week without a working day is left out."""
    found: dict[tuple[int, int], list[dt.date]] = {}
    for day in days:
        found.setdefault(day.isocalendar()[:2], []).append(day)
    return list(found.values())


def places_of(shop: Workshop) -> tuple[Place, ...]:
    """From top to bottom in the order of travel, and the floor below."""
    return (
        Place("survey", "Client: survey", shop.hands),
        Place("desk", "Drawing desk", shop.hands),
        Place("bench", "Bench", shop.hands),
        Place("sprayer", "Sprayer", shop.sprayer_lots),
        Place("finishing", "Finish, dry fit", shop.finishing_lots),
        Place("wrap", "Wrap bay", shop.wrap_lots),
        Place("van", "Van", 1),
        Place("site", "Client: fitting", shop.hands),
        Place(FLOOR, "Floor places", shop.floor_places, has_lines=False),
    )


def _stays(commission: Commission, plan: CommissionPlan) -> Iterable[Stay]:
    for step in plan.steps:
        place = PLACE_OF.get(StepKind(step.kind))
        if place is not None and not plan.is_held:
            yield Stay(
                commission.number,
                place,
                _strand(step),
                step.starts.day,
                step.starts.half,
                step.ends.day,
                step.ends.half,
                is_away=place == "sprayer",
            )


def _strand(step: PlannedStep) -> str:
    if step.kind in BEFORE:
        return "before"
    return STRANDS.get(step.track, "after")


def floor_stays(live: LiveRecord, instance: Instance, plan: Plan) -> Iterable[Stay]:
    """Floor from the first carcass to loading, as the planner counts it."""
    numbers = {f"commission:{one.pk}": one.number for one in live.commissions}
    compiled = compile_instance(validate(instance)[0])
    places = {compiled.index[id]: place for id, place in plan.places.items() if id in compiled.index}
    axis = instance.axis
    for commission_id, spans in compiled.spans.items():
        for span in spans:
            if span.last in places and (span.first is None or span.first in places):
                first, end = floor_from(compiled, span, places), places[span.last].end - 1
                yield Stay(
                    numbers[commission_id], FLOOR, FLOOR, axis.date_of(first), first % 2, axis.date_of(end), end % 2
                )


def _within(stay: Stay, days: Sequence[dt.date]) -> bool:
    return bool(days) and stay.first <= days[-1] and stay.last >= days[0]


def _lines(live: LiveRecord, planned: Planned, chosen: Sequence[int], seen: set[int]) -> tuple[Line, ...]:
    late = {
        one.number: planned.view.commissions[one.pk].late_half_days
        for one in live.commissions
        if planned.view.commissions[one.pk].late_half_days > 0
    }
    heavy = list(chosen)[:HEAVY] or sorted(late, key=lambda number: (-late[number], number))[:HEAVY]
    found = []
    for one in live.commissions:
        plan = planned.view.commissions[one.pk]
        if one.number in seen or one.number in late or plan.refused_because:
            found.append(_line(one, plan, live.today, one.number in heavy))
    return tuple(sorted(found, key=lambda line: (not line.is_late, line.number)))


def _line(one: Commission, plan: CommissionPlan, today: dt.date, is_heavy: bool) -> Line:
    late = plan.late_half_days
    ahead = [step for step in plan.steps if not step.is_done and step.kind != K.RETURN_VISIT]
    when = ""
    if ahead:
        first = min(ahead, key=lambda step: (step.starts.day, step.starts.half)).starts.day
        last = max(step.ends.day for step in ahead)
        when = say_range(max(first, today), last, today)
    return Line(
        one.number,
        one.nickname,
        one.get_absolute_url(),
        when,
        f"{say_half_days(late)} late" if late else "",
        plan.refused_because,
        is_heavy,
    )
