"""A room with its readings, a way in and pieces, for the tests of survey, pieces, route and carry."""

from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.domain.piece_table import read_pieces
from jobs.domain.pieces import add_pieces
from jobs.measuring.readings import PLACES
from jobs.models import (
    Commission,
    Person,
    Piece,
    Reading,
    ReadingKind,
    Room,
    RoutePlace,
    Survey,
    SurveyPurpose,
    Van,
)
from tests.factories import NOW, TODAY

# Widths, heights, depths at their six places each, in the order of PLACES.
SIZES_MM = {
    "width": (2412, 2409, 2415, 2410, 2406, 2411),
    "height": (2390, 2388, 2392, 2391, 2389, 2390),
    "depth": (640, 642, 641, 638, 640, 640),
}
OTHERS: list[tuple[str, str, int, int | None]] = [
    ("plumb", "left", 4, 2300),
    ("plumb", "right", -2, 2300),
    ("plumb", "back", 0, 2300),
    ("level", "floor", 6, 2400),
    ("diagonal", "bottom left to top right", 3400, None),
    ("diagonal", "bottom right to top left", 3394, None),
    ("skirting", "height", 145, None),
    ("skirting", "stands out", 18, None),
    ("cornice", "height", 0, None),
    ("cornice", "stands out", 0, None),
]
HEADING = "name,room,track,width_mm,height_mm,depth_mm,board,thickness_mm,area_m2,fitting_order,fragile"


def make_room(commission: Commission, name: str = "Dressing room", **fields: Any) -> Room:
    return Room.objects.create(**{"commission": commission, "name": name, "storey": 1} | fields)


def make_survey(
    room: Room,
    *,
    taken_on: dt.date = TODAY - dt.timedelta(days=20),
    purpose: str = SurveyPurpose.SURVEY,
    without: tuple[tuple[str, str], ...] = (),
    **fields: Any,
) -> Survey:
    """A survey with every reading, but those of `without`."""
    survey = Survey.objects.create(room=room, purpose=purpose, taken_on=taken_on, **fields)
    rows = [
        Reading(survey=survey, kind=kind, place=place, value_mm=value_mm)
        for kind, values in SIZES_MM.items()
        for place, value_mm in zip(PLACES[kind], values, strict=True)  # type: ignore[index]
    ]
    rows += [
        Reading(survey=survey, kind=ReadingKind(kind), place=place, value_mm=value_mm, over_mm=over_mm)
        for kind, place, value_mm, over_mm in OTHERS
    ]
    Reading.objects.bulk_create([row for row in rows if (row.kind, row.place) not in without])
    return survey


def make_route(commission: Commission) -> list[RoutePlace]:
    """Front door, hall, stairs, a quarter landing, bedroom door, ceiling: a usual small house."""
    places: list[dict[str, Any]] = [
        {"kind": "door", "name": "Front door", "width_mm": 780, "height_mm": 1980, "corners": 2},
        {"kind": "corridor", "name": "Hall", "width_mm": 900, "height_mm": 2350, "cover_mm": 5200, "floor": "timber"},
        {
            "kind": "stairs", "name": "First flight", "width_mm": 800, "height_mm": 1980, "treads": 12,
            "rise_mm": 200, "going_mm": 230, "floor": "wool",
        },
        {"kind": "landing", "name": "Quarter landing", "width_mm": 820, "depth_mm": 800, "height_mm": 2300},
        {"kind": "door", "name": "Bedroom door", "width_mm": 740, "height_mm": 1960},
        {"kind": "ceiling", "name": "Ceiling", "height_mm": 2388},
    ]  # fmt: skip
    return [
        RoutePlace.objects.create(commission=commission, position=position, **fields)
        for position, fields in enumerate(places, start=1)
    ]


def make_van(**fields: Any) -> Van:
    return Van.objects.create(
        **{"name": "Long van", "payload_kg": 900, "length_mm": 3200, "width_mm": 1700, "height_mm": 1800} | fields
    )


def forty_lines(room: str = "Dressing room") -> list[str]:
    """Ten carcasses of 9 mm and 18 mm board, twenty doors, nine loose panels, and a worktop no turn will take."""
    lines = [f"Carcass {n},{room},carcasses,600,2050,580,mdf,18,4.4,{n + 1},no" for n in range(1, 11)]
    lines += [f"Door {n},{room},doors,297,2000,22,mdf,22,,{n + 11},yes" for n in range(1, 21)]
    lines += [f"Plinth {n},{room},carcasses,1200,100,18,mdf,18,,1,no" for n in range(1, 10)]
    return [*lines, f"Long worktop,{room},carcasses,3600,38,650,oak,38,,40,no"]


def forty_pieces_csv(room: str = "Dressing room") -> bytes:
    return "\r\n".join([HEADING, *forty_lines(room)]).encode()


def make_pieces(commission: Commission, maker: Person, data: bytes | None = None) -> list[Piece]:
    table = read_pieces(commission, data or forty_pieces_csv())
    assert not table.complaints, table.complaints
    return add_pieces(commission=commission, pieces=table.pieces, now=NOW, actor=maker)
