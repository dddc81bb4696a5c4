"""Room, place by place and week by week, in words: the twin of the string-line."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.planning.network import Instance, Plan
from jobs.queries.stays import Columns, Place, Stay, counts
from jobs.queries.string_line import Sheet
from jobs.queries.words import say_day, say_half_days, say_range


@dataclass(frozen=True)
class Cell:
    """One place in one week: the most there at once, and how many there is room for."""

    most: int
    capacity: int

    @property
    def over(self) -> int:
        return max(0, self.most - self.capacity)

    @property
    def words(self) -> str:
        if self.most == 0:
            return "empty"
        return f"{self.most} in, room for {self.capacity}"


@dataclass(frozen=True)
class PlaceRow:
    words: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class HandsCell:
    """Half-days of work of a week from now on: taken by the plan, and there at all."""

    taken: int
    there: int

    @property
    def free(self) -> int:
        return max(0, self.there - self.taken)

    @property
    def words(self) -> str:
        if self.there == 0:
            return "nobody there"
        return f"{say_half_days(self.free)} free of {say_half_days(self.there)}" if self.free else "full"


def place_row(
    place: Place, stays: Sequence[Stay], columns: Columns, weeks: Sequence[list[dt.date]], today: dt.date
) -> PlaceRow:
    """From today on: of this week, what is left of it."""
    there = counts((stay for stay in stays if stay.place == place.key), columns)
    cells = []
    for week in weeks:
        first, end = columns.starts(max(week[0], today), 0), columns.ends(week[-1], 1)
        cells.append(Cell(max(there[first:end], default=0), place.capacity))
    return PlaceRow(place.words, tuple(cells))


def hands_of(instance: Instance, plan: Plan, week: Sequence[dt.date]) -> HandsCell:
    axis = instance.axis
    first = max(axis.slot_on_or_after(week[0]), instance.first_slot)
    end = axis.slot_after(week[-1])
    (hands,) = (one for one in instance.resources if one.id == "hands")
    taken = 0
    for step in instance.steps:
        place = plan.places.get(step.id)
        if place is not None and step.finished_slot is None:
            taken += step.demands.get("hands", 0) * max(0, min(place.end, end) - max(place.start, first))
    return HandsCell(taken, sum(hands.capacity[first:end]))


def say_bunches(sheet: Sheet, today: dt.date) -> Iterable[str]:
    """From today on: what bunched on Monday is no news on Friday."""
    for row in sheet.rows:
        ahead = [one for one in row.overflow if one.last >= today]
        if ahead:
            worst = max(ahead, key=lambda one: (one.most, -one.first.toordinal()))
            when = say_range(worst.first, worst.last, today)
            more = f", and {len(ahead) - 1} more times" if len(ahead) > 2 else ", and once more"
            yield (
                f"{row.place.words}: {worst.most} at once {when}, room for {row.place.capacity}"
                f"{more if len(ahead) > 1 else ''}"
            )


def say_room(hands: Sequence[HandsCell], mondays: Sequence[dt.date], today: dt.date) -> Iterable[str]:
    """Weeks with a whole day of somebody's hands to give away."""
    for cell, monday in zip(hands, mondays, strict=True):
        if cell.free >= 2:
            is_this = monday <= today < monday + dt.timedelta(days=7)
            week = "This week" if is_this else f"Week of {say_day(monday, today)}"
            yield f"{week}: {say_half_days(cell.free)}"
