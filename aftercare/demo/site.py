"""The wardrobe of Quay House measured, cut into pieces and checked against its stairs, two floors up."""

from __future__ import annotations

import datetime as dt

from aftercare.demo.cast import Cast
from aftercare.demo.days import DemoDays
from jobs.domain.piece_table import read_pieces
from jobs.domain.pieces import add_pieces, count_pieces
from jobs.domain.route import plan_carry, save_route_place, save_van
from jobs.domain.surveys import Size, declare_nothing_changed, keep_run, record_survey, save_feature
from jobs.measuring.readings import PLACES
from jobs.models import CarryPlan, Commission, Declaration, RoomFeature, RoutePlace, RunPlan, Survey, Van
from jobs.queries.route_page import route_page

SIZES_MM = {
    "width": (2508, 2504, 2511, 2506, 2502, 2507),
    "height": (2352, 2349, 2355, 2350, 2351, 2353),
    "depth": (655, 652, 656, 650, 653, 655),
}
OTHERS = {
    ("plumb", "left"): Size(5, 2300),
    ("plumb", "right"): Size(-3, 2300),
    ("plumb", "back"): Size(2, 2300),
    ("level", "floor"): Size(9, 2500),
    ("diagonal", "bottom left to top right"): Size(3436),
    ("diagonal", "bottom right to top left"): Size(3429),
    ("skirting", "height"): Size(170),
    ("skirting", "stands out"): Size(22),
    ("cornice", "height"): Size(95),
    ("cornice", "stands out"): Size(80),
}
PLACES_ON_THE_WAY = [
    {"kind": "door", "name": "Street door", "width_mm": 790, "height_mm": 1985, "corners": 2},
    {"kind": "corridor", "name": "Hall", "width_mm": 910, "height_mm": 2420, "cover_mm": 4600, "floor": "stone"},
    {
        "kind": "stairs", "name": "First flight", "width_mm": 830, "height_mm": 2040, "treads": 14, "rise_mm": 190,
        "going_mm": 235, "floor": "wool", "corners": 1,
    },
    {"kind": "landing", "name": "Half landing", "width_mm": 850, "depth_mm": 830, "height_mm": 2380},
    {
        "kind": "stairs", "name": "Second flight", "width_mm": 810, "height_mm": 1990, "treads": 13, "rise_mm": 195,
        "going_mm": 225, "floor": "wool", "corners": 1,
    },
    {"kind": "door", "name": "Bedroom door", "width_mm": 760, "height_mm": 1975},
    {"kind": "ceiling", "name": "Bedroom ceiling", "height_mm": 2349},
]  # fmt: skip
HEADING = (
    "name,room,track,width_mm,height_mm,depth_mm,board,thickness_mm,area_m2,fittings_kg,place,fitting_order,"
    "fragile,stands_up\n"
)
LINES = """\
Plinth left,bedroom,carcasses,1180,100,18,birch_ply,18,,,in the workshop,1,no,no
Plinth right,bedroom,carcasses,1180,100,18,birch_ply,18,,,in the workshop,1,no,no
Carcass left lower,bedroom,carcasses,796,1180,560,mfc,18,2.05,1.2,in the workshop,2,no,yes
Carcass middle lower,bedroom,carcasses,796,1180,560,mfc,18,2.05,1.2,in the workshop,2,no,yes
Carcass right lower,bedroom,carcasses,796,1180,560,mfc,18,2.05,1.2,in the workshop,2,no,yes
Carcass left upper,bedroom,carcasses,796,980,560,mfc,18,1.8,0.8,in the workshop,3,no,yes
Carcass middle upper,bedroom,carcasses,796,980,560,mfc,18,1.8,0.8,in the workshop,3,no,yes
Tall end panel with returns,bedroom,carcasses,620,2330,330,mdf,22,2.6,,in the workshop,4,no,yes
Scribe left,bedroom,carcasses,60,2340,18,mdf,18,,,in the workshop,5,yes,no
Scribe right,bedroom,carcasses,60,2340,18,mdf,18,,,in the workshop,5,yes,no
Door 1,bedroom,doors,396,2010,22,mdf,22,,,in the workshop,6,yes,yes
Door 2,bedroom,doors,396,2010,22,mdf,22,,,in the workshop,6,yes,yes
Door 3,bedroom,doors,396,2010,22,mdf,22,,,in the workshop,6,yes,yes
Door 4,bedroom,doors,396,2010,22,mdf,22,,,in the workshop,6,yes,yes
Door 5,bedroom,doors,396,2010,22,mdf,22,,,in the workshop,6,yes,yes
Door 6,bedroom,doors,396,2010,22,mdf,22,,,in the workshop,6,yes,yes
Cornice left,bedroom,carcasses,1240,110,95,tulipwood,20,0.28,,in the workshop,7,yes,no
Cornice right,bedroom,carcasses,1240,110,95,tulipwood,20,0.28,,in the workshop,7,yes,no
Shelves in one wrap,bedroom,carcasses,760,540,110,mfc,18,2.4,,in the workshop,8,no,no
"""


def fill_site_day(commission: Commission, cast: Cast, days: DemoDays) -> list[str]:
    """Survey, run, way in, pieces, carry; returns what the way in says of the pieces."""
    _measure(commission, cast, days)
    _walk_in(commission, cast, days)
    table = read_pieces(commission, (HEADING + LINES).encode())
    pieces = add_pieces(commission=commission, pieces=table.pieces, now=days.now, actor=cast.maker)
    wrapped = [piece.pk for piece in pieces[:7]]
    count_pieces(commission=commission, stage="wrapped", present=wrapped, now=days.now, actor=cast.maker)
    routes = route_page(commission)["routes"]
    return [report.sentence for route in routes for report in (*route.stopped, *route.tight)]


def _measure(commission: Commission, cast: Cast, days: DemoDays) -> None:
    room = commission.rooms.get()
    sizes = {
        (kind, place): Size(value_mm)
        for kind, values in SIZES_MM.items()
        for place, value_mm in zip(PLACES[kind], values, strict=True)  # type: ignore[index]
    }
    record_survey(
        survey=Survey(
            room=room,
            taken_on=days.day(-44),
            taken_by=cast.maker,
            wall_type="lath and plaster, brick at the back",
            floor_build_up="boards on joists",
        ),
        sizes=sizes | OTHERS,
        today=days.day(0),
        now=days.now,
        actor=cast.maker,
    )
    sill = RoomFeature(
        room=room, kind="sill", name="Window sill", wall="right", start_mm=760, end_mm=1960, bottom_mm=820,
        top_mm=870, stands_out_mm=65,
    )  # fmt: skip
    save_feature(feature=sill, now=days.now, actor=cast.maker)
    run = RunPlan(
        room=room, widths_mm=[800, 800, 800], doors=["LR", "LR", "LR"], depth_mm=600, position_mm=51,
        door_bottom_mm=120, door_top_mm=2130,
    )  # fmt: skip
    keep_run(plan=run, now=days.now, actor=cast.maker)
    declare_nothing_changed(
        commission=commission,
        declared_at=days.now - dt.timedelta(days=35),
        way=Declaration.Way.TOLD,
        now=days.now,
        actor=cast.maker,
    )


def _walk_in(commission: Commission, cast: Cast, days: DemoDays) -> None:
    for fields in PLACES_ON_THE_WAY:
        save_route_place(place=RoutePlace(commission=commission, **fields), now=days.now, actor=cast.maker)
    van = Van(name="The white van", payload_kg=850, length_mm=3050, width_mm=1650, height_mm=1720)
    save_van(van=van, now=days.now, actor=cast.maker)
    plan = CarryPlan(commission=commission, drive_minutes=40, carry_m=35, van=van, people_and_kit_kg=280)
    plan_carry(plan=plan, now=days.now, actor=cast.maker)
