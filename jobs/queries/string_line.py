"""The string-line of the Friday sheet: places run down, days across, a line a commission. Pure: no Django, no clock.

After the working graphs of railways: a level stretch is a stay at a place, a slope is the way to the next one. Stays
at one place lie in lanes beside each other; lanes within its capacity make the band, what lies beyond is hatched.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from jobs.queries.stays import Columns, Place, Stay, counts, is_seen, merged

LEFT = 150
HALF_DAY_WIDTH = 18
HEAD = 34
LANE = 17
BAR = 13
PAD = 8
NUMBER_FROM_WIDTH = 30
LETTER_WIDTH = 7


@dataclass(frozen=True)
class Bar:
    owner: int
    x: int
    y: int
    width: int
    is_away: bool
    label: str
    """As much of whose it is as fits: name, number, nothing."""

    @property
    def middle(self) -> float:
        return self.x + self.width / 2

    @property
    def base(self) -> int:
        return self.y + BAR - 3


@dataclass(frozen=True)
class Overflow:
    """Too many at once: the half-days, the most there, and where it is hatched."""

    first: dt.date
    last: dt.date
    most: int
    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True)
class Row:
    place: Place
    y: int
    height: int
    band_height: int
    bars: tuple[Bar, ...]
    overflow: tuple[Overflow, ...]

    @property
    def text_y(self) -> int:
        return self.y + PAD + BAR - 2


@dataclass(frozen=True)
class Thread:
    owner: int
    d: str


@dataclass(frozen=True)
class Mark:
    x: int
    day: dt.date


@dataclass(frozen=True)
class Sheet:
    width: int
    height: int
    rows: tuple[Row, ...]
    threads: tuple[Thread, ...]
    weeks: tuple[Mark, ...]
    today_x: int | None

    def threads_of(self, owners: Iterable[int]) -> tuple[Thread, ...]:
        wanted = set(owners)
        return tuple(one for one in self.threads if one.owner in wanted)


def draw(
    places: Sequence[Place],
    stays: Sequence[Stay],
    days: Sequence[dt.date],
    today: dt.date,
    names: Mapping[int, str] | None = None,
) -> Sheet:
    """The whole sheet. `days` in order; `today` may lie between them. `names` of commissions to be named in full."""
    columns = Columns(tuple(days))
    seen = [stay for stay in merged(stays) if is_seen(columns, stay)]
    rows: list[Row] = []
    where: dict[Stay, tuple[int, int, int]] = {}
    y = HEAD
    for place in places:
        row = _row(place, [stay for stay in seen if stay.place == place.key], columns, y, where, names or {})
        rows.append(row)
        y += row.height
    travels = {place.key for place in places if place.has_lines}
    return Sheet(
        width=LEFT + columns.count * HALF_DAY_WIDTH,
        height=y,
        rows=tuple(rows),
        threads=tuple(_threads([stay for stay in seen if stay.place in travels], where)),
        weeks=tuple(_weeks(columns)),
        today_x=_x(columns.starts(today, 0)) if days and days[0] <= today <= days[-1] else None,
    )


def _x(column: int) -> int:
    return LEFT + column * HALF_DAY_WIDTH


def _row(
    place: Place,
    stays: list[Stay],
    columns: Columns,
    y: int,
    where: dict[Stay, tuple[int, int, int]],
    names: Mapping[int, str],
) -> Row:
    lanes = lanes_of(stays, columns)
    bars = []
    for stay in stays:
        first, end = (min(max(column, 0), columns.count) for column in columns.span(stay))
        x, bar_y, width = _x(first), y + PAD + lanes[stay] * LANE, (end - first) * HALF_DAY_WIDTH
        where[stay] = (x, x + width, bar_y + BAR // 2)
        bars.append(Bar(stay.owner, x, bar_y, width, stay.is_away, _label(stay.owner, width, names)))
    lane_count = max([place.capacity, 1, *(lane + 1 for lane in lanes.values())])
    return Row(
        place,
        y,
        2 * PAD + lane_count * LANE,
        place.capacity * LANE + PAD,
        tuple(bars),
        tuple(_overflow(place, stays, columns, y)),
    )


def _label(owner: int, width: int, names: Mapping[int, str]) -> str:
    full = f"{owner} {names[owner]}" if owner in names else ""
    if full and width >= LETTER_WIDTH * len(full):
        return full
    return str(owner) if width >= NUMBER_FROM_WIDTH else ""


def lanes_of(stays: Sequence[Stay], columns: Columns) -> dict[Stay, int]:
    """The lowest free lane for each in order of beginning: as few lanes as there are stays at once."""
    free_from: list[int] = []
    lanes: dict[Stay, int] = {}
    for stay in sorted(stays, key=lambda one: (columns.span(one), one.owner, one.strand)):
        first, end = columns.span(stay)
        lane = next((lane for lane, free in enumerate(free_from) if free <= first), len(free_from))
        free_from[lane : lane + 1] = [end]
        lanes[stay] = lane
    return lanes


def _overflow(place: Place, stays: list[Stay], columns: Columns, y: int) -> Iterable[Overflow]:
    there = [*counts(stays, columns), 0]
    first: int | None = None
    for column, count in enumerate(there):
        if count > place.capacity and first is None:
            first = column
        elif count <= place.capacity and first is not None:
            most = max(there[first:column])
            top = y + PAD + place.capacity * LANE - (LANE - BAR) // 2
            yield Overflow(
                columns.days[first // 2],
                columns.days[(column - 1) // 2],
                most,
                _x(first),
                top,
                (column - first) * HALF_DAY_WIDTH,
                (most - place.capacity) * LANE,
            )
            first = None


def _threads(stays: Sequence[Stay], where: Mapping[Stay, tuple[int, int, int]]) -> Iterable[Thread]:
    """Slopes from stay to stay; where a commission has both strands its line forks and closes again."""
    for owner in sorted({stay.owner for stay in stays}):
        own = {strand: _in_time(stays, owner, strand) for strand in ("before", "doors", "carcasses", "after")}
        limbs = [limb for limb in (own["doors"], own["carcasses"]) if limb] or [[]]
        d = []
        for limb in limbs:
            way = [*own["before"], *limb, *own["after"]]
            for one, then in pairwise(way):
                (_, x, y), (then_x, _, then_y) = where[one], where[then]
                d.append(f"M{x} {y}L{then_x} {then_y}")
        d = list(dict.fromkeys(d))
        yield Thread(owner, "".join(d))


def _in_time(stays: Sequence[Stay], owner: int, strand: str) -> list[Stay]:
    own = [stay for stay in stays if stay.owner == owner and stay.strand == strand]
    return sorted(own, key=lambda stay: (stay.first, stay.first_half, stay.last, stay.place))


def _weeks(columns: Columns) -> Iterable[Mark]:
    seen: set[tuple[int, int]] = set()
    for number, day in enumerate(columns.days):
        week = day.isocalendar()[:2]
        if week not in seen:
            seen.add(week)
            yield Mark(_x(2 * number), day)
