from __future__ import annotations

import pytest
from shapely import Polygon as Shape
from shapely import box

from jobs.carrying.picture import Picture, picture_of
from jobs.carrying.places import Ceiling, Corridor, Door, Landing, Lift, RoutePiece, Stairs, Turn
from jobs.carrying.route import check_point

PIECE = RoutePiece("Carcass", 640, 1900, 620)


def part(picture: Picture, role: str) -> Shape:
    return Shape(next(polygon.points for polygon in picture.polygons if polygon.role == role))


def picture_at(piece: RoutePiece, point) -> Picture:
    return picture_of(piece, check_point(piece, point))


def test_piece_that_just_swings_touches_walls_and_inner_corner_only():
    turn = Turn("Turn", 900, 900, 700)
    piece = RoutePiece("Just", 1345, 600, 640, stands_up=False)
    picture = picture_at(piece, turn)
    floor, outline = part(picture, "floor"), part(picture, "piece")
    assert outline.area == pytest.approx(1345 * 600)
    assert outline.difference(floor).area < 1
    inner = Shape([(900, 900), (901, 900), (900, 901)])
    assert outline.distance(inner) == pytest.approx(check_point(piece, turn).clearance_mm, abs=0.01)


def test_piece_that_will_not_swing_is_drawn_over_the_corner():
    picture = picture_at(RoutePiece("Not", 1900, 620, 640, stands_up=False), Turn("Turn", 900, 900, 700))
    overlap = part(picture, "piece").difference(part(picture, "floor"))
    assert overlap.area > 1000
    assert overlap.centroid.x > 900 and overlap.centroid.y > 900


@pytest.mark.parametrize("point", [Door("Door", 762, 1981), Corridor("Hall", 900, 2100), Stairs("Stairs", 850, 2000)])
def test_section_lies_inside_the_opening_when_it_passes(point):
    picture = picture_at(PIECE, point)
    assert part(picture, "opening").contains(part(picture, "piece").buffer(-0.01))
    assert part(picture, "piece").area == pytest.approx(640 * 620)


def test_standing_piece_is_drawn_at_its_highest():
    picture = picture_at(PIECE, Ceiling("Room", 2400))
    _, top, _, bottom = part(picture, "piece").bounds
    assert bottom == pytest.approx(2400)
    assert bottom - top == pytest.approx((1900**2 + 620**2) ** 0.5)


def test_landing_short_of_headroom_is_drawn_from_the_side():
    picture = picture_at(RoutePiece("Tall", 640, 2340, 620), Landing("Landing", 900, 900, 2300))
    _, top, _, bottom = part(picture, "piece").bounds
    assert (bottom, round(bottom - top)) == (2300, round((2340**2 + 620**2) ** 0.5))


def test_leaning_rail_lies_inside_the_lift_car():
    picture = picture_at(RoutePiece("Rail", 2300, 60, 40, stands_up=False), Lift("Lift", 800, 2000, 1100, 1400, 2100))
    assert part(picture, "opening").buffer(1).contains(part(picture, "piece"))


def test_lift_door_is_drawn_where_it_is_the_tighter():
    picture = picture_at(PIECE, Lift("Lift", 650, 2000, 1500, 2000, 2100))
    assert part(picture, "opening").equals(box(0, 0, 650, 2000))


def test_view_box_holds_every_outline_and_caption_says_the_same_as_the_check():
    check = check_point(PIECE, Turn("Turn", 900, 900, 2200))
    picture = picture_of(PIECE, check)
    left, top, width, height = (float(part) for part in picture.view_box.split())
    frame = box(left, top, left + width, top + height)
    assert all(frame.contains(Shape(p.points)) for p in picture.polygons if len(p.points) > 2)
    assert picture.caption == f"Carcass. {check.sentence}"
    assert picture.polygons[-1].svg_points.count(",") == 4


def test_lying_piece_is_drawn_lying_under_the_ceiling():
    picture = picture_at(RoutePiece("Top", 2000, 40, 620, stands_up=False), Ceiling("Room", 2300))
    assert part(picture, "piece").bounds == (0, 2260, 2000, 2300)


def test_piece_straight_in_the_lift_car_is_drawn_straight():
    picture = picture_at(RoutePiece("Box", 700, 1300, 600), Lift("Lift", 900, 2000, 1100, 1400, 2100))
    assert part(picture, "opening").buffer(0.01).contains(part(picture, "piece"))
