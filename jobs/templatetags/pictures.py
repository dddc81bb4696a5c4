"""Plain geometry in mm as an inline SVG, with its labels beside what they name. The caption says it in words."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

from django import template

from jobs.carrying.picture import Picture, Polygon

register = template.Library()

SMALL_LETTER = 0.7
LETTERS_ACROSS = 34  # how many letters of a label go across the picture
INK, EDGE, AWAY, LATE, SHEET, HATCH = "#20242a", "#78746a", "#7d420d", "#98131a", "#fffdf7", "#e4dfd0"
# role -> fill, stroke, strokes thick, dashed. Presentation attributes for paper; on screen site.css has its say.
LOOKS: dict[str, tuple[str, str, int, bool]] = {
    "wall": ("none", INK, 3, False),
    "floor": (HATCH, EDGE, 1, False),
    "opening": (SHEET, INK, 3, False),
    "unit": (SHEET, INK, 2, False),
    "infill": (HATCH, EDGE, 1, False),
    "proud": (EDGE, INK, 1, False),
    "piece": ("#e6c9a3", AWAY, 2, False),
    "door": ("none", EDGE, 1, True),
    "door_blocked": ("none", LATE, 3, True),
}


@dataclass(frozen=True)
class Shape:
    """A polygon with how it is drawn and where its label stands; x and y in mm."""

    polygon: Polygon
    fill: str
    stroke: str
    stroke_width: float
    dashes: str
    x: float
    y: float
    letter: float


@register.inclusion_tag("jobs/picture.html")
def picture(drawn: Picture) -> dict[str, Any]:
    """The picture as a figure with its caption."""
    across = float(drawn.view_box.split()[2])
    line = across / 400
    letter = across / LETTERS_ACROSS
    return {"drawn": drawn, "shapes": [_shape(one, line, letter) for one in drawn.polygons]}


def _shape(polygon: Polygon, line: float, letter: float) -> Shape:
    fill, stroke, thick, dashed = LOOKS.get(polygon.role, LOOKS["floor"])
    x, y = _label_place(polygon)
    dashes = f"{line * 4:.1f} {line * 3:.1f}" if dashed else "none"
    small = SMALL_LETTER if polygon.role.startswith("door") else 1  # two leaves stand close together
    return Shape(polygon, fill, stroke, line * thick, dashes, x, y, letter * small)


def _label_place(polygon: Polygon) -> tuple[float, float]:
    """In the middle of an outline; on the middle of a line, where most of it is."""
    points = polygon.points
    if polygon.closed:
        return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)
    pairs = list(itertools.pairwise(points))
    (x1, y1), (x2, y2) = max(pairs, key=lambda pair: abs(pair[0][0] - pair[1][0]) + abs(pair[0][1] - pair[1][1]))
    return (x1 + x2) / 2, (y1 + y2) / 2
