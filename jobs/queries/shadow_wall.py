"""The shadow wall: what hangs where on the floor's outline, drawn and as a list by place."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from jobs.models import Workshop
from jobs.queries import floor
from jobs.queries.places import SAID, Elsewhere, Standing, where_it_stands

# The column of Workshop that says how many commissions a place takes.
ROOM_FOR = {
    floor.BENCH: "room_at_bench",
    floor.RACK: "room_on_rack",
    floor.FINISHING: "finishing_lots",
    floor.WRAP_BAY: "wrap_lots",
    floor.SPRAYER: "sprayer_lots",
}


@dataclass(frozen=True)
class Shape:
    """A commission on its peg."""

    standing: Standing
    x: int
    y: int


@dataclass(frozen=True)
class GuestLine:
    """Words on an island, where what is away has no shape of its own."""

    x: int
    y: int
    code: str
    words: str
    is_late: bool


GUEST_LINE_HEIGHT = 36
GUEST_LINES = 9


@dataclass(frozen=True)
class PlaceNow:
    """A place with all that is in it. `shapes` are those with a peg; `more` have none and stand in the list alone.

    `guests`: halves that are here and not at their joining place. `count` is of commissions of which something is
    here, and is what the room is for.
    """

    place: floor.Place
    standings: tuple[Standing, ...]
    shapes: tuple[Shape, ...]
    guests: tuple[Elsewhere, ...]
    room: int | None

    @property
    def more(self) -> int:
        return len(self.standings) - len(self.shapes)

    @property
    def more_words(self) -> str:
        """What the drawing has no place for; the list has it."""
        more = self.more + (len(self.guests) - len(self.guest_lines) if self.place.is_island else 0)
        return f"and {more} more, in the list" if more else ""

    @property
    def guest_lines(self) -> tuple[GuestLine, ...]:
        """On an island, below the shapes that hang there; in the workshop the hollow half says it."""
        if not self.place.is_island:
            return ()
        top = self.place.y + floor.TITLE_HEIGHT + 28
        if self.shapes:
            top = max(shape.y for shape in self.shapes) + floor.PEG_HEIGHT + 28
        room = (self.place.bottom - top) // GUEST_LINE_HEIGHT
        return tuple(
            GuestLine(
                self.place.x + 12,
                top + place * GUEST_LINE_HEIGHT,
                one.code,
                one.words.removeprefix("doors, "),
                one.is_late,
            )
            for place, one in enumerate(self.guests[: max(0, min(room, GUEST_LINES))])
        )

    @property
    def count(self) -> int:
        if self.place.key == floor.PAPER:
            return len(self.standings)
        whole = {one.code for one in self.standings if any(half.place == self.place.key for half in one.halves)}
        return len(whole | {one.code for one in self.guests})

    @property
    def is_over(self) -> bool:
        return self.room is not None and self.count > self.room

    @property
    def count_short(self) -> str:
        """ "2 of 3", as the drawing says it."""
        return str(self.count) if self.room is None else f"{self.count} of {self.room}"

    @property
    def count_words(self) -> str:
        if self.room is None:
            return str(self.count)
        return f"{self.count}, room for {self.room}"


@dataclass(frozen=True)
class ShadowWall:
    places: tuple[PlaceNow, ...]


def shadow_wall(workshop: Workshop, now: dt.datetime) -> ShadowWall:
    """Eight queries."""
    found = where_it_stands(workshop, now)
    return ShadowWall(tuple(_place(workshop, place, found) for place in floor.PLACES))


def _place(workshop: Workshop, place: floor.Place, found: list[Standing]) -> PlaceNow:
    here = [one for one in found if one.place == place.key]
    pegs = floor.hang((one.number for one in here), place.pegs)
    guests = [
        Elsewhere(one.code, one.nickname, _guest_words(half.name, half.note, place.key), half.is_late)
        for one in found
        if one.place != place.key
        for half in one.halves
        if half.place == place.key
    ]
    return PlaceNow(
        place=place,
        standings=tuple(here),
        shapes=tuple(
            Shape(one, place.peg(pegs[one.number]).x, place.peg(pegs[one.number]).y)
            for one in here
            if one.number in pegs
        ),
        guests=tuple(guests),
        room=getattr(workshop, ROOM_FOR[place.key]) if place.key in ROOM_FOR else None,
    )


def _guest_words(name: str, note: str, place: str) -> str:
    """ "doors, back Thu 11": that they are at the sprayer is said by the place."""
    rest = note.removeprefix(SAID[place])
    return f"{name}{rest if rest.startswith(',') else ''}"
