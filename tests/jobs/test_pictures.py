"""The drawing of a picture, read back by the XML parser of the standard library."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from django.template import Context, Template

from jobs.carrying.picture import Picture, Polygon, picture_of
from jobs.carrying.places import Landing, RoutePiece
from jobs.carrying.route import check_point


def drawn(picture: Picture) -> ElementTree.Element:
    html = Template("{% load pictures %}{% picture drawn %}").render(Context({"drawn": picture}))
    return ElementTree.fromstring(html)


def test_every_outline_is_drawn_with_its_label_in_its_middle():
    box = Polygon("unit", ((0, 0), (800, 0), (800, 600), (0, 600)), "800")
    wall = Polygon("wall", ((0, 600), (0, 0), (2400, 0)), "2400 back", closed=False)
    svg = drawn(Picture((box, wall), "A unit at a wall.")).find("svg")
    assert svg.get("viewBox") == "-100 -100 2600 800"
    assert svg.get("aria-label") == "A unit at a wall."
    assert [(one.tag, one.get("class")) for one in svg if one.tag != "text"] == [
        ("polygon", "unit"),
        ("polyline", "wall"),
    ]
    assert [(one.text, one.get("x"), one.get("y")) for one in svg.iter("text")] == [
        ("800", "400", "300"),
        ("2400 back", "1200", "0"),
    ]


@pytest.mark.parametrize("name", ["<script>x</script>", "A & B", '"quoted"'])
def test_names_typed_by_people_stay_words(name):
    piece = RoutePiece(name, 3080, 68, 680)
    check = check_point(piece, Landing("Landing", 820, 800, 2300))
    figure = drawn(picture_of(piece, check))
    assert figure.find("figcaption").text.startswith(f"{name}. Landing (landing): will not go")
    assert not list(figure.iter("script"))


def test_no_figure_is_written_in_a_local_way():
    """SVG knows the full stop alone as its decimal sign (SVG 1.1, 4.2), and no spaces inside a number."""
    piece = RoutePiece("Carcass", 930, 2370, 650)
    figure = drawn(picture_of(piece, check_point(piece, Landing("Landing", 820, 800, 2300))))
    for shape in figure.find("svg"):
        for name in ("stroke-width", "font-size", "x", "y"):
            value = shape.get(name)
            assert value is None or re.fullmatch(r"-?\d+(\.\d+)?", value), (name, value)
