"""The rounds as a simple map: the workshop, the stops, straight lines between them. Pure geometry, no markup."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, radians

from jobs.travel import Place

WIDTH, HEIGHT, MARGIN = 760.0, 480.0, 64.0
# Stops nearer to each other than this on the paper share one label.
SAME_SPOT = 18.0
# How many kinds of line there are; further rounds begin again, told apart by their letters.
LINE_KINDS = 4
LETTER_WIDTH, LETTER_HEIGHT = 12.0, 22.0
# Where a label may stand, in order of liking: above, right, below, left of its point.
LABEL_PLACES = ((0.0, -15.0, "middle"), (15.0, 7.0, "start"), (0.0, 30.0, "middle"), (-15.0, 7.0, "end"))


@dataclass(frozen=True)
class MapStop:
    """A stop to draw: its mark ("A1") and where it is; None where the site has no coordinates."""

    mark: str
    place: Place | None


@dataclass(frozen=True)
class Spot:
    """A point with its label; `dx`, `dy` and `anchor` put the label where it covers no other."""

    x: float
    y: float
    label: str
    dx: float = 0.0
    dy: float = -15.0
    anchor: str = "middle"


@dataclass(frozen=True)
class Line:
    kind: int
    points: str


@dataclass(frozen=True)
class RoundsMap:
    home: Spot | None
    spots: tuple[Spot, ...]
    lines: tuple[Line, ...]
    missing: tuple[str, ...]
    width: float = WIDTH
    height: float = HEIGHT


def rounds_map(home: Place | None, rounds: Sequence[Sequence[MapStop]]) -> RoundsMap | None:
    """None where not even two places are known. North is up; east is shortened by the cosine of the latitude."""
    stops = [stop for one in rounds for stop in one]
    places = [stop.place for stop in stops if stop.place is not None] + ([home] if home else [])
    if len(places) < 2:
        return None
    scale = _Scale(places)
    lines = []
    for number, one in enumerate(rounds):
        way = [home, *(stop.place for stop in one), home]
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in (scale.xy(place) for place in way if place is not None))
        lines.append(Line(number % LINE_KINDS, points))
    middle = [Spot(*scale.xy(home), "workshop")] if home else []
    spots = _with_labels_apart([*middle, *_spots(stops, scale)])
    return RoundsMap(
        home=spots[0] if home else None,
        spots=tuple(spots[len(middle) :]),
        lines=tuple(lines),
        missing=tuple(stop.mark for stop in stops if stop.place is None),
    )


class _Scale:
    """Fits all places into the frame, in proportion; a single spot lands in the middle."""

    def __init__(self, places: Sequence[Place]) -> None:
        self.shrink = cos(radians(sum(place.latitude_deg for place in places) / len(places)))
        east = [place.longitude_deg * self.shrink for place in places]
        north = [place.latitude_deg for place in places]
        self.middle = (min(east) + max(east)) / 2, (min(north) + max(north)) / 2
        wide, high = max(east) - min(east), max(north) - min(north)
        ratios = [(frame - 2 * MARGIN) / span for frame, span in ((WIDTH, wide), (HEIGHT, high)) if span > 1e-9]
        self.ratio = min(ratios, default=0.0)

    def xy(self, place: Place) -> tuple[float, float]:
        x = WIDTH / 2 + (place.longitude_deg * self.shrink - self.middle[0]) * self.ratio
        y = HEIGHT / 2 - (place.latitude_deg - self.middle[1]) * self.ratio
        return round(x, 1), round(y, 1)


def _spots(stops: Sequence[MapStop], scale: _Scale) -> list[Spot]:
    spots: list[Spot] = []
    for stop in stops:
        if stop.place is None:
            continue
        x, y = scale.xy(stop.place)
        near = next((n for n, s in enumerate(spots) if abs(s.x - x) < SAME_SPOT and abs(s.y - y) < SAME_SPOT), None)
        if near is None:
            spots.append(Spot(x, y, stop.mark))
        else:
            spots[near] = Spot(spots[near].x, spots[near].y, f"{spots[near].label}, {stop.mark}")
    return spots


def _with_labels_apart(spots: Sequence[Spot]) -> list[Spot]:
    """Each label at the first of its places that covers neither a point nor a label set before; else above."""
    taken = [(spot.x - 10, spot.y - 10, spot.x + 10, spot.y + 10) for spot in spots]
    placed = []
    for spot in spots:
        options = [replace(spot, dx=dx, dy=dy, anchor=anchor) for dx, dy, anchor in LABEL_PLACES]
        free = [one for one in options if not any(_overlap(_box(one), other) for other in taken)]
        chosen = next(iter(free or options))
        taken.append(_box(chosen))
        placed.append(chosen)
    return placed


Box = tuple[float, float, float, float]


def _box(spot: Spot) -> Box:
    wide = LETTER_WIDTH * len(spot.label)
    left = spot.x + spot.dx - {"start": 0.0, "middle": wide / 2, "end": wide}[spot.anchor]
    bottom = spot.y + spot.dy
    return left, bottom - LETTER_HEIGHT + 5, left + wide, bottom + 4


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
